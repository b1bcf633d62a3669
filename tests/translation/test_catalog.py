"""A catalogue is brought to today's English by id, and a file that comes back brings no approval."""

from dataclasses import replace

import pytest

from checklist.errors import ChecklistError
from checklist.translation.catalog import Catalog, read_catalog, read_returned, update, write_catalog
from checklist.translation.po import parse
from checklist.translation.source import Entry
from checklist.translation.start import new_table

START = Entry("pump.go", "pump", "Start the pump now.", None, "Key", 40, True)
STOP = Entry("pump.stop", "pump", "Stop the pump now.", None, "Key", 40, True)
SOURCE = {START.id: START, STOP.id: STOP}
SAID = {"pump.go": ["Anza pampu sasa."], "pump.stop": ["Simamisha pampu sasa."]}
SWAHILI, ARABIC = new_table("sw", {}), new_table("ar", {})


@pytest.fixture
def kept(tmp_path):
    write_catalog(tmp_path, SWAHILI, SOURCE, SAID, {"pump.go": "approved"})
    return tmp_path


def changed(entry, **how):
    return {**SOURCE, entry.id: replace(entry, **how)}


def stale(catalog, source):
    """What was made from another English than today's: {id: (that English, [forms])}."""
    found = {}
    for name, row in catalog.rows.items():
        old = row.before or (row.text, row.plural)
        if row.forms and name in source and old != (source[name].text, source[name].plural):
            found[name] = (old[0], list(row.forms))
    return found


def test_what_was_written_is_read(kept):
    catalog = read_catalog(kept, SWAHILI)

    assert catalog.forms() == SAID and stale(catalog, SOURCE) == {}
    assert read_catalog(kept / "none") == Catalog()


def test_whatever_is_not_approved_is_fuzzy_so_that_other_tools_leave_it_out(kept):
    rows = {row.id: row for row in parse((kept / "LC_MESSAGES" / "content.po").read_bytes())[1]}

    assert not rows["pump.go"].fuzzy and rows["pump.stop"].fuzzy
    assert rows["pump.go"].notes == ("Key", "max: 40", "safety")


def test_start_turned_into_stop_never_takes_over_the_words_of_the_other(kept):
    source = changed(START, text=STOP.text)

    catalog = update(read_catalog(kept), source)

    # The words for start stay beside the English they were made from; those for stop are not taken over.
    assert catalog.rows["pump.go"].forms == tuple(SAID["pump.go"])
    assert stale(catalog, source) == {"pump.go": ("Start the pump now.", SAID["pump.go"])}


def test_a_new_id_with_the_english_of_another_begins_empty(kept):
    source = {**SOURCE, "pump.again": replace(START, id="pump.again")}

    assert update(read_catalog(kept), source).rows["pump.again"].forms == ()


def test_the_english_of_before_outlives_the_file_and_further_changes(kept):
    for text in ("Start the pump.", "Start the pump at once."):
        source = changed(START, text=text)
        write_catalog(kept, SWAHILI, source, SAID, {}, read_catalog(kept))

    assert stale(read_catalog(kept), source) == {"pump.go": ("Start the pump now.", SAID["pump.go"])}
    # English that comes back letter for letter is no longer stale.
    write_catalog(kept, SWAHILI, SOURCE, SAID, {}, read_catalog(kept))
    assert stale(read_catalog(kept), SOURCE) == {} and read_catalog(kept).rows["pump.go"].before is None


def test_a_text_written_anew_is_no_longer_stale(kept):
    source = changed(START, text="Start.")
    catalog = update(read_catalog(kept), source).told("pump.go", ["Anza."], source["pump.go"])
    write_catalog(kept, SWAHILI, source, catalog.forms(), {}, catalog)

    assert stale(read_catalog(kept), source) == {} and read_catalog(kept).forms()["pump.go"] == ["Anza."]


def test_other_words_are_made_from_the_english_of_today(kept):
    source = changed(START, text="Start.")
    write_catalog(kept, SWAHILI, source, SAID, {}, read_catalog(kept))

    write_catalog(kept, SWAHILI, source, {**SAID, "pump.go": ["Anza."]}, {}, read_catalog(kept))

    assert stale(read_catalog(kept), source) == {}


def test_an_id_that_goes_is_kept_apart_and_comes_back_only_with_its_english(kept):
    write_catalog(kept, SWAHILI, {STOP.id: STOP}, SAID, {}, read_catalog(kept))
    gone = read_catalog(kept)

    assert gone.forms() == {"pump.stop": SAID["pump.stop"]} and [row.id for row in gone.left] == ["pump.go"]
    assert update(gone, SOURCE).forms() == SAID
    assert update(gone, changed(START, text="Start.")).rows["pump.go"].forms == ()


def test_a_sentence_that_gains_a_plural_keeps_its_words_as_a_draft(kept):
    source = changed(START, plural="Start the pumps now.")
    write_catalog(kept, SWAHILI, source, read_catalog(kept).forms(), {}, read_catalog(kept))

    catalog = read_catalog(kept, SWAHILI)

    assert catalog.rows["pump.go"].forms == ("Anza pampu sasa.", "")
    assert "pump.go" in stale(catalog, source)


def returned(header='"Language: sw\\n"\n"Plural-Forms: nplurals=2; plural=(n != 1);\\n"', flags=""):
    return (
        f'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n{header}\n\n'
        f'{flags}msgctxt "pump.go"\nmsgid "Start the pump now."\nmsgstr "Anza"\n'
    ).encode()


@pytest.mark.parametrize(
    ("header", "why"),
    [
        ('"Language: fr\\n"', "Language: fr"),
        ('"Plural-Forms: nplurals=2; plural=(n > 1);\\n"', "Plural-Forms"),
        ('"Plural-Forms: nplurals=1; plural=0;\\n"', "Plural-Forms"),
        ('"Plural-Forms: nplurals=INTEGER; plural=EXPRESSION;\\n"', "Plural-Forms"),
    ],
)
def test_a_file_with_another_header_is_refused(header, why):
    with pytest.raises(ChecklistError) as refused:
        read_returned(returned(header), SWAHILI)

    assert refused.value.code == "catalog_malformed" and why in refused.value.facts["why"]


def test_a_rule_that_is_only_written_otherwise_is_the_same_rule():
    header = '"Language: sw\\n"\n"Plural-Forms: nplurals=2; plural=n!=1;\\n"'

    assert read_returned(returned(header), SWAHILI).forms == {"pump.go": ["Anza"]}


def test_arabic_with_its_forms_in_another_order_is_refused():
    swapped = "nplurals=6; plural=(n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=0 && n%100<=2 ? 4 : 5);"

    with pytest.raises(ChecklistError, match="catalog_malformed"):
        read_returned(returned(f'"Language: ar\\n"\n"Plural-Forms: {swapped}\\n"'), ARABIC)


def test_plurals_without_a_rule_are_refused(tmp_path):
    path = tmp_path / "LC_MESSAGES" / "content.po"
    path.parent.mkdir()
    path.write_text('msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n\n'
                    'msgctxt "a.b"\nmsgid "p"\nmsgid_plural "q"\nmsgstr[0] "r"\nmsgstr[1] "s"\n')

    with pytest.raises(ChecklistError, match="no Plural-Forms"):
        read_catalog(tmp_path, SWAHILI)


def test_a_catalogue_that_cannot_be_written_leaves_the_old_one(kept, monkeypatch):
    before = (kept / "LC_MESSAGES" / "content.po").read_bytes()
    monkeypatch.setattr("checklist.translation.catalog.format_po", lambda *_: 1 / 0)

    with pytest.raises(ZeroDivisionError):
        write_catalog(kept, SWAHILI, SOURCE, {}, {})

    assert (kept / "LC_MESSAGES" / "content.po").read_bytes() == before
    assert [path.name for path in (kept / "LC_MESSAGES").iterdir()] == ["content.po"]

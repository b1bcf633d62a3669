"""Packs: words by id, filled strictly."""

import json
from dataclasses import replace

import pytest

from checklist.errors import ERRORS, ChecklistError
from checklist.language import load, load_all, read_lists, speaking, tablet_pack, tags
from checklist.tables import TRANSLATIONS
from checklist.translation.lists import MOST_WITHDRAWN
from tests.repo.mentions import ROOT

TABLE = (
    'tag = "{tag}"\nname = "{tag}"\ndir = "ltr"\nscript = "Latn"\ndecimal = "."\norder = "nu"\n'
    'plural_forms = "nplurals=2; plural=(n != 1);"\n[units]\nkpa = "kPa"\n'
)

SIGNS = {"kpa": "kPa", "min": "min", "cm": "cm", "bpm": "/min", "m": "\u092e"}


@pytest.fixture
def words(tmp_path):
    """Make a translations folder with an English sentence and a French draft."""
    for tag in ("en", "fr"):
        (tmp_path / tag).mkdir()
        (tmp_path / tag / "language.toml").write_text(TABLE.format(tag=tag))
    (tmp_path / "en" / "words").mkdir()
    (tmp_path / "en" / "words" / "a.toml").write_text(
        '["a.limit"]\ntext = "At most {most} {unit}"\n["a.yes"]\ntext = "Yes"\n'
    )
    (tmp_path / "fr" / "LC_MESSAGES").mkdir()
    (tmp_path / "fr" / "LC_MESSAGES" / "content.po").write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
        'msgctxt "a.limit"\nmsgid "At most {most} {unit}"\nmsgstr "Au plus {most} {unit}"\n'
    )
    return tmp_path


def test_fields_are_filled(words):
    assert load(words, "en").text("a.limit", most=80, unit="kPa") == "At most 80 kPa"


@pytest.mark.parametrize(("order", "text", "told"), [
    ("nu", "At most {most} kPa, {n} min", "At most {most}\u00a0kPa, {n}\u00a0min"),
    ("nu", "Open 10 cm? {n} minutes, {n} kPas", "Open 10\u00a0cm? {n} minutes, {n} kPas"),
    ("un", "kPa {most}, min 5, tokpa 5", "kPa\u00a0{most}, min\u00a05, tokpa 5"),
    ("un", "{most} kPa", "{most} kPa"),
    ("un", "{n} /min, {n} kPa 5", "{n}\u00a0/min, {n} kPa\u00a05"),
    ("nu", "{n} /min {n}", "{n}\u00a0/min {n}"),
    ("nu", "5 \u092e, 5 \u092e\u093e", "5\u00a0\u092e, 5 \u092e\u093e"),
])
def test_a_number_in_a_sentence_of_the_tablet_stays_on_one_line_with_its_unit(words, order, text, told):
    english = load(words, "en")
    pack = replace(english, order=order, units=SIGNS, messages={"a.limit": text, "a.many": [text, text]})

    assert json.loads(pack.as_json())["m"] == {"a.limit": told, "a.many": [told, told]}


@pytest.mark.parametrize(
    ("name", "values"), [("a.limit", {"most": 80}), ("a.none", {}), ("", {})]
)
def test_what_is_missing_is_never_left_out(words, name, values):
    with pytest.raises(ChecklistError) as refused:
        load(words, "en").text(name, **values)

    assert refused.value.code == "words_missing"


def test_a_field_may_be_called_as_what_names_the_sentence():
    assert "2026-11" in load(TRANSLATIONS, "en").text("card.protocol", name="2026-11", digest="0407", released="x", release="1")


def test_a_value_is_never_read_as_a_field(words):
    assert load(words, "en").text("a.limit", most="{unit}", unit="m") == "At most {unit} m"


def test_a_translation_is_found_by_its_id_and_the_rest_stays_english(words):
    french = load(words, "fr")

    assert french.text("a.limit", most=1, unit="m") == "Au plus 1 m"
    assert french.text("a.yes") == "Yes"


@pytest.mark.parametrize("text", ["{", "a } b", "{Most}", "{}", "{most!r}"])
def test_braces_that_name_no_field_are_refused(words, text):
    (words / "en" / "words" / "b.toml").write_text(f'["b.x"]\ntext = "{text}"\n')

    with pytest.raises(ChecklistError, match="words_missing"):
        load(words, "en")


def test_one_id_in_two_files_is_refused(words):
    (words / "en" / "words" / "b.toml").write_text('["a.yes"]\ntext = "No"\n')

    with pytest.raises(ChecklistError, match="told twice"):
        load(words, "en")


def test_the_source_language_comes_first(words):
    assert tags(words) == ["en", "fr"]


def test_the_pack_of_the_tablet_is_the_pack_of_the_pages():
    pack = load(TRANSLATIONS, "en")

    read = json.loads(pack.as_json())

    # Where a line may not break is all that the tablet's texts add.
    assert breaking(read["m"]) == breaking(pack.messages)
    assert set(read) == {
        "lang", "dir", "name", "script", "sample", "decimal", "order", "units", "plural", "fallback",
        "kind", "lists", "voice", "m",
    }


def breaking(messages):
    return json.loads(json.dumps(messages, ensure_ascii=False).replace("\u00a0", " "))


def test_every_shipped_language_loads():
    assert "en" in load_all(TRANSLATIONS)


@pytest.mark.parametrize("code", ERRORS)
def test_every_error_has_a_sentence(code):
    assert load(TRANSLATIONS, "en").text(f"problem.{code}").endswith(".")


# ---- packs: what the tablet and the pages get ----

ENGLISH = load(TRANSLATIONS, "en")
LISTS = read_lists(TRANSLATIONS)


def kept(names, *, stale=(), **more):
    """A pack as it is kept, of these ids; the English of the stale ones has changed since."""
    told = {
        "pack": 1, "tag": "fr", "name": "Français", "english": "French", "dir": "ltr", "script": "Latn", "sample": "é", "decimal": ",",
        "order": "nu", "digits": "latn", "units": {}, "fallback": ["es", "en"], "plural": "1" * 200, "voice": {}, "withdrawn": [],
        "by": "Asha", "at": 0, "m": {name: f"fr {ENGLISH.messages[name]}" for name in names},
        "src": {name: "0" * 20 if name in stale else ENGLISH.src[name] for name in names},
    }
    return json.dumps(told | more).encode()


def of_list(name):
    return [each for each, file in ENGLISH.files.items() if file in LISTS[name].files]


def test_a_whole_list_of_a_pack_is_ready_and_every_other_is_not():
    pack = tablet_pack(kept(of_list("bedside")), ENGLISH, LISTS)

    assert pack.kind == "ready" and pack.lists["bedside"]
    assert not pack.lists["settings"] and not pack.lists["station"]
    assert set(of_list("bedside")) <= pack.own


def test_a_sentence_whose_english_has_changed_is_dropped_and_its_list_stays():
    pack = tablet_pack(kept(of_list("bedside"), stale=("pull.pull",)), ENGLISH, LISTS)

    assert set(of_list("bedside")) - pack.own == {"pull.pull"} and pack.lists["bedside"]
    assert pack.text("pull.pull") == ENGLISH.text("pull.pull") and pack.text("pull.hiss") == f"fr {ENGLISH.text('pull.hiss')}"
    assert "pull.pull" not in json.loads(pack.as_json())["m"]


def test_a_sentence_that_is_newer_than_the_pack_leaves_its_list_offered():
    pack = tablet_pack(kept([name for name in of_list("bedside") if name != "pull.hiss"]), ENGLISH, LISTS)

    assert "pull.hiss" not in pack.own and pack.text("pull.hiss") == ENGLISH.text("pull.hiss") and pack.lists["bedside"]


@pytest.mark.parametrize("change", [{"m": None}, {"src": []}, {"fallback": None}, {"voice": {"pull.pull": {}}}])
def test_a_pack_that_another_version_kept_is_refused_by_one_error(change):
    with pytest.raises(ChecklistError, match="pack_malformed"):
        tablet_pack(kept(["pull.pull"], **change), ENGLISH, LISTS)
    for body in (b"", b"[]", b"{}", b"\xff"):
        with pytest.raises(ChecklistError, match="pack_malformed"):
            tablet_pack(body, ENGLISH, LISTS)


@pytest.mark.parametrize(("lacking", "is_ready"), [(MOST_WITHDRAWN, True), (MOST_WITHDRAWN + 1, False)])
def test_a_list_that_lacks_more_than_a_few_lines_is_offered_no_more(lacking, is_ready):
    names = of_list("bedside")
    changed = [name for name in names if name.startswith("pull.")][:lacking]

    packs = [tablet_pack(kept(names, stale=changed), ENGLISH, LISTS),
             tablet_pack(kept([name for name in names if name not in changed]), ENGLISH, LISTS)]

    assert len(changed) == lacking and [pack.lists["bedside"] for pack in packs] == [is_ready, is_ready]


@pytest.mark.parametrize("said", ["Au plus {most}", "Au plus {most} {unit} {more}", "Au plus {most} {unit", ["Au plus {most} {unit}"]])
def test_a_sentence_that_cannot_be_filled_as_its_source_is_dropped(words, said):
    source = load(words, "en")
    body = json.dumps(json.loads(kept([])) | {"m": {"a.limit": said}, "src": {"a.limit": source.src["a.limit"]}})

    pack = tablet_pack(body.encode(), source, {})

    assert "a.limit" not in pack.own and pack.text("a.limit", most=1, unit="m") == "At most 1 m"


@pytest.mark.parametrize(
    ("said", "is_own"),
    [(["un tour", "{n} tours"], True), (["{n} tour"], False), ("{n} tours", False), (["{n} tour", "{m} tours"], False)],
)
def test_a_counted_sentence_needs_each_of_its_forms(words, said, is_own):
    (words / "en" / "words" / "b.toml").write_text('["b.n"]\ntext = "{n} turn"\nplural = "{n} turns"\n')
    source = load(words, "en")
    body = json.dumps(json.loads(kept([])) | {"m": {"b.n": said}, "src": {"b.n": source.src["b.n"]}, "plural": "01" * 100})

    assert ("b.n" in tablet_pack(body.encode(), source, {}).own) is is_own


def test_a_clip_goes_with_its_sentence():
    voice = {"spoken.check": {"clip": "a" * 64}, "spoken.pull|n=2": {"clip": "b" * 64}, "spoken.back": {"clip": "c" * 64}}
    pack = tablet_pack(kept(of_list("bedside"), stale=("spoken.back",), voice=voice), ENGLISH, LISTS)

    assert pack.voice == {"spoken.check": {"file": f"voice/{'a' * 64}.webm"}, "spoken.pull|n=2": {"file": f"voice/{'b' * 64}.webm"}}


def test_a_list_is_said_by_the_first_of_the_chain_that_may():
    french = tablet_pack(kept(of_list("bedside")), ENGLISH, LISTS)
    spanish = load(TRANSLATIONS, "es", ready=True)
    packs = {"en": ENGLISH, "fr": french, "es": spanish}

    assert speaking(packs, "fr", "bedside").lang == "fr"
    assert speaking(packs, "fr", "station").lang == "es"
    assert speaking(packs, "xx", "station").lang == "en"


def test_a_draft_speaks_only_where_drafts_may_and_for_no_other():
    packs = {"en": ENGLISH, "fr": tablet_pack(kept(of_list("bedside")), ENGLISH, LISTS), "es": load(TRANSLATIONS, "es")}

    assert speaking(packs, "es", "station").lang == "en"
    assert speaking(packs, "es", "station", drafts=True).lang == "es"
    assert speaking(packs, "fr", "station", drafts=True).lang == "en"


def test_a_draft_says_nothing_whose_english_has_changed(words):
    path = words / "en" / "words" / "a.toml"
    path.write_text(path.read_text().replace("At most", "Never more than"))

    assert load(words, "fr").text("a.limit", most=1, unit="m") == "Never more than 1 m"


def test_own_work_stands_in_for_what_was_shipped_and_half_of_it_harms_nobody(words, tmp_path):
    own = tmp_path / "own"
    for tag, text in (("fr", "Oui"), ("sw", "Ndiyo")):
        (own / tag / "LC_MESSAGES").mkdir(parents=True)
        (own / tag / "language.toml").write_text(TABLE.format(tag=tag))
        (own / tag / "LC_MESSAGES" / "content.po").write_text(
            f'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\n"\n\nmsgctxt "a.yes"\nmsgid "Yes"\nmsgstr "{text}"\n'
        )
    (own / "xx").mkdir()
    (own / "xx" / "language.toml").write_text("half a ta")

    packs = load_all(words, own=own)

    assert {tag: pack.text("a.yes") for tag, pack in packs.items()} == {"en": "Yes", "fr": "Oui", "sw": "Ndiyo"}
    assert {pack.kind for tag, pack in packs.items() if tag != "en"} == {"draft"}


def test_no_command_takes_a_language_for_approved():
    told = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "checklist" / "cli").glob("*.py"))

    assert "ready=" not in told

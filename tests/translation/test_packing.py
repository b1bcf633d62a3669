"""A pack holds whole lists of texts that may be used, or it is not made."""

import hashlib
import json
from dataclasses import replace

import pytest

from checklist.errors import ChecklistError
from checklist.translation.checks import ASK, Finding
from checklist.translation.glossary import Term
from checklist.translation.obstacles import QUESTION, question, state
from checklist.translation.packing import Lacks
from checklist.translation.source import read_source, src_hash, tgt_hash, values_hash
from checklist.translation.table import read_language, write_language
from checklist.translation.table_review import seen
from checklist.translation.workshop import Workshop
from tests.translation.small import CHECKER, LEAD, READER, SAID, change_english, check, finish, translate_back, write
from tests.translation.test_clips import ONE, SOUND, recorded


@pytest.fixture
def folder(workshop):
    """Give a language with its sample letters."""
    folder = workshop.add("qvv")
    own = workshop.own / "qvv"
    write_language(own, replace(read_language(own), sample="Vv", name="Velindi"))
    folder.refresh()
    return folder


def packed(folder):
    made = folder.pack(LEAD, 99)
    return made, json.loads(made.body)


def unready(folder):
    with pytest.raises(ChecklistError) as refused:
        folder.pack(LEAD, 99)
    return refused.value


def again(workshop):
    return Workshop(workshop.shipped, workshop.own).open("qvv")


def test_a_pack_is_its_table_and_its_texts_under_the_hash_of_its_bytes(folder):
    finish(folder)

    made, pack = packed(folder)

    assert made.digest == hashlib.sha256(made.body).hexdigest() and made.left_out == ()
    assert pack["m"] == {**{name: forms[0] for name, forms in SAID.items()}, "desk.pulls": SAID["desk.pulls"]}
    assert pack["src"] == {name: src_hash(folder.source[name]) for name in SAID}
    assert len(pack["plural"]) == 200 and pack["pack"] == 1 and pack["withdrawn"] == [] and pack["voice"] == {}
    assert set(pack) == {
        "pack", "tag", "name", "english", "dir", "script", "sample", "decimal", "order", "digits", "units", "fallback", "plural",
        "m", "src", "voice", "withdrawn", "by", "at",
    }
    assert made.body == json.dumps(pack, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def test_the_same_work_makes_the_same_bytes(folder, workshop):
    finish(folder)

    assert packed(folder)[0].body == packed(again(workshop))[0].body


def test_a_list_that_is_not_whole_is_told_and_left_out(folder):
    finish(folder, "desk")
    write(folder, "bed.stop")

    made, pack = packed(folder)

    assert set(pack["m"]) == {"desk.title", "desk.pulls"}
    assert [one.list for one in made.left_out] == ["bedside"]
    assert made.left_out[0].obstacles["bed.stop"] == [state("draft")] and made.left_out[0].obstacles["bed.limit"] == [state("missing")]


def test_no_pack_is_made_when_no_list_is_whole(folder):
    write(folder, "desk.title")

    refused = unready(folder)

    assert refused.code == "words_unready" and refused.facts["obstacles"]["desk.title"] == [state("draft")]


def test_texts_that_a_machine_wrote_never_reach_a_pack(folder):
    for name in folder.lists["desk"].ids(folder.source):
        write(folder, name, how="machine")
        with pytest.raises(ChecklistError, match="machine"):
            check(folder, name)

    assert unready(folder).code == "words_unready"


def test_texts_that_hurt_nobody_need_no_approval(folder):
    for name in folder.lists["desk"].ids(folder.source):
        write(folder, name)
        check(folder, name)
    folder.approve_table(LEAD, 9, seen(folder.language))

    assert set(packed(folder)[1]["m"]) == {"desk.title", "desk.pulls"}


def test_a_fault_that_slipped_past_the_check_keeps_its_list_out(folder, workshop):
    finish(folder)
    ledger = folder.ledger
    entry, bad = folder.source["bed.stop"], ["Usivute <b>."]
    # Rows as another program might have written them, all steps taken.
    for at, (act, by, more) in enumerate([
        ("written", "Asha", {"how": "person"}), ("checked", CHECKER, {"answers": {"meaning-word": "yes"}}),
        ("back", READER, {"how": "person", "text": "x"}), ("judged", LEAD, {"same": True}), ("approved", LEAD, {}),
    ]):
        ledger.add(entry, bad, act, by, at, **more)
    path = workshop.own / "qvv" / "LC_MESSAGES" / "content.po"
    path.write_text(path.read_text().replace('"Usivute."', '"Usivute <b>."'))

    made, pack = packed(again(workshop))

    assert again(workshop).state("bed.stop") == "approved"
    assert "bed.stop" not in pack["m"] and "Usivute <b>." not in made.body.decode()


def test_a_question_without_an_answer_keeps_its_list_out(folder):
    for name in folder.lists["bedside"].ids(folder.source):
        write(folder, name)
        folder.ledger.add(folder.source[name], folder.forms(name), "checked", CHECKER, 5, answers={})
        folder.refresh()
        translate_back(folder, name)

    with pytest.raises(ChecklistError) as refused:
        folder.approve("bedside", LEAD, 9)

    assert [one.code for one in refused.value.facts["obstacles"]["bed.stop"] if one.kind == QUESTION] == ["meaning-word"]
    assert unready(folder).code == "words_unready"


def test_a_line_withdrawn_later_leaves_its_list_offered_and_is_named(folder):
    finish(folder)
    folder.withdraw("bed.stop", LEAD, 50)

    made, pack = packed(folder)

    assert pack["withdrawn"] == ["bed.stop"] and "bed.stop" not in pack["m"] and "bed.limit" in pack["m"]
    assert made.left_out == () and made.marked == (Lacks("bedside", {"bed.stop": [state("draft")]}),)


def test_a_line_that_a_new_term_puts_in_doubt_is_named_as_well(folder):
    finish(folder)
    folder.change_term("cases", Term("cases", ("matukio",)), "")

    made, pack = packed(folder)

    assert pack["withdrawn"] == ["desk.title"] and made.left_out == ()
    assert made.marked == (Lacks("desk", {"desk.title": [question(Finding(ASK, "term:cases", "matukio", term="cases"))]}),)


def test_a_line_whose_english_changed_is_withdrawn_and_its_old_words_are_gone(folder, workshop):
    finish(folder)
    change_english(workshop.shipped, "At most {most} kPa.", "At least {most} kPa.")

    pack = packed(again(workshop))[1]

    assert pack["withdrawn"] == ["bed.limit"] and "bed.limit" not in pack["m"] and "bed.limit" not in pack["src"]


def test_a_list_with_many_lines_withdrawn_is_offered_no_more(folder, monkeypatch):
    monkeypatch.setattr("checklist.translation.packing.MOST_WITHDRAWN", 1)
    finish(folder)
    folder.withdraw("bed.stop", LEAD, 50)
    folder.withdraw("bed.limit", LEAD, 50)

    assert [one.list for one in packed(folder)[0].left_out] == ["bedside"]


def test_only_what_was_listened_to_is_heard(folder):
    finish(folder)
    digest = recorded(folder)
    silent = packed(folder)[1]["voice"]
    folder.heard("spoken.pull", ONE, digest, "Dan", 21)

    made, pack = packed(folder)

    assert silent == {}
    assert pack["voice"] == {"spoken.pull|n=1": {
        "clip": digest, "type": "audio/webm", "values": values_hash(ONE),
        "src": src_hash(folder.source["spoken.pull"]), "tgt": tgt_hash(SAID["spoken.pull"]),
    }}
    assert made.clips == {digest: folder.clip_path(digest)}


@pytest.mark.parametrize("spoil", [lambda path: path.unlink(), lambda path: path.write_bytes(SOUND + b"?")])
def test_a_recording_that_is_gone_or_altered_stops_the_pack(folder, spoil):
    finish(folder)
    digest = recorded(folder)
    folder.heard("spoken.pull", ONE, digest, "Dan", 21)
    spoil(folder.clip_path(digest))

    assert unready(folder).facts["id"] == "spoken.pull|n=1"


def test_without_sample_letters_no_device_could_try_itself(folder, workshop):
    finish(folder)
    own = workshop.own / "qvv"
    write_language(own, replace(read_language(own), sample=" "))

    assert "sample" in unready(folder).facts["why"]


def test_a_pseudo_language_is_never_packed(folder, workshop):
    finish(folder)
    own = workshop.own / "qvv"
    write_language(own, replace(read_language(own), tag="en-XA"))
    own.rename(workshop.own / "en-XA")
    path = workshop.own / "en-XA" / "LC_MESSAGES" / "content.po"
    path.write_text(path.read_text().replace("Language: qvv", "Language: en-XA"))

    refused = unready(workshop.open("en-XA"))

    assert refused.facts["why"] == "nobody speaks this language"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("plural=(n != 1)", "plural=(n > 1)"), ('msgctxt "desk.title"', 'msgctxt "bed.stop"'), ("Language: qvv", "Language: sw"),
    ],
)
def test_a_file_altered_by_hand_stops_the_pack(folder, workshop, old, new):
    finish(folder)
    path = workshop.own / "qvv" / "LC_MESSAGES" / "content.po"
    path.write_text(path.read_text().replace(old, new))

    assert unready(folder).code == "catalog_malformed"


def test_a_table_with_unknown_fields_stops_the_pack(folder, workshop):
    finish(folder)
    path = workshop.own / "qvv" / "language.toml"
    path.write_text('colour = "red"\n' + path.read_text())

    assert unready(folder).code == "language_malformed"


def test_the_english_is_read_with_its_plurals_and_values(shipped):
    entries = read_source(shipped / "en")

    assert entries["desk.pulls"].plural == "{n} pulls" and entries["spoken.pull"].values == ({"n": 1}, {"n": 2})

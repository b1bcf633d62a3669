"""People at work on one language: nothing is lost, and nobody does a step that is not theirs."""

import subprocess
import sys
from pathlib import Path

import pytest

from checklist.errors import ChecklistError
from checklist.tables import TRANSLATIONS
from checklist.translation.glossary import Term, seen
from checklist.translation.obstacles import state, step
from checklist.translation.source import read_source
from checklist.translation.table import read_language
from checklist.translation.turns import turns
from checklist.translation.workshop import Workshop
from tests.translation.small import CHECKER, LEAD, SAID, WRITER, answers, change_english, check, finish, translate_back, write

ROOT = Path(__file__).resolve().parents[2]


def refusal(work, *told, **how):
    with pytest.raises(ChecklistError) as refused:
        work(*told, **how)
    return refused.value


def test_a_text_goes_from_missing_to_approved(folder):
    states = [folder.state("bed.stop")]
    write(folder, "bed.stop")
    states.append(folder.state("bed.stop"))
    check(folder, "bed.stop")
    states.append(folder.state("bed.stop"))
    finish(folder, "bedside")
    states.append(folder.state("bed.stop"))

    assert states == ["missing", "draft", "checked", "approved"]
    assert folder.readiness()["bedside"].ready and not folder.readiness()["desk"].ready


def test_the_work_is_there_for_whoever_opens_the_language_later(folder, workshop):
    finish(folder)

    again = Workshop(workshop.shipped, workshop.own).open("qvv")

    assert again.states() == dict.fromkeys(SAID, "approved")
    assert [one.tag for one in workshop.languages()] == ["qvv"]


def test_a_changed_english_makes_a_draft_and_keeps_the_words_beside_the_old_english(folder, workshop):
    finish(folder)
    change_english(workshop.shipped, "At most {most} kPa.", "At least {most} kPa.")

    after = Workshop(workshop.shipped, workshop.own).open("qvv")

    assert after.state("bed.limit") == "draft" and after.state("bed.stop") == "approved"
    assert after.before("bed.limit") == "At most {most} kPa." and after.forms("bed.limit") == SAID["bed.limit"]
    assert after.update() == {"new": [], "stale": ["bed.limit"], "left": []}
    # Back to the letter: what was approved of it holds again.
    change_english(workshop.shipped, "At least {most} kPa.", "At most {most} kPa.")
    back = Workshop(workshop.shipped, workshop.own).open("qvv")
    assert back.state("bed.limit") == "approved" and back.before("bed.limit") is None


def test_the_same_words_can_be_written_for_another_english(folder, workshop):
    finish(folder)
    change_english(workshop.shipped, "At most {most} kPa.", "{most} kPa at most.")
    after = Workshop(workshop.shipped, workshop.own).open("qvv")

    write(after, "bed.limit")

    assert after.state("bed.limit") == "draft" and after.before("bed.limit") is None
    # Back again: the words are approved for this English, and have nothing old about them.
    change_english(workshop.shipped, "{most} kPa at most.", "At most {most} kPa.")
    again = Workshop(workshop.shipped, workshop.own).open("qvv")
    assert again.state("bed.limit") == "approved" and again.before("bed.limit") is None
    assert "bed.limit" not in turns(again, WRITER)["write"]


def test_a_letter_changed_by_hand_in_the_file_is_a_draft(folder):
    finish(folder)
    path = folder.clip_path("x").parents[1] / "LC_MESSAGES" / "content.po"
    path.write_text(path.read_text().replace("Usivute.", "Vuta."))

    folder.refresh()

    assert folder.state("bed.stop") == "draft" and folder.forms("bed.stop") == ["Vuta."]


def test_a_mark_of_approval_put_into_the_file_by_hand_counts_for_nothing(folder):
    write(folder, "bed.stop")
    path = folder.clip_path("x").parents[1] / "LC_MESSAGES" / "content.po"
    path.write_text(path.read_text().replace("#, fuzzy\n", "#, approved\n"))

    folder.refresh()

    assert folder.state("bed.stop") == "draft"


def test_however_a_keyboard_spells_a_text_it_is_kept_in_one_way(folder):
    write(folder, "bed.stop", [" Arre\u0302tez.\r\n"])

    assert folder.forms("bed.stop") == ["Arrêtez."]
    assert "not-nfc" not in [finding.code for finding in folder.findings("bed.stop")]


def test_who_comes_second_loses_nothing_and_is_told(folder, workshop):
    base = folder.tgt("bed.stop")
    other = workshop.open("qvv")
    other.write("bed.stop", ["Msivute."], "Dan", "person", 1, base)

    refused = refusal(folder.write, "bed.stop", ["Usivute."], WRITER, "person", 2, base)

    assert refused.code == "words_changed"
    folder.refresh()
    assert folder.forms("bed.stop") == ["Msivute."]
    assert [(row["by"], row["forms"]) for row in folder.history("bed.stop")] == [("Dan", ["Msivute."]), (WRITER, ["Usivute."])]


def test_two_processes_that_write_at_once_lose_nothing(folder, workshop):
    names, rounds = ["bed.stop", "desk.title"], 15
    script = """
import sys
from pathlib import Path
from checklist.translation.workshop import Workshop
shipped, own, name, by, rounds = sys.argv[1:]
folder = Workshop(Path(shipped), Path(own)).open("qvv")
for turn in range(int(rounds)):
    folder.refresh()
    folder.write(name, [f"{by} {turn}."], by, "person", turn, folder.tgt(name))
"""
    workers = [
        subprocess.Popen([sys.executable, "-c", script, workshop.shipped, workshop.own, name, f"Worker {name}", str(rounds)], cwd=ROOT)
        for name in names
    ]

    assert [worker.wait(timeout=120) for worker in workers] == [0, 0]
    folder.refresh()
    for name in names:
        assert folder.forms(name) == [f"Worker {name} {rounds - 1}."]
        assert [row["at"] for row in folder.history(name)] == list(range(rounds))


def test_two_processes_at_one_text_keep_every_attempt(folder, workshop):
    script = """
import sys
from pathlib import Path
from checklist.errors import ChecklistError
from checklist.translation.workshop import Workshop
folder = Workshop(Path(sys.argv[1]), Path(sys.argv[2])).open("qvv")
for turn in range(15):
    try:
        folder.write("bed.stop", [f"{sys.argv[3]} {turn}."], sys.argv[3], "person", turn, folder.tgt("bed.stop"))
    except ChecklistError as error:
        assert error.code == "words_changed", error
        folder.refresh()
"""
    workers = [
        subprocess.Popen([sys.executable, "-c", script, workshop.shipped, workshop.own, by], cwd=ROOT) for by in ("Asha", "Ben")
    ]

    assert [worker.wait(timeout=120) for worker in workers] == [0, 0]
    folder.refresh()
    kept = {(row["by"], row["forms"][0]) for row in folder.history("bed.stop")}
    assert kept == {(by, f"{by} {turn}.") for by in ("Asha", "Ben") for turn in range(15)}


def test_a_text_that_is_written_again_as_it_stands_adds_nothing(folder):
    write(folder, "bed.stop")
    check(folder, "bed.stop")
    write(folder, "bed.stop", by=CHECKER)

    assert folder.state("bed.stop") == "checked" and len(folder.history("bed.stop")) == 2


def test_a_check_answers_every_question_and_passes_no_fault(folder):
    write(folder, "bed.stop")
    write(folder, "bed.limit", ["Si zaidi ya {most} mmHg."])

    assert refusal(folder.check, "bed.stop", CHECKER, 2, {}).facts["why"] == "unanswered"
    assert refusal(folder.check, "bed.limit", CHECKER, 2, answers(folder, "bed.limit")).facts["why"] == "findings"
    assert refusal(folder.check, "bed.stop", WRITER, 2, answers(folder, "bed.stop")).facts["why"] == "writer"
    assert refusal(folder.check, "desk.title", CHECKER, 2, {}).facts["why"] == "missing"


def test_a_check_of_a_text_that_changed_while_it_was_looked_at_is_refused(folder):
    write(folder, "bed.stop")
    seen = folder.tgt("bed.stop")
    write(folder, "bed.stop", ["Vuta."], by="Dan")

    for act in (
        lambda: folder.check("bed.stop", CHECKER, 3, answers(folder, "bed.stop"), tgt=seen),
        lambda: folder.back("bed.stop", CHECKER, 3, "Do not pull.", tgt=seen),
        lambda: folder.judge("bed.stop", LEAD, 3, True, tgt=seen),
    ):
        assert refusal(act).code == "words_changed"


def test_a_list_is_approved_whole_or_not_at_all(folder):
    for name in ("bed.stop", "bed.limit"):
        write(folder, name)
        check(folder, name)
        translate_back(folder, name)

    refused = refusal(folder.approve, "bedside", LEAD, 9)

    assert refused.code == "words_unready" and refused.facts["obstacles"]["spoken.pull"] == [state("missing")]
    assert "approved" not in folder.states().values()


def test_a_writer_cannot_approve_a_list_with_a_text_of_theirs(folder):
    for name in folder.lists["desk"].ids(folder.source):
        write(folder, name)
        check(folder, name)

    assert refusal(folder.approve, "desk", WRITER, 9).facts["obstacles"]["desk.title"] == [step("writer")]


def test_a_withdrawn_text_is_a_draft_at_once(folder):
    finish(folder)
    folder.withdraw("bed.stop", LEAD, 20, "says pull")

    assert folder.state("bed.stop") == "draft" and not folder.readiness()["bedside"].ready
    assert folder.history("bed.stop")[-1]["note"] == "says pull"


@pytest.mark.parametrize("tag", ["../x", "en-XA", "ar-XB", "", "QVV", "a/b", "x"])
def test_what_is_no_tag_of_a_language_is_refused(workshop, tag):
    assert refusal(workshop.add, tag).code == "language_malformed"


def test_a_language_is_begun_once(folder, workshop):
    assert refusal(workshop.add, "qvv").code == refusal(workshop.add, "en").code == "language_taken"
    # The third leads to a folder that is there, and the address of a page must not.
    assert {refusal(workshop.open, tag).code for tag in ("fr", "en", "../own/qvv", "qvv/", "")} == {"language_unknown"}


def test_a_language_that_no_library_knows_needs_no_code(folder, workshop):
    finish(folder)

    assert read_language(workshop.own / "qvv").plural[:3] == "101"
    assert set(folder.states().values()) == {"approved"}


def test_the_table_can_be_filled_in_but_its_plural_forms_stay(folder):
    folder.change_table(name="Velindi", sample="Vv", units={"kpa": "kPa", "kgf/cm²": 'a "b"'})

    assert folder.language.name == "Velindi" and folder.language.units["kgf/cm²"] == 'a "b"'
    for change in ({"plural_forms": "nplurals=2; plural=(n > 1);"}, {"tag": "sw"}, {"dir": "up"}, {"decimal": "x"}):
        assert refusal(folder.change_table, **change).code == "language_malformed"
    assert folder.language.name == "Velindi"


def test_a_glossary_is_kept_and_asks_of_texts_from_then_on(folder):
    write(folder, "bed.stop")
    first = Term("pull", ("vut", "kok"), 'as in "pull"')
    folder.change_term("pull", first, "")
    asked = [finding.code for finding in folder.findings("bed.stop")]
    folder.change_term("pull", Term("pull", ("sukum",)), seen(first))

    assert "term:pull" not in asked and "term:pull" in [finding.code for finding in folder.findings("bed.stop")]
    for term in (Term("", ("a",)), Term("a", ()), Term("a", (" ",))):
        assert refusal(folder.change_term, term.en, term, "").code == "language_malformed"


def test_two_who_change_a_glossary_lose_neither_the_others_term_nor_the_others_forms(folder):
    pull, stop = Term("pull", ("vut",)), Term("stop", ("acha",))
    folder.change_term("pull", pull, "")
    folder.change_term("stop", stop, "")

    for en, term, was_seen in (("Pull ", Term("Pull", ("x",)), ""), ("pull", None, seen(stop)), ("baby", None, seen(stop))):
        assert refusal(folder.change_term, en, term, was_seen).code == "words_changed"
    folder.change_term("pull", None, seen(pull))
    assert folder.glossary == [stop]
    assert refusal(folder.change_term, "pull", Term("pull", ("kok",)), seen(pull)).code == "words_changed"


def test_words_of_every_refusal_exist():
    words = read_source(TRANSLATIONS / "en")
    whys = ["nobody", "unknown", "missing", "unwritten", "writer", "machine", "no_back", "same_person", "unchecked", "unjudged",
            "unrecorded", "unconsented", "findings", "unanswered", "empty"]

    assert {f"refusal.{why}" for why in whys} == {name for name in words if name.startswith("refusal.")}


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\x85", "\x0b", "\x1c"], ids=ascii)
def test_a_pasted_separator_is_refused_and_the_language_stays_readable(folder, workshop, sign):
    assert refusal(write, folder, "bed.stop", [f"Usi{sign}vute."]).facts["why"] == "findings"

    write(folder, "desk.title")
    assert workshop.open("qvv").forms("bed.stop") == []


def test_a_file_that_could_not_be_read_again_takes_no_place(folder, workshop, monkeypatch):
    write(folder, "bed.stop")
    monkeypatch.setattr("checklist.translation.po._quoted", lambda text: '"' + text.replace("\n", "\\n").replace("v", '"') + '"')

    assert refusal(write, folder, "desk.title").code == "catalog_malformed"
    assert workshop.open("qvv").forms("bed.stop") == SAID["bed.stop"]

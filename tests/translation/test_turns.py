"""Each person is shown the texts that wait for them, and no others."""

import pytest

from checklist.errors import ChecklistError
from checklist.translation import checks
from checklist.translation.glossary import Term
from checklist.translation.turns import approvable, following, turns
from checklist.translation.workshop import Workshop
from tests.translation.small import CHECKER, LEAD, READER, SAID, WRITER, change_english, check, finish, translate_back, write

EVERYONE = [WRITER, CHECKER, READER, LEAD]
OTHERS = EVERYONE[1:]


def waiting(folder, name="bed.stop"):
    """Give {step: who may take it} for one text."""
    found = {by: turns(folder, by) for by in EVERYONE}
    return {act: [by for by in EVERYONE if name in found[by][act]] for act in ("write", "take_up", "check", "back", "judge")}


def nobody(**steps):
    return {"write": [], "take_up": [], "check": [], "back": [], "judge": []} | steps


def test_a_missing_text_waits_to_be_written_by_anybody(folder):
    assert waiting(folder) == nobody(write=EVERYONE)


def test_a_written_text_waits_for_others(folder):
    write(folder, "bed.stop")
    write(folder, "desk.title")

    assert waiting(folder) == nobody(check=OTHERS, back=OTHERS)
    # What can hurt nobody needs no back-translation.
    assert waiting(folder, "desk.title") == nobody(check=OTHERS)


def test_a_back_translation_waits_to_be_judged_by_a_third(folder):
    write(folder, "bed.stop")
    check(folder, "bed.stop")
    folder.back("bed.stop", READER, 3, "Do not pull")

    assert waiting(folder) == nobody(judge=[CHECKER, LEAD])
    assert following(folder, "judge", LEAD) == "bed.stop" and following(folder, "judge", LEAD, "bed.stop") is None


def test_one_that_differs_waits_for_other_words(folder):
    write(folder, "bed.stop")
    translate_back(folder, "bed.stop", same=False)

    assert waiting(folder) == nobody(write=EVERYONE)


def test_a_machines_text_and_a_fault_wait_for_a_person_to_write(folder):
    write(folder, "bed.stop", how="machine")
    write(folder, "bed.limit", ["Si zaidi ya 5 kPa."])

    assert waiting(folder) == nobody(take_up=EVERYONE) and waiting(folder, "bed.limit") == nobody(write=EVERYONE)


def test_a_machines_back_translation_leaves_the_step_to_a_person(folder):
    write(folder, "bed.stop")
    folder.back("bed.stop", "machine reader", 3, "Do not pull", "machine")

    assert waiting(folder)["back"] == OTHERS and waiting(folder)["judge"] == []


def test_a_finished_list_waits_for_nobody_until_its_english_changes(folder, workshop):
    finish(folder)
    assert {name: waiting(folder, name) for name in SAID} == dict.fromkeys(SAID, nobody())
    assert [following(folder, act, WRITER) for act in ("write", "check", "back", "judge")] == [None] * 4

    change_english(workshop.shipped, "Do not pull.", "Do not pull yet.")
    after = Workshop(workshop.shipped, workshop.own).open("qvv")

    assert turns(after, WRITER)["write"] == ["bed.stop"]


def test_a_term_that_an_approved_text_lacks_asks_somebody_before_the_next_pack(folder):
    finish(folder)
    assert folder.readiness()["bedside"].ready

    folder.change_term("pull", Term("pull", ("sukuma",)), "")

    # The reader must not see the English, and the writer not judge it.
    assert waiting(folder) == nobody(check=[CHECKER, LEAD])
    assert "bed.stop" in folder.readiness()["bedside"].missing

    for name in ("bed.stop", "spoken.pull"):
        check(folder, name)

    assert waiting(folder) == nobody() and folder.state("bed.stop") == "approved"
    assert folder.readiness()["bedside"].ready and folder.obstacles("bed.stop") == []


def test_a_new_question_leaves_the_blind_reader_blind_and_nothing_that_is_under_way_undone(folder):
    write(folder, "bed.stop")
    check(folder, "bed.stop")
    assert waiting(folder) == nobody(back=[READER, LEAD])

    folder.change_term("pull", Term("pull", ("sukuma",)), "")

    # Whoever answers sees the English, so those who have not are asked for what they alone can do.
    assert waiting(folder) == nobody(check=[CHECKER], back=[READER, LEAD])
    folder.back("bed.stop", READER, 3, "Do not pull")
    assert waiting(folder) == nobody(check=[CHECKER, LEAD], judge=[CHECKER, LEAD])


def test_a_list_with_an_open_question_is_not_offered_for_approval_nor_spoken(folder):
    finish(folder)
    for name in ("bed.stop", "spoken.pull"):
        folder.withdraw(name, LEAD, 20)
        check(folder, name)
        translate_back(folder, name)
    assert approvable(folder, "bedside", LEAD)

    folder.change_term("pull", Term("pull", ("sukuma",)), "")

    assert not approvable(folder, "bedside", LEAD)
    with pytest.raises(ChecklistError) as refused:
        folder.approve("bedside", LEAD, 30)
    assert refused.value.code == "words_unready"
    assert not any(turns(folder, each)[act] for each in EVERYONE for act in ("record", "hear"))


def test_an_approved_text_that_a_changed_table_puts_in_doubt_asks_somebody(folder):
    finish(folder)

    folder.change_table(LEAD, 9, decimal=",", script="Arab")

    assert folder.state("bed.stop") == "approved"
    assert {act for act, names in turns(folder, CHECKER).items() if "bed.stop" in names} == {"check"}


@pytest.fixture
def looked(monkeypatch):
    """The English of every text that was held against it, none remembered from before."""
    found, real = [], checks.check
    monkeypatch.setattr(checks, "check", lambda src, *told, **how: found.append(src) or real(src, *told, **how))
    checks._found.cache_clear()
    return found


def test_the_next_of_a_kind_is_looked_for_no_further_and_a_text_is_checked_once(folder, looked):
    for name in SAID:
        write(folder, name)
    looked.clear()
    checks._found.cache_clear()

    assert following(folder, "check", CHECKER) == "bed.stop" and looked == ["Do not pull."]
    for _ in range(2):
        turns(folder, CHECKER)
        folder.refresh()
    assert sorted(looked) == ["At most {most} kPa.", "Cases", "Do not pull.", "Pull {n}.", "{n} pull", "{n} pulls"]


def test_after_a_changed_term_or_table_only_what_it_may_change_is_checked_anew(folder, looked):
    def overview():
        looked.clear()
        turns(folder, CHECKER)
        folder.readiness()
        return sorted(looked)

    finish(folder)
    overview()
    folder.change_term("pull", Term("pull", ("vut",)), "")
    assert overview() == ["Do not pull.", "Pull {n}.", "{n} pull", "{n} pulls"]
    folder.change_term("push", Term("push", ("sukum",)), "")
    # A word that must not stand for another is a reason to look as well.
    assert overview() == ["Do not pull.", "Pull {n}.", "{n} pull", "{n} pulls"]
    folder.change_table(LEAD, 9, name="Another", decimal=",")
    assert overview() == []
    folder.change_table(LEAD, 9, units={**folder.language.units, "kpa": "kilo"})
    assert len(overview()) == 6

"""Each person is shown the texts that wait for them, and no others."""

import pytest

from checklist.errors import ChecklistError
from checklist.translation.workshop import Workshop
from tests.translation.small import CHECKER, LEAD, SAID, WRITER, change_english, check, finish, translate_back, write


def waiting(folder, name="bed.stop"):
    """Give {step: who may take it} for one text."""
    return {
        act: [by for by in (WRITER, CHECKER, LEAD) if name in folder.todo(act, by)]
        for act in ("written", "checked", "back", "judged")
    }


def nobody(**steps):
    return {"written": [], "checked": [], "back": [], "judged": []} | steps


EVERYONE = [WRITER, CHECKER, LEAD]


def test_a_missing_text_waits_to_be_written_by_anybody(folder):
    assert waiting(folder) == nobody(written=EVERYONE)


def test_a_written_text_waits_for_others(folder):
    write(folder, "bed.stop")
    write(folder, "desk.title")

    assert waiting(folder) == nobody(checked=[CHECKER, LEAD], back=[CHECKER, LEAD])
    # What can hurt nobody needs no back-translation.
    assert waiting(folder, "desk.title") == nobody(checked=[CHECKER, LEAD])


def test_a_back_translation_waits_to_be_judged_by_a_third(folder):
    write(folder, "bed.stop")
    check(folder, "bed.stop")
    folder.back("bed.stop", CHECKER, 3, "Do not pull")

    assert waiting(folder) == nobody(judged=[LEAD])


def test_one_that_differs_waits_for_other_words(folder):
    write(folder, "bed.stop")
    translate_back(folder, "bed.stop", same=False)

    assert waiting(folder) == nobody(written=EVERYONE)


def test_a_machines_text_and_a_fault_wait_for_a_person_to_write(folder):
    write(folder, "bed.stop", how="machine")
    write(folder, "bed.limit", ["Si zaidi ya 5 kPa."])

    assert waiting(folder)["written"] == waiting(folder, "bed.limit")["written"] == EVERYONE
    assert waiting(folder) == waiting(folder, "bed.limit") == nobody(written=EVERYONE)


def test_a_machines_back_translation_leaves_the_step_to_a_person(folder):
    write(folder, "bed.stop")
    folder.back("bed.stop", "machine reader", 3, "Do not pull", "machine")

    assert waiting(folder)["back"] == [CHECKER, LEAD] and waiting(folder)["judged"] == []


def test_a_finished_list_waits_for_nobody_until_its_english_changes(folder, workshop):
    finish(folder)
    assert {name: waiting(folder, name) for name in SAID} == dict.fromkeys(SAID, nobody())

    change_english(workshop.shipped, "Do not pull.", "Do not pull yet.")
    after = Workshop(workshop.shipped, workshop.own).open("qvv")

    assert waiting(after)["written"] == EVERYONE and after.todo("written", WRITER, "desk") == []
    assert after.todo("written", WRITER, "bedside") == ["bed.stop"]


def test_an_attempt_that_came_second_is_shown_beside_the_text_until_one_of_them_is_written_anew(folder, workshop):
    base = folder.tgt("bed.stop")
    write(folder, "bed.stop", ["Kwanza."])
    write(folder, "bed.stop")
    with pytest.raises(ChecklistError, match="words_changed"):
        workshop.open("qvv").write("bed.stop", ["Msivute."], "Dan", "person", 3, base)
    folder.refresh()

    assert [row["forms"] for row in folder.attempts("bed.stop")] == [["Msivute."]]
    write(folder, "bed.stop", ["Msivute."], by="Dan")
    assert folder.attempts("bed.stop") == [] and folder.attempts("bed.limit") == []

"""What was in use stays out of use once it is withdrawn, whatever else happens at that moment."""

import json
from threading import Thread

import pytest

from checklist.errors import ChecklistError
from checklist.translation.ledger import row_hash
from tests.translation.small import LEAD, READER, check, finish, write


def test_words_that_were_withdrawn_are_not_in_use_again_when_they_are_written_again(folder):
    finish(folder)
    write(folder, "bed.stop", ["Msivute."])
    folder.withdraw("bed.stop", LEAD, 20, "says pull")

    write(folder, "bed.stop")

    assert folder.state("bed.stop") == "draft"


def test_no_line_can_be_withdrawn_while_a_pack_that_holds_it_is_put_in_force(folder, workshop):
    folder.change_table(sample="Vv")
    finish(folder)
    order, withdrawing = [], Thread(target=lambda: workshop.open("qvv").withdraw(
        "bed.stop", LEAD, 20, then=lambda: order.append("withdrawn")))

    def keep(made):
        withdrawing.start()
        withdrawing.join(0.5)
        order.append("bed.stop" in json.loads(made.body)["m"])

    folder.pack(LEAD, 19, keep)
    withdrawing.join()

    assert order == [True, "withdrawn"]


def test_a_judgement_is_refused_when_somebody_said_something_else_meanwhile(folder):
    write(folder, "bed.stop")
    check(folder, "bed.stop")
    folder.back("bed.stop", READER, 3, "Do not pull")
    read = row_hash(folder.history("bed.stop")[-1])
    folder.back("bed.stop", "Eve", 4, "Pull")

    with pytest.raises(ChecklistError) as refused:
        folder.judge("bed.stop", LEAD, 5, True, back=read)

    assert refused.value.facts["why"] == "changed"


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

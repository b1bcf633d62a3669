"""No pack is made with a decimal mark or a unit that only one person ever saw."""

import pytest

from checklist.errors import ChecklistError
from checklist.translation.start import new_table
from checklist.translation.table_review import NAME, approval, seen
from tests.translation.small import CHECKER, LEAD, WRITER, finish


def unready(folder):
    with pytest.raises(ChecklistError) as refused:
        folder.pack(LEAD, 99)
    return refused.value.facts


def refused(folder, by, was_seen=None):
    with pytest.raises(ChecklistError) as error:
        folder.approve_table(by, 50, seen(folder.language) if was_seen is None else was_seen)
    return error.value.facts["why"]


@pytest.mark.parametrize("change", [{"decimal": ","}, {"units": {"kpa": "mmHg"}}, {"order": "un"}, {"name": "Velindi"}])
def test_a_changed_table_keeps_the_pack_back_until_it_is_approved_anew(folder, change):
    folder.change_table(sample="Vv")
    finish(folder)
    folder.pack(LEAD, 98)

    folder.change_table(CHECKER, 60, **change)

    assert unready(folder)["id"] == NAME
    assert refused(folder, CHECKER) == "writer" and refused(folder, " ") == "nobody"
    folder.approve_table(LEAD, 61, seen(folder.language))
    assert folder.pack(LEAD, 99).body


def test_who_filled_the_table_in_cannot_approve_it(workshop):
    folder = workshop.add("qvw", new_table("qvw", {"kpa": "kPa"}), WRITER, 1)

    assert refused(folder, "asha ") == "writer"
    folder.approve_table(CHECKER, 2, seen(folder.language))
    assert approval(folder.ledger, folder.language)["by"] == CHECKER


def test_a_table_that_changed_since_its_page_was_drawn_is_not_approved(folder):
    was_seen = seen(folder.language)
    folder.change_table(decimal=",")

    assert refused(folder, LEAD, was_seen) == "changed"
    assert approval(folder.ledger, folder.language) is None

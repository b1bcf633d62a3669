"""The theoretical force of a cup, in both halves."""

import pytest

from checklist.core import force
from tests.examples import by_name, outcome, vectors

DIAMETERS = range(30, 81)
PASCALS = range(0, 110001, 997)


@pytest.mark.parametrize("example", vectors("force"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/force", example["call"], [example["args"]])

    assert found == [outcome(example)]


def test_both_halves_agree_on_every_cup_over_the_whole_range(both):
    rows = [[mm, pa] for mm in DIAMETERS for pa in PASCALS]

    python, javascript = (half.each("core/force", "cup_newtons_tenths", rows) for half in both)

    assert python == javascript


def test_the_force_says_of_itself_that_it_is_no_safety_fuse():
    assert "no safety fuse" in force.__doc__
    assert "no safety fuse" in force.cup_newtons_tenths.__doc__

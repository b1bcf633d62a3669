"""The Apgar score is the sum of its parts, or what was told whole, or not known."""

from itertools import product

import pytest

from checklist.core.apgar import PARTS
from checklist.tables import kinds
from tests.examples import by_name, outcome, vectors


@pytest.mark.parametrize("example", vectors("apgar"), ids=by_name)
def test_the_examples_hold(half, example):
    (found,) = half.outcomes("core/apgar", example["call"], [example["args"]])

    assert found == outcome(example)


def test_every_way_to_score_the_five_parts_adds_up(half):
    ways = [dict(zip(PARTS, points, strict=True)) for points in product((0, 1, 2), repeat=5)]

    found = half.each("core/apgar", "apgar_score", [[facts] for facts in ways])

    assert found == [sum(facts.values()) for facts in ways]


def test_each_part_is_told_in_points_from_0_to_2():
    told = kinds()["apgar_scored"]["facts"]

    assert [(told[part]["min"], told[part]["max"]) for part in PARTS] == [(0, 2)] * 5

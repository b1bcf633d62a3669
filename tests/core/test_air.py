"""Air pressure at a height and what a pump reaches, in both halves."""

import pytest

from tests.examples import by_name, outcome, vectors

EVERY_METRE = range(-430, 6001)


@pytest.mark.parametrize("example", vectors("air"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/air", example["call"], [example["args"]])

    assert found == [outcome(example)]


def test_both_halves_agree_at_every_metre(both):
    rows = [[metre] for metre in EVERY_METRE]

    python, javascript = (half.each("core/air", "air_pascals", rows) for half in both)

    assert python == javascript


@pytest.mark.parametrize("reach", [850, 900, 1000])
def test_both_halves_agree_on_the_reach_at_every_metre(both, reach):
    rows = [[metre, reach] for metre in EVERY_METRE]

    python, javascript = (half.each("core/air", "reachable_pascals", rows) for half in both)

    assert python == javascript


def test_every_metre_up_takes_air_away(half):
    pressures = half.each("core/air", "air_pascals", [[metre] for metre in EVERY_METRE])

    assert all(lower > higher for lower, higher in zip(pressures, pressures[1:]))


def test_no_pump_reaches_past_the_air(half):
    air = half.each("core/air", "air_pascals", [[metre] for metre in EVERY_METRE])
    reach = half.each("core/air", "reachable_pascals", [[metre, 900] for metre in EVERY_METRE])

    assert all(reached < there for reached, there in zip(reach, air))

"""Gauge readings and pascals, in both halves."""

import pytest

from tests.examples import by_name, outcome, vectors

UNITS = ["kpa", "mmhg", "kgf_cm2", "bar", "inhg"]
# Every reading that the table of kinds admits, in steps that share no factor
# with the units' own.
READINGS = range(0, 900001, 337)


@pytest.mark.parametrize("example", vectors("units"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/units", example["call"], [example["args"]])

    assert found == [outcome(example)]


@pytest.mark.parametrize("function", ["pascals", "reading_from_pascals", "format_reading"])
@pytest.mark.parametrize("unit", UNITS)
def test_both_halves_agree_on_readings_over_the_whole_range(both, unit, function):
    rows = [[unit, reading] for reading in READINGS]

    python, javascript = (half.each("core/units", function, rows) for half in both)

    assert python == javascript


@pytest.mark.parametrize("unit", UNITS)
def test_a_reading_comes_back_from_its_pascals_as_it_is_shown(half, unit):
    step = 10 ** (3 - half.call("core/units", "shown_decimals", [unit]))
    readings = range(0, 100 * step, step)

    pascals = half.each("core/units", "pascals", [[unit, reading] for reading in readings])
    again = half.each("core/units", "reading_from_pascals", [[unit, pa] for pa in pascals])
    shown = half.each("core/units", "format_reading", [[unit, reading] for reading in again])

    assert shown == half.each(
        "core/units", "format_reading", [[unit, reading] for reading in readings]
    )


@pytest.mark.parametrize("unit", UNITS)
def test_more_on_the_gauge_is_never_less_suction(half, unit):
    pascals = half.each("core/units", "pascals", [[unit, reading] for reading in READINGS])

    assert pascals == sorted(pascals)

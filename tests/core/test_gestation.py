"""Days of pregnancy by the calendar, in both halves."""

import pytest

from tests.examples import by_name, outcome, vectors


@pytest.mark.parametrize("example", vectors("gestation"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/gestation", example["call"], [example["args"]])

    assert found == [outcome(example)]


def test_both_halves_refuse_and_accept_the_same_dates(both):
    dates = [
        f"{year:04}-{month:02}-{day:02}"
        for year in (0, 1, 1900, 2000, 2023, 2024, 9999)
        for month in range(14)
        for day in range(33)
    ]

    python, javascript = (
        half.outcomes("core/gestation", "gestation_days", [["2024-01-01", day] for day in dates])
        for half in both
    )

    assert python == javascript


@pytest.mark.parametrize("function", ["weeks_days", "band"])
def test_both_halves_agree_on_every_day_of_pregnancy(both, function):
    rows = [[days] for days in range(-30, 400)]

    python, javascript = (half.each("core/gestation", function, rows) for half in both)

    assert python == javascript

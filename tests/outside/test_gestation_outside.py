"""Hold the count of days against Python's calendar and worked tables."""

from datetime import date, timedelta

import pytest

FIRST_DAYS = [date(2023, 1, 1) + timedelta(days=13 * step) for step in range(113)]

# Last menstrual period, then the days on which 32+0, 34+0, 36+0, 37+0, 40+0 and
# 42+0 fall; worked with a calendar.
WORKED = {
    "2024-01-01": (
        "2024-08-12", "2024-08-26", "2024-09-09", "2024-09-16", "2024-10-07", "2024-10-21",
    ),
    "2023-06-15": (
        "2024-01-25", "2024-02-08", "2024-02-22", "2024-02-29", "2024-03-21", "2024-04-04",
    ),
    "2025-02-28": (
        "2025-10-10", "2025-10-24", "2025-11-07", "2025-11-14", "2025-12-05", "2025-12-19",
    ),
    "2024-02-29": (
        "2024-10-10", "2024-10-24", "2024-11-07", "2024-11-14", "2024-12-05", "2024-12-19",
    ),
}
WEEKS = (32, 34, 36, 37, 40, 42)

# CRICO (Harvard) OB Guideline 18, read: 34 weeks at least. WHO Managing
# Complications in Pregnancy and Childbirth, 1st ed., read: a term fetus.
BOUNDARY = [
    ("2024-08-25", [33, 6], "below_34"),
    ("2024-08-26", [34, 0], "34_to_36"),
    ("2024-09-15", [36, 6], "34_to_36"),
    ("2024-09-16", [37, 0], "term"),
]


def test_days_agree_with_the_calendar_over_three_years_and_a_leap_day(half):
    rows = [
        [str(first), str(first + timedelta(days=days))]
        for first in FIRST_DAYS
        for days in range(0, 300, 7)
    ]

    found = half.each("core/gestation", "gestation_days", rows)

    expected = [(date.fromisoformat(on) - date.fromisoformat(first)).days for first, on in rows]
    assert found == expected


def test_every_day_of_four_centuries_follows_the_day_before(half):
    days = [date(1900, 1, 1) + timedelta(days=step) for step in range(0, 146097, 5)]

    found = half.each(
        "core/gestation", "gestation_days", [["1900-01-01", str(day)] for day in days]
    )

    assert found == list(range(0, 146097, 5))


def test_days_from_the_due_date_agree_with_the_calendar(half):
    rows = [
        [str(first + timedelta(days=280)), str(first + timedelta(days=days))]
        for first in FIRST_DAYS
        for days in range(196, 301)
    ]

    found = half.each("core/gestation", "gestation_from_due", rows)

    assert found == [days for _ in FIRST_DAYS for days in range(196, 301)]


@pytest.mark.parametrize("first", WORKED)
def test_the_worked_table_of_weeks_holds(half, first):
    days = half.each("core/gestation", "gestation_days", [[first, on] for on in WORKED[first]])

    found = half.each("core/gestation", "weeks_days", [[count] for count in days])

    assert found == [[weeks, 0] for weeks in WEEKS]


@pytest.mark.parametrize(("on", "weeks", "band"), BOUNDARY)
def test_the_published_lines_fall_on_the_worked_days(half, on, weeks, band):
    days = half.call("core/gestation", "gestation_days", ["2024-01-01", on])

    assert half.call("core/gestation", "weeks_days", [days]) == weeks
    assert half.call("core/gestation", "band", [days]) == band


def test_a_due_date_22_days_ahead_is_36_weeks_and_6_days(half):
    days = half.call("core/gestation", "gestation_from_due", ["2025-12-05", "2025-11-13"])

    assert half.call("core/gestation", "weeks_days", [days]) == [36, 6]

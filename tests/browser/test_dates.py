"""Weeks that were worked out from a date are shown before they are taken, and a date that cannot be says why."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, kept_events, midwife, station  # noqa: F401
from tests.midwife import Midwife

TODAY = MORNING.date()
LAST_PERIOD, DUE = "before.last_period", "before.due_date"


@pytest.fixture
def asked(midwife) -> Midwife:  # noqa: F811
    """A birth in which the weeks are asked, and a date is to tell them."""
    midwife.start()
    midwife.answer_all(until="weeks")
    midwife.page.locator("[data-key=by-date]").click()
    return midwife


def pick(midwife: Midwife, field: str, days: int) -> str:  # noqa: F811
    """Pick the date so many days from today in a field; gives it as the record writes it."""
    date = (TODAY + dt.timedelta(days=days)).isoformat()
    midwife.page.get_by_label(midwife.words.text(field)).fill(date)
    return date


def weeks_told(midwife: Midwife) -> list[int]:  # noqa: F811
    """Read the days of pregnancy that were recorded."""
    midwife.expect_kept()
    told = [event["facts"] for event in kept_events(midwife.page) if event["kind"] == "check_answered"]
    return [facts["value"] for facts in told if facts["item"] == "weeks"]


@pytest.mark.parametrize(("field", "days"), [(LAST_PERIOD, -258), (DUE, 22)])
def test_a_picked_date_shows_its_weeks_and_one_key_takes_them(asked, field, days):
    date = pick(asked, field, days)

    take = asked.page.locator("[data-key=take-date]")
    expect(take).to_contain_text(" ".join(asked.words.text("before.weeks_days", w=36, d=6).split()))
    expect(asked.page.locator(".dated")).to_contain_text(date)
    expect(take).to_be_in_viewport(ratio=1)
    assert weeks_told(asked) == []

    asked.press(take)

    assert weeks_told(asked) == [258]


def test_the_last_date_picked_is_the_only_one_that_counts(asked):
    pick(asked, LAST_PERIOD, -258)
    pick(asked, DUE, 10)

    expect(asked.page.get_by_label(asked.words.text(LAST_PERIOD))).to_have_value("")
    asked.press(asked.page.locator("[data-key=take-date]"))

    assert weeks_told(asked) == [270]


@pytest.mark.parametrize(("field", "days", "why"), [
    (LAST_PERIOD, 1, "ahead"), (LAST_PERIOD, -139, "early"), (LAST_PERIOD, -316, "late"),
    (DUE, 281, "ahead"), (DUE, 141, "early"), (DUE, -36, "late"),
])
def test_a_date_that_cannot_be_says_why_it_is_not_taken(asked, field, days, why):
    date = pick(asked, field, days)

    shown = asked.page.locator(".dated")
    expect(shown).to_contain_text(asked.words.text(f"before.date_{why}", low=20, high=45))
    expect(shown).to_contain_text(date)
    expect(shown.get_by_role("button")).to_have_count(0)
    assert weeks_told(asked) == []


@pytest.mark.parametrize("days", [-140, -315])
def test_the_first_and_the_last_day_that_can_be_are_taken(asked, days):
    pick(asked, LAST_PERIOD, days)

    asked.press(asked.page.locator("[data-key=take-date]"))

    assert weeks_told(asked) == [-days]


def test_a_day_that_no_calendar_has_is_told_so(asked):
    field = asked.page.get_by_label(asked.words.text(LAST_PERIOD))
    field.press_sequentially("02312025")
    field.blur()

    expect(asked.page.locator(".dated")).to_contain_text(asked.words.text("before.date_broken"))
    assert weeks_told(asked) == []

"""A birth with the cup just on, and what the tablet shows, says and writes down of its advice."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, kept_events, open_at, station  # noqa: F401
from tests.browser.heard import SPY
from tests.midwife import Midwife

@pytest.fixture
def midwife(station, context) -> Midwife:  # noqa: F811
    """The cup has just gone on, and everything that is said aloud is heard."""
    return pulling_at(station, context, MORNING)


def pulling_at(address, context, moment: dt.datetime) -> Midwife:
    context.add_init_script(SPY)
    midwife = open_at(context, address.url, moment)
    midwife.start_at_once()
    midwife.apply()
    return midwife


# ---- what is asked of the tablet ----

def wall(midwife: Midwife) -> int:
    return midwife.page.evaluate("Date.now()")


def since(midwife: Midwife, kind: str) -> int:
    """Give the wall ms at which the first event of a kind was tapped."""
    return next(event["at"] for event in kept_events(midwife.page) if event["kind"] == kind)


def go_to(midwife: Midwife, moment_ms: int) -> None:
    """Let time pass up to a moment, every look in its last seconds included."""
    midwife.wait((moment_ms - wall(midwife)) / 1000)


def shown(midwife: Midwife, limit: str, level: str | None = None) -> list[dict]:
    """Give what the log holds as shown for a limit."""
    return [event["facts"] for event in kept_events(midwife.page)
            if event["kind"] == "advice_shown" and event["facts"]["limit"] == limit
            and level in (None, event["facts"]["level"])]


def answers(midwife: Midwife) -> list[tuple[str, str]]:
    return [(event["facts"]["limit"], event["facts"]["choice"]) for event in kept_events(midwife.page)
            if event["kind"] == "advice_answered"]


def banner(midwife: Midwife, level: str):
    return midwife.page.get_by_role({"caution": "status", "stop": "alert"}[level], name=midwife.words.text(f"level.{level}"))


def expect_banner(midwife: Midwife, message: str, n: int) -> None:
    level = "stop" if message.endswith(".stop") else "caution"
    expect(banner(midwife, level)).to_contain_text(midwife.words.text(message, n=n))


def expect_stop(midwife: Midwife, limit: str, n: int) -> None:
    """The stop is on the screen with its words and its two named choices, and in the log."""
    midwife.expect_screen("stop")
    expect_banner(midwife, f"limit.{limit}.stop", n)
    expect(banner(midwife, "stop")).to_contain_text(midwife.words.text(f"limit.{limit}.stop.more", n=n))
    expect(midwife.key("stop.choose_stopped")).to_be_visible()
    expect(midwife.key("stop.choose_continue")).to_be_visible()
    assert shown(midwife, limit, "stop")[-1]["value"] == n

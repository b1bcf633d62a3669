"""A finger that was on its way before the screen changed does nothing that nobody meant."""

import pytest

from tests.browser.app import MORNING, kept_events, open_at, station  # noqa: F401
from tests.midwife import Midwife
from tests.pace import SETTLE_MS

CAUTION_MIN, STOP_MIN = 10, 20
UPRIGHT, FLAT = ({"width": width, "height": height} for width, height in ((800, 1280), (1280, 800)))
# A wet glove bounces within this.
BOUNCE_MS = 150


@pytest.fixture
def hands(request, context, station) -> Midwife:  # noqa: F811
    """A birth with the cup on, at its first pull."""
    hands = open_at(context, station.url, MORNING, getattr(request, "param", UPRIGHT))
    hands.start_at_once()
    hands.apply()
    return hands


def spot(hands: Midwife, name: str) -> tuple[float, float]:
    """Give where a key stands, once what advice wrote down is kept and drawn."""
    hands.expect_kept()
    box = hands.page.locator(f"[data-key={name}]").bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def recorded(hands: Midwife) -> list[str]:
    """Name what was recorded by a tap, once all of it is kept."""
    hands.expect_kept()
    shown = {"advice_shown", "advice_quieted"}
    return [event["kind"] for event in kept_events(hands.page) if event["kind"] not in shown]


def wait_to_the_minute_before(hands: Midwife, minute: int) -> None:
    """Let the time of the cup go on to the minute before this one, which is not reached by a jump."""
    while (left := minute - 1 - hands.counts()["minutes"]) > 0:
        hands.wait(30 if left == 1 else 60 * (left - 1))


@pytest.mark.parametrize(("hands", "aimed"), [(UPRIGHT, "halt"), (FLAT, "pull"), (FLAT, "hiss")], indirect=["hands"], ids=["halt", "pull", "hiss"])
def test_a_stop_that_comes_by_time_takes_no_tap_that_was_on_its_way(hands, aimed):
    hands.pull(20, "yes")
    where = spot(hands, aimed)
    wait_to_the_minute_before(hands, STOP_MIN)
    while hands.page.locator("body[data-page=pull]").count():
        hands.page.clock.run_for(250)
    hands.expect_kept()
    before = recorded(hands)

    hands.page.mouse.click(*where)
    hands.lift()

    assert hands.page.locator("body[data-page=stop]").count() == 1
    assert recorded(hands) == before
    hands.page.clock.run_for(SETTLE_MS)
    hands.stop()
    assert recorded(hands)[len(before):] == ["advice_answered", "vacuum_stopped"]


@pytest.mark.parametrize(("aimed", "kind"), [("head-born", "head_born"), ("detached", "cup_detached"), ("perineum", "perineum_reached")])
def test_a_bounce_records_nothing_else(hands, aimed, kind):
    hands.begin_pull()
    hands.wait(20)
    where, before = spot(hands, aimed), recorded(hands)

    hands.page.mouse.click(*where)
    hands.page.clock.run_for(1)
    hands.expect_kept()
    hands.page.clock.run_for(BOUNCE_MS - 1)
    hands.page.mouse.click(*where)
    hands.lift()

    assert [one for one in recorded(hands)[len(before):] if one != "pull_ended"] == [kind]


def test_a_key_that_kept_its_place_takes_every_tap(hands):
    hands.pull(20, "yes")
    where, before = spot(hands, "pull"), recorded(hands)
    advice = hands.page.locator("[data-limit=cup_minutes][data-level=caution]")
    wait_to_the_minute_before(hands, CAUTION_MIN)
    while not advice.count():
        hands.page.clock.run_for(250)
    assert spot(hands, "pull") == pytest.approx(where, abs=2)

    hands.page.mouse.click(*where)
    hands.lift()

    assert recorded(hands)[len(before):] == ["pull_began"]

"""The back key of a tablet never leaves the app while a birth is open, and records nothing."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, expect_begun, expect_told, kept_events, kept_lines, midwife, open_app, open_at, station  # noqa: F401
from tests.browser.test_stop_answers import stopped_by_poor_pulls
from tests.midwife import Midwife

GOES_ON = "[data-strip='app.goes_on']"


@pytest.fixture
def pulling(midwife) -> Midwife:  # noqa: F811
    """A birth with the cup on, at its first pull."""
    midwife.start_at_once()
    midwife.apply()
    return midwife


@pytest.fixture
def writer(station, context) -> Midwife:  # noqa: F811
    """A page that writes, at the first pull; its clock is that of the browser, as a second page needs it."""
    writer = open_app(context, station.url)
    writer.start_at_once()
    writer.apply()
    return writer


def read_along(writer: Midwife) -> Midwife:
    """Open a second page, which only reads, and go to the same birth."""
    reader = open_app(writer.page.context, writer.page.url)
    expect_told(reader.page, "app.reader")
    reader.go_back_to_the_case()
    return reader


def press_back(hands: Midwife) -> None:  # noqa: F811
    """Press the back key of the tablet."""
    hands.page.go_back()
    hands.lift()


def tapped(hands: Midwife) -> list[str]:  # noqa: F811
    """Name what was recorded; the clock of a page that lies behind another one may seem to jump."""
    return [event["kind"] for event in kept_events(hands.page) if event["kind"] != "clock_jumped"]


def expect_stays(hands: Midwife, name: str) -> None:  # noqa: F811
    """Wait until the page says that the birth goes on, and is still the same."""
    expect(hands.page.locator(GOES_ON)).to_have_text(hands.words.text("app.goes_on"))
    expect(hands.page.locator(GOES_ON)).to_be_in_viewport()
    hands.expect_screen(name)


def test_on_the_live_screen_it_stays_and_says_so_until_the_next_tap(pulling):
    before = kept_lines(pulling.page)

    for _ in range(3):
        press_back(pulling)
        expect_stays(pulling, "pull")

    assert kept_lines(pulling.page) == before
    pulling.begin_pull()
    expect(pulling.page.locator(GOES_ON)).to_have_count(0)
    press_back(pulling)
    expect_stays(pulling, "pull")
    pulling.end_pull()
    assert pulling.counts()["pulls"] == 1


def test_it_leads_back_where_the_page_does(midwife):  # noqa: F811
    midwife.start()
    midwife.press(midwife.page.locator("[data-key=verdict]"))
    midwife.expect_screen("verdict")

    press_back(midwife)
    midwife.expect_screen("before")
    press_back(midwife)
    midwife.expect_screen("home")
    press_back(midwife)

    expect_stays(midwife, "home")
    midwife.go_back_to_the_case()
    midwife.expect_screen("before")


@pytest.mark.parametrize(("key", "there", "here"), [("heart", "pull", "[data-key=heart-cancel]"), ("log", "log", ".place"), ("halt", "stop", "[data-key=continues]")])
def test_what_was_opened_from_the_live_screen_is_left_and_nothing_is_recorded(pulling, key, there, here):
    pulling.press(pulling.page.locator(f"[data-key={key}]"))
    pulling.expect_screen(there)
    before = kept_lines(pulling.page)

    press_back(pulling)

    pulling.expect_screen("pull")
    expect(pulling.page.locator(here)).to_have_count(0)
    assert kept_lines(pulling.page) == before


def test_a_stop_that_stands_is_not_left(pulling):
    stopped_by_poor_pulls(pulling)
    before = kept_lines(pulling.page)

    press_back(pulling)

    expect_stays(pulling, "stop")
    assert kept_lines(pulling.page) == before


def test_after_a_reload_it_lands_in_the_birth_and_stays(pulling):
    before = kept_lines(pulling.page)

    # The first visit of a page is not answered from what the tablet keeps.
    pulling.page.context.set_offline(False)
    pulling.page.reload()
    expect_begun(pulling.page)
    pulling.expect_screen("pull")
    press_back(pulling)

    expect_stays(pulling, "pull")
    assert kept_lines(pulling.page) == before


def test_a_tablet_that_comes_back_in_another_page_stays_too(station, context):  # noqa: F811
    first = open_app(context, station.url)
    first.start_at_once()
    first.page.close()

    again = open_app(context, station.url)
    again.expect_screen("cup")
    press_back(again)
    again.expect_screen("home")
    press_back(again)

    expect_stays(again, "home")


def test_a_page_that_only_reads_stays_too(writer):
    reader = read_along(writer)
    reader.expect_screen("pull")

    press_back(reader)

    expect_stays(reader, "pull")


def test_a_page_that_only_reads_comes_back_from_the_stop_that_it_opened(writer):
    before = tapped(writer)
    reader = read_along(writer)
    reader.ask_to_stop()

    press_back(reader)

    reader.expect_screen("pull")
    reader.ask_to_stop()
    reader.tap("stop.choose_back")
    reader.expect_screen("pull")
    assert tapped(writer) == before


def test_a_page_of_the_station_is_left_as_ever(station, context):  # noqa: F811
    hands = open_app(context, station.url)
    hands.start_at_once()

    hands.page.goto(f"{station.url}/v1/health")
    hands.page.go_back()
    expect_begun(hands.page)
    hands.expect_screen("cup")

    press_back(hands)
    hands.expect_screen("home")


def test_with_no_birth_open_it_leaves_the_app(station, context):  # noqa: F811
    hands = open_at(context, station.url, MORNING)

    hands.page.go_back()

    assert hands.page.url == "about:blank"


def test_after_the_birth_was_closed_it_leaves_the_app_again(pulling):
    pulling.ask_to_stop()
    pulling.stop()
    pulling.tap("pull.cup_off")
    pulling.hold(pulling.key("after.close"))
    pulling.expect_screen("home")

    pulling.page.go_back()
    pulling.page.wait_for_function("!history.state")
    pulling.page.go_back()

    assert pulling.page.url == "about:blank"

"""What belongs to the room: the foot switch that stands for PULL, and the names of the beds."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from checklist.tables import STATIC
from tests.browser.app import WORDS, kept_events, open_at

NOON = dt.datetime(2026, 3, 2, 12, 0, tzinfo=dt.UTC)
SWITCHES = ["PageDown", "PageUp", "ArrowDown", "ArrowLeft", "F5", "F12"]


@pytest.fixture
def midwife(served, tmp_path, context):
    """A tablet on the first screen, its clock driven by the test."""
    served.start(STATIC, data=tmp_path / "station")
    return open_at(context, served.url, NOON)


def switch_on(midwife) -> None:
    midwife.tap("home.settings")
    midwife.tap("settings.foot.on")
    midwife.tap("app.back")


def ready_to_pull(midwife) -> None:
    midwife.start("2")
    midwife.answer_all()
    midwife.decide()
    midwife.apply()


def step(midwife, key: str = "PageDown") -> None:
    """Step on the switch, longer than a bounce after the step before."""
    midwife.wait(1)
    midwife.page.keyboard.press(key)
    midwife.wait(0.1)


def pulls(midwife) -> list[tuple[str, str]]:
    return [(event["kind"], event["facts"].get("source")) for event in kept_events(midwife.page) if event["kind"].startswith("pull_")]


@pytest.mark.parametrize("key", SWITCHES)
def test_a_step_begins_the_pull_and_the_next_ends_it(midwife, key):
    switch_on(midwife)
    ready_to_pull(midwife)

    step(midwife, key)
    step(midwife, key)

    assert pulls(midwife) == [("pull_began", "foot"), ("pull_ended", "foot")]


def test_it_is_off_until_it_is_switched_on(midwife):
    ready_to_pull(midwife)

    step(midwife)

    assert pulls(midwife) == []


def test_a_held_switch_and_a_bounce_count_once(midwife):
    switch_on(midwife)
    ready_to_pull(midwife)
    midwife.wait(1)

    midwife.page.keyboard.down("PageDown")
    midwife.page.keyboard.down("PageDown")
    midwife.page.keyboard.up("PageDown")
    midwife.wait(0.6)
    midwife.page.keyboard.press("PageDown")
    midwife.wait(0.1)

    assert pulls(midwife) == [("pull_began", "foot")]


def test_a_foot_right_after_the_finger_is_a_bounce(midwife):
    switch_on(midwife)
    ready_to_pull(midwife)
    midwife.wait(1)

    midwife.begin_pull()
    midwife.page.keyboard.press("PageDown")
    midwife.wait(0.1)

    assert pulls(midwife) == [("pull_began", "key")]


def test_nothing_but_pull_can_be_stepped(midwife):
    switch_on(midwife)
    ready_to_pull(midwife)
    midwife.detach()

    for key in SWITCHES:
        step(midwife, key)
    midwife.check_scalp()
    midwife.ask_to_stop()
    before = len(kept_events(midwife.page))
    step(midwife)

    assert pulls(midwife) == []
    assert len(kept_events(midwife.page)) == before
    midwife.expect_screen("stop")


def test_another_key_or_a_chord_is_no_step(midwife):
    switch_on(midwife)
    ready_to_pull(midwife)

    for key in ("a", "Home", "Shift+PageDown", "Alt+ArrowLeft"):
        step(midwife, key)

    assert pulls(midwife) == []


def test_the_live_screen_says_when_the_switch_was_seen(midwife):
    switch_on(midwife)
    ready_to_pull(midwife)
    expect(midwife.page.get_by_text(WORDS.text("foot.unseen"))).to_be_visible()

    step(midwife)
    midwife.wait(12)

    expect(midwife.page.get_by_text(WORDS.text("foot.seen", n=12))).to_be_visible()


def bed_keys(midwife) -> list[str]:
    """The beds that the first question offers."""
    midwife.start()
    group = midwife.page.locator("[data-question=bed]").get_by_role("button")
    names = [" ".join(text.split()) for text in group.all_inner_texts()]
    return [name for name in names if name != WORDS.text("before.no_bed")]


def test_beds_are_counted_and_named_in_the_settings_and_offered_by_the_first_question(midwife):
    midwife.tap("home.settings")
    for _ in range(3):
        midwife.tap("settings.beds.more", redraws=False)
    midwife.tap("settings.bed_names.letters")
    midwife.tap("app.back")

    assert bed_keys(midwife) == list("ABCDEFGHIJK")
    midwife.press(midwife.labelled("K"))

    assert [event["facts"]["answer"] for event in kept_events(midwife.page) if event["kind"] == "check_answered"] == ["K"]


@pytest.mark.parametrize(("name", "times", "count"), [("fewer", 9, 1), ("more", 14, 20)])
def test_there_is_at_least_one_bed_and_at_most_twenty(midwife, name, times, count):
    midwife.tap("home.settings")

    for _ in range(times):
        midwife.page.get_by_role("button", name=WORDS.text(f"settings.beds.{name}")).click()
    midwife.tap("app.back")

    assert bed_keys(midwife) == [str(bed) for bed in range(1, count + 1)]

"""Nothing is refused and nothing is erased: what a slip or a late tap does to the counts."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import expect_told, kept_events, midwife, station  # noqa: F401
from tests.labels import pattern
from tests.midwife import Midwife

REST_S = 90


@pytest.fixture
def pulling(midwife) -> Midwife:  # noqa: F811
    """The cup is on and nobody has pulled yet."""
    midwife.start_at_once()
    midwife.apply()
    return midwife


def kinds(midwife: Midwife) -> list[str]:  # noqa: F811
    return [event["kind"] for event in kept_events(midwife.page)]


def last_facts(midwife: Midwife, kind: str) -> dict:  # noqa: F811
    return next(event for event in reversed(kept_events(midwife.page)) if event["kind"] == kind)["facts"]


def test_undo_takes_the_last_tap_back_and_goes_after_ten_seconds(pulling):
    pulling.pull(20, "no")
    pulling.undo()
    expect(pulling.key("app.no")).to_be_visible()
    assert kinds(pulling)[-1] == "withdrawn"

    pulling.judge("yes")
    pulling.wait(9.8)
    expect(pulling.key("app.undo")).to_be_visible()
    pulling.wait(0.3)

    expect(pulling.key("app.undo")).to_be_hidden()
    assert "descent_judged" in kinds(pulling)


def test_half_typed_digits_outlive_the_undo(pulling):
    pulling.pull(20, "yes")
    pulling.tap("pull.fetal_heart")
    pulling.page.get_by_role("button", name="1", exact=True).click()
    pulling.lift()

    pulling.wait(12)
    pulling.type(42)

    assert last_facts(pulling, "fetal_heart_counted") == {"heard": "yes", "bpm": 142}


def test_a_missed_pull_is_added(pulling):
    pulling.wait(600)
    pulling.press(pulling.key("pull.see_log"))
    pulling.tap("log.missed_pull")
    pulling.tell_missed(2)
    pulling.tap("app.back")

    assert pulling.counts()["pulls"] == 1
    told = [event["ago"] for event in kept_events(pulling.page) if event["kind"].startswith("pull_")]
    assert told == [120, 90]


def test_an_entry_is_put_a_minute_earlier(pulling):
    before = pulling.counts()["minutes"]
    pulling.press(pulling.key("pull.see_log"))
    entry = pulling.page.get_by_role("listitem").filter(has_text="Soft, 60")
    entry.locator("summary").click()
    pulling.press(entry.get_by_role("button", name=pattern("1 min earlier")))
    pulling.tap("app.back")

    assert pulling.counts()["minutes"] == before + 1
    assert last_facts(pulling, "amended")["set_ago"] == 60


def test_an_opened_entry_stays_open_when_advice_draws_the_list_anew(pulling):
    pulling.press(pulling.key("pull.see_log"))
    entry = pulling.page.get_by_role("listitem").filter(has_text="Soft, 60")
    entry.locator("summary").click()
    entry.locator("summary").focus()
    earlier = entry.get_by_role("button", name=pattern("1 min earlier"))
    drawn, stood = entry.element_handle(), earlier.bounding_box()

    pulling.wait(11 * 60)

    assert not drawn.evaluate("(entry) => entry.isConnected"), "nothing was drawn anew"
    expect(earlier).to_be_visible()
    assert earlier.bounding_box() == stood
    expect(entry.locator("summary")).to_be_focused()


def test_a_fourth_pull_after_the_stop_is_the_fourth(pulling):
    for _ in range(3):
        pulling.pull(30, "yes")
        pulling.wait(REST_S)
    pulling.expect_screen("stop")
    pulling.go_on()
    pulling.pull(30, None)

    pulling.expect_screen("stop")
    assert kinds(pulling).count("pull_began") == 4
    expect(pulling.page.get_by_role("alert")).to_contain_text("4")


def test_a_stopped_case_is_closed_and_the_tablet_is_free(pulling):
    pulling.ask_to_stop()
    pulling.stop()
    expect_told(pulling.page, "stop.stopped_title")
    pulling.tap("stop.cup_off")

    pulling.close()

    expect(pulling.key("home.start")).to_be_enabled()
    expect(pulling.page.get_by_text(pulling.words.text("home.go_back"))).to_have_count(0)
    assert kinds(pulling)[-1] == "case_closed"
    assert last_facts(pulling, "vacuum_stopped")["why"] == "choice"


def test_a_short_touch_does_not_start_against_the_verdict(midwife):  # noqa: F811
    midwife.start()
    hold = midwife.choose_to_override("senior", "too_far")

    hold.click()
    midwife.wait(3)
    midwife.expect_screen("verdict")
    midwife.hold(hold)

    midwife.expect_screen("cup")
    told = last_facts(midwife, "decision_made")
    assert told == {"decision": "proceed", "verdict": "unknown", "override": True, "role": "senior", "reason": "too_far"}


def test_the_override_works_by_keyboard_with_two_presses(midwife):  # noqa: F811
    midwife.start()
    midwife.choose_to_override().focus()

    midwife.page.keyboard.press("Enter")
    midwife.expect_screen("verdict")
    expect(midwife.key("app.press_again")).to_be_focused()
    midwife.page.keyboard.press("Enter")

    midwife.expect_screen("cup")
    midwife.expect_kept()
    assert last_facts(midwife, "decision_made")["override"] is True

"""Every live stop rule comes at its second: seen, heard, written down."""

import pytest

from tests.browser.app import kept_events, station  # noqa: F401
from tests.browser.heard import bursts, weights
from tests.browser.stops import (  # noqa: F401
    expect_banner,
    expect_stop,
    go_to,
    midwife,
    shown,
    since,
)

REST_S = 60
MINUTE_S = 60


def test_three_descent_pulls_ended_with_the_head_not_on_the_perineum(midwife):
    midwife.pull(30, "yes")
    assert shown(midwife, "descent_pulls") == []
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(1)
    expect_banner(midwife, "limit.descent_pulls.caution", 2)
    assert weights(midwife.page) == ["medium"]
    midwife.wait(30)
    midwife.end_pull()
    midwife.judge("yes")
    midwife.wait(REST_S)
    midwife.pull(30, None)
    assert shown(midwife, "descent_pulls", "stop") == []

    midwife.judge("yes")

    midwife.wait(0.5)
    expect_stop(midwife, "descent_pulls", 3)
    assert weights(midwife.page).count("high") == 1


def test_a_third_pull_that_nobody_judges_is_over_after_ten_seconds(midwife):
    for _ in range(2):
        midwife.pull(30, "yes")
        midwife.wait(REST_S)
    midwife.pull(30, None)
    ended = [event["at"] for event in kept_events(midwife.page) if event["kind"] == "pull_ended"][-1]

    go_to(midwife, ended + 9_000)
    assert shown(midwife, "descent_pulls", "stop") == []
    go_to(midwife, ended + 10_300)

    expect_stop(midwife, "descent_pulls", 3)


def test_the_head_on_the_perineum_begins_a_count_of_its_own(midwife):
    midwife.pull(30, "yes")
    midwife.wait(REST_S)
    midwife.pull(30, "perineum")
    for _ in range(2):
        midwife.wait(REST_S)
        midwife.pull(30, "yes")
        midwife.expect_screen("pull")
    midwife.wait(REST_S)

    midwife.pull(30, "yes")

    midwife.wait(0.5)
    expect_stop(midwife, "perineal_pulls", 3)


def test_the_first_detachment_is_a_caution_and_the_second_a_stop(midwife):
    midwife.begin_pull()
    midwife.wait(20)
    midwife.detach()
    midwife.wait(1)
    expect_banner(midwife, "limit.detachments.caution", 1)
    assert weights(midwife.page) == ["medium"]
    midwife.check_scalp()
    midwife.apply()
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(20)

    midwife.detach()

    midwife.wait(0.5)
    expect_stop(midwife, "detachments", 2)
    assert weights(midwife.page).count("high") == 1


def test_the_first_poor_pull_is_a_caution_and_the_second_a_stop(midwife):
    midwife.pull(30, "no")
    midwife.wait(1)
    expect_banner(midwife, "limit.poor_pulls.caution", 1)
    assert weights(midwife.page) == ["medium"]
    midwife.wait(REST_S)
    midwife.pull(30, None)
    assert shown(midwife, "poor_pulls", "stop") == []

    midwife.judge("no")

    midwife.wait(0.5)
    expect_stop(midwife, "poor_pulls", 2)


# ---- the rules that watch the clock ----

@pytest.mark.parametrize(("minutes", "message", "weight"), [
    (10, "limit.cup_minutes.plan", None), (15, "limit.cup_minutes.decide", "medium"),
])
def test_minutes_since_the_cup_went_on_are_a_caution_at_their_second(midwife, minutes, message, weight):
    due = since(midwife, "cup_applied") + minutes * MINUTE_S * 1000
    said = weights(midwife.page)
    go_to(midwife, due - 1000)
    assert message not in [facts["message"] for facts in shown(midwife, "cup_minutes")]
    before = len(weights(midwife.page))

    go_to(midwife, due + 250)

    expect_banner(midwife, message, minutes)
    assert shown(midwife, "cup_minutes")[-1]["message"] == message
    assert weights(midwife.page)[before:] == ([weight] if weight else [])
    assert "high" not in said


def test_twenty_minutes_since_the_cup_went_on_are_a_stop_at_their_second(midwife):
    due = since(midwife, "cup_applied") + 20 * MINUTE_S * 1000
    go_to(midwife, due - 1000)
    midwife.expect_screen("pull")
    assert midwife.counts()["minutes"] == 19
    assert "high" not in weights(midwife.page)

    go_to(midwife, due + 250)

    expect_stop(midwife, "cup_minutes", 20)
    assert weights(midwife.page)[-1] == "high"
    assert 0 <= bursts(midwife.page)[-1].at - due <= 250


def test_traction_is_a_caution_at_eight_minutes_and_a_stop_at_ten(midwife):
    midwife.begin_pull()
    began = since(midwife, "pull_began")

    go_to(midwife, began + 8 * MINUTE_S * 1000 - 1000)
    assert shown(midwife, "traction_minutes") == []
    go_to(midwife, began + 8 * MINUTE_S * 1000 + 250)
    assert [facts["level"] for facts in shown(midwife, "traction_minutes")] == ["caution"]
    go_to(midwife, began + 10 * MINUTE_S * 1000 - 1000)
    assert shown(midwife, "traction_minutes", "stop") == []
    go_to(midwife, began + 10 * MINUTE_S * 1000 + 250)

    midwife.expect_screen("pull")
    expect_banner(midwife, "limit.traction_minutes.stop", 10)
    midwife.end_pull()
    expect_stop(midwife, "traction_minutes", 10)

"""Every live stop rule comes at its second: seen, heard, written down, and answered by name."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, expect_told, kept_events, open_at, station  # noqa: F401
from tests.browser.heard import SPY, bursts, weights
from tests.midwife import Midwife

REST_S = 60
MINUTE_S = 60


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


# ---- the rules that count ----

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


# ---- what is heard, and what an answer does ----

def stopped_by_poor_pulls(midwife: Midwife) -> None:
    midwife.pull(30, "no")
    midwife.wait(REST_S)
    midwife.pull(30, "no")
    midwife.wait(0.5)
    midwife.expect_screen("stop")


def test_a_standing_stop_is_heard_every_ten_seconds_in_the_pattern_of_a_high_alarm(midwife):
    stopped_by_poor_pulls(midwife)
    first = bursts(midwife.page)[-1]

    midwife.page.clock.run_for(9_000)
    assert bursts(midwife.page)[-1] == first
    midwife.page.clock.run_for(22_000)

    high = [burst for burst in bursts(midwife.page) if burst.weight == "high"]
    assert [round((burst.at - first.at) / 1000) for burst in high] == [0, 10, 20, 30]
    assert first.buzzes > 3
    gaps = [round(b - a, 2) for a, b in zip(first.pulses, first.pulses[1:], strict=False)]
    assert gaps[:4] == gaps[5:]
    assert gaps[2] > gaps[1]
    assert gaps[4] == max(gaps)


def test_a_standing_stop_is_quiet_for_a_minute_when_tapped_and_comes_back(midwife):
    stopped_by_poor_pulls(midwife)
    before = len(bursts(midwife.page))
    midwife.press(banner(midwife, "stop").get_by_role("button"))
    quiet_from = wall(midwife)

    midwife.page.clock.run_for(59_000)
    assert len(bursts(midwife.page)) == before
    midwife.page.clock.run_for(2_000)

    assert len(bursts(midwife.page)) == before + 1
    assert bursts(midwife.page)[-1].at - quiet_from >= 59_900
    assert answers(midwife) == [("poor_pulls", "quiet")]
    expect(midwife.key("stop.choose_continue")).to_be_visible()


def test_going_on_is_recorded_silences_and_the_next_pull_alarms_again(midwife):
    stopped_by_poor_pulls(midwife)
    midwife.go_on()
    midwife.expect_screen("pull")
    assert answers(midwife) == [("poor_pulls", "continued")]
    before = len(bursts(midwife.page))
    midwife.page.clock.run_for(25_000)
    assert "high" not in weights(midwife.page)[before:]

    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(1)

    assert weights(midwife.page)[-1] == "high"
    assert len(shown(midwife, "poor_pulls", "stop")) == 2
    midwife.wait(20)
    midwife.end_pull()
    midwife.expect_screen("stop")


def test_stopping_is_recorded_with_its_reason_and_is_quiet(midwife):
    stopped_by_poor_pulls(midwife)
    midwife.stop()
    before = len(bursts(midwife.page))
    midwife.page.clock.run_for(30_000)

    assert len(bursts(midwife.page)) == before
    assert answers(midwife) == [("poor_pulls", "stopped")]
    told = [event["facts"] for event in kept_events(midwife.page) if event["kind"] == "vacuum_stopped"]
    assert told == [{"why": "no_descent"}]
    expect_told(midwife.page, "stop.stopped_title")


def test_a_birth_within_the_rules_hears_no_stop_and_at_most_two_cautions(station, context):  # noqa: F811
    context.add_init_script(SPY)
    midwife = open_at(context, station.url, MORNING)
    midwife.start()
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    for descent in ("yes", "perineum", "yes"):
        midwife.wait(REST_S)
        midwife.pull(40, descent)
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(20)
    midwife.head_out()
    midwife.cup_off()
    midwife.born()
    midwife.wait(30)

    heard = weights(midwife.page)
    assert heard.count("high") == 0
    assert set(heard) <= {"medium"}
    assert len(heard) <= 2


# ---- the clock itself ----

def test_minutes_go_on_over_midnight(station, context):  # noqa: F811
    midwife = pulling_at(station, context, dt.datetime(2026, 2, 28, 23, 58, tzinfo=dt.UTC))

    go_to(midwife, since(midwife, "cup_applied") + 7 * MINUTE_S * 1000 + 500)

    assert midwife.counts()["minutes"] == 7
    assert shown(midwife, "clock") == []


@pytest.mark.parametrize(("jump", "sentences"), [
    (5, ("limit.clock.unknown", "limit.clock.unknown.more")), (16, ("limit.cup_minutes.unknown",)),
])
def test_a_clock_set_forward_shows_the_longer_time_and_says_so(midwife, jump, sentences):
    midwife.wait(2 * MINUTE_S)

    midwife.page.clock.set_system_time(wall_time(midwife) + dt.timedelta(minutes=jump))
    midwife.page.clock.run_for(2_000)
    midwife.expect_kept()

    assert midwife.counts()["minutes"] == 2 + jump
    for sentence in sentences:
        expect_told(midwife.page, sentence)
    told = [event["facts"] for event in kept_events(midwife.page) if event["kind"] == "clock_jumped"]
    assert [facts["cause"] for facts in told] == ["unknown"]
    assert abs(told[0]["ms"] - jump * MINUTE_S * 1000) < 2000


def test_a_clock_set_back_takes_no_minute_away(midwife):
    midwife.wait(5 * MINUTE_S)
    before = midwife.counts()["minutes"]

    midwife.page.clock.set_system_time(wall_time(midwife) - dt.timedelta(hours=3))
    midwife.page.clock.run_for(2_000)
    midwife.expect_kept()

    assert midwife.counts()["minutes"] == before


def wall_time(midwife: Midwife) -> dt.datetime:
    return dt.datetime.fromtimestamp(wall(midwife) / 1000, dt.UTC)

"""A standing stop is heard until somebody answers it by name, and only then is quiet."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, expect_told, kept_events, open_at, station  # noqa: F401
from tests.browser.heard import SPY, bursts, weights
from tests.browser.stops import (  # noqa: F401
    answers,
    banner,
    go_to,
    midwife,
    pulling_at,
    shown,
    since,
    wall,
)
from tests.midwife import Midwife

REST_S = 60
MINUTE_S = 60


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


@pytest.mark.parametrize("jump", [5, 16], ids=["with nothing to warn of", "beside a caution"])
def test_a_clock_set_forward_shows_the_longer_time_and_says_so(midwife, jump):
    midwife.wait(2 * MINUTE_S)

    midwife.page.clock.set_system_time(wall_time(midwife) + dt.timedelta(minutes=jump))
    midwife.page.clock.run_for(2_000)
    midwife.expect_kept()

    assert midwife.counts()["minutes"] == 2 + jump
    expect_told(midwife.page, "limit.cup_minutes.unknown")
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


def test_what_was_said_of_one_woman_is_said_again_of_the_next(midwife):
    midwife.detach()
    assert [one["level"] for one in shown(midwife, "detachments")] == ["caution"]
    midwife.check_scalp()
    midwife.tap("app.back", redraws=False)

    midwife.start_at_once()
    midwife.apply()
    before = len(bursts(midwife.page))
    midwife.detach()

    assert [one["level"] for one in shown(midwife, "detachments")] == ["caution", "caution"]
    assert len(bursts(midwife.page)) > before

"""Worked births, minute by minute: where the published stop rules bite.

Each birth is told as events and judged by both halves with the newest protocol.
The rules: RCOG Green-top Guideline 26 (3 pulls and 3 gentle ones, stop after the
second detachment; from memory), Ekeus 2017 (never more than 6 pulls; read), SOGC
381 (20 min; from memory).
"""

import pytest

from checklist.tables import protocol_in_force
from tests.halves import PREVIOUS

MINUTE = 60_000
# 23:50:00 UTC, so that ten minutes later it is another day.
START = 1_764_114_600_000


def told(*steps):
    """Turn (minute, kind, facts) into the events of one case."""
    return [
        {
            "log": "0" * 32,
            "seq": number,
            "case": "c" * 16,
            "kind": kind,
            "at": START + round(minute * MINUTE),
            "boot": "b" * 8,
            "tick": round(minute * MINUTE),
            "ago": 0,
            "protocol": "",
            "facts": facts,
        }
        for number, (minute, kind, facts) in enumerate(steps, 1)
    ]


def opened():
    return [
        (0, "case_opened", {"mode": "real", "altitude_m": 0, "gauge_unit": "kpa"}),
        (0, "cup_applied", {"cup": "soft", "mm": 60, "placement": "flexing_median"}),
    ]


def pull(minute, descent):
    return [
        (minute, "pull_began", {}),
        (minute + 0.75, "pull_ended", {}),
        (minute + 0.8, "descent_judged", {"descent": descent}),
    ]


def judged(half, steps, minute):
    """Fold and advise at a minute: {limit: level}."""
    now = {"at": START + round(minute * MINUTE), "boot": "b" * 8, "tick": round(minute * MINUTE)}
    findings = half.chain(
        ("core/case", "fold", [told(*steps)]),
        ("core/limits", "advise", [PREVIOUS, protocol_in_force()[1], now]),
    )
    return {finding["limit"]: finding["level"] for finding in findings}


def stops(half, steps, minute):
    return sorted(name for name, level in judged(half, steps, minute).items() if level == "stop")


def test_three_pulls_without_descent_end_in_a_stop(half):
    steps = opened() + pull(1, "no") + pull(3, "no") + pull(5, "no")

    assert {"descent_pulls", "poor_pulls"} <= set(stops(half, steps, 6))


def test_two_pulls_with_descent_are_no_stop(half):
    steps = opened() + pull(1, "yes") + pull(3, "yes")

    assert stops(half, steps, 4) == []


def test_three_pulls_with_descent_end_in_a_stop_when_the_perineum_is_not_reached(half):
    steps = opened() + pull(1, "yes") + pull(3, "yes") + pull(5, "yes")

    assert stops(half, steps, 6) == ["descent_pulls"]


@pytest.fixture
def on_the_perineum():
    """Three pulls that bring the head down, the third on to the perineum."""
    return (
        opened()
        + pull(1, "yes")
        + pull(3, "yes")
        + [(5, "pull_began", {}), (5.5, "perineum_reached", {}), (5.75, "pull_ended", {})]
        + [(5.8, "descent_judged", {"descent": "yes"})]
    )


def test_three_gentle_pulls_more_are_allowed_on_the_perineum(half, on_the_perineum):
    steps = on_the_perineum + pull(7, "yes") + pull(9, "yes") + [(11, "pull_began", {})]

    assert stops(half, on_the_perineum, 6.5) == []
    assert stops(half, steps, 11.5) == []


def test_the_seventh_pull_would_be_past_the_stop(half, on_the_perineum):
    steps = on_the_perineum + pull(7, "yes") + pull(9, "yes") + pull(11, "yes")

    assert stops(half, steps, 12) == ["perineal_pulls", "pulls"]


def test_the_second_detachment_is_a_stop_even_at_minute_4(half):
    once = opened() + [(1, "pull_began", {}), (1.5, "cup_detached", {"cause": "leak"})]
    again = [
        (2, "scalp_checked", {"finding": "whole"}),
        (2.5, "cup_applied", {"cup": "soft", "mm": 60, "placement": "flexing_median"}),
        (3.5, "pull_began", {}),
        (4, "cup_detached", {"cause": "leak"}),
    ]

    assert judged(half, once, 1.6)["detachments"] == "caution"
    assert stops(half, once, 1.6) == []
    assert "detachments" in stops(half, once + again, 4)


@pytest.mark.parametrize(
    ("minute", "level"),
    [
        (9.99, "clear"),
        (10, "caution"),
        (14.99, "caution"),
        (15, "caution"),
        (19.99, "caution"),
        (20, "stop"),
        (20.01, "stop"),
    ],
)
def test_minutes_run_over_midnight_to_plan_decide_and_stop(half, minute, level):
    assert judged(half, opened(), minute)["cup_minutes"] == level


def test_the_decision_at_15_minutes_is_another_message_than_the_plan_at_10(half):
    def message(minute):
        now = {"at": START + minute * MINUTE, "boot": "b" * 8, "tick": minute * MINUTE}
        findings = half.chain(
            ("core/case", "fold", [told(*opened())]),
            ("core/limits", "advise", [PREVIOUS, protocol_in_force()[1], now]),
        )
        return next(row["message"] for row in findings if row["limit"] == "cup_minutes")

    assert message(10) == message(14)
    assert message(15) != message(14)
    assert message(15) == message(19)


def test_minutes_run_on_through_a_detachment(half):
    steps = opened() + [
        (8, "cup_detached", {"cause": "leak"}),
        (9, "scalp_checked", {"finding": "whole"}),
        (10, "cup_applied", {"cup": "soft", "mm": 60, "placement": "flexing_median"}),
    ]

    assert judged(half, steps, 19)["cup_minutes"] == "caution"
    assert judged(half, steps, 20)["cup_minutes"] == "stop"


# 450 mmHg is 59,995 Pa and means 60 kPa; 600 mmHg, 0.8 kgf/cm2 and 80 kPa are three
# numbers that all mean the maximum; 24 inHg is past it.
@pytest.mark.parametrize(
    ("unit", "reading", "level"),
    [
        ("mmhg", 449000, "caution"),
        ("mmhg", 450000, "clear"),
        ("mmhg", 451000, "clear"),
        ("kpa", 59000, "caution"),
        ("kpa", 60000, "clear"),
        ("kpa", 80000, "clear"),
        ("kpa", 81000, "stop"),
        ("mmhg", 600000, "clear"),
        ("mmhg", 601000, "stop"),
        ("kgf_cm2", 800, "clear"),
        ("kgf_cm2", 820, "stop"),
        ("bar", 800, "clear"),
        ("bar", 810, "stop"),
        ("inhg", 24000, "stop"),
    ],
)
def test_working_suction_is_judged_in_the_unit_that_was_read(half, unit, reading, level):
    pa = half.call("core/units", "pascals", [unit, reading])
    facts = {"stage": "working", "pa": pa, "unit": unit, "reading": reading}

    found = judged(half, [*opened(), (1, "suction_set", facts)], 2)

    assert found["working_suction"] == level

"""Where each limit begins: below, at and above, in both halves.

The bounds are the shipped ones (proposals from clinical-facts, most from memory);
tests/outside holds them against publications.
"""

import pytest

from tests.judge import judged, levels
from tests.stories import a_case, ready_to_pull

START = ready_to_pull()


def pulls(count, descent="yes", story=START):
    for _ in range(count):
        story = story.pull(40, descent=descent)
    return story


def pulls_in_turn(count):
    """Three pulls on the way down, then gentle ones on the perineum."""
    down = pulls(min(count, 3))
    return pulls(count - 3, story=down.perineum()) if count > 3 else down


def detachments(count):
    story = START
    for _ in range(count):
        story = story.after(60).begins().after(5).detached().after(5).scalp().ready()
    return story


def hearts(bpm):
    return START.heart(bpm)


def suctions(stage, unit, reading):
    return a_case().opened().cup_on().suction(stage, unit, reading)


def minutes(seconds):
    """The cup is on for so many seconds and nothing else happens."""
    return a_case().opened().cup_on().after(seconds)


def traction(seconds):
    """One pull that is open for so long; ten minutes of traction in all."""
    return a_case().opened().cup_on().begins().after(seconds)


COUNTS = [
    ("descent_pulls", lambda n: pulls(n), [(1, "clear"), (2, "caution"), (3, "stop"), (4, "stop")]),
    (
        "perineal_pulls",
        lambda n: pulls(n, story=START.perineum()),
        [(1, "clear"), (2, "caution"), (3, "stop"), (4, "stop")],
    ),
    (
        "pulls",
        pulls_in_turn,
        [(3, "clear"), (4, "caution"), (5, "caution"), (6, "stop"), (7, "stop")],
    ),
    (
        "poor_pulls",
        lambda n: pulls(n, descent="no"),
        [(0, "clear"), (1, "caution"), (2, "stop"), (3, "stop")],
    ),
    ("detachments", detachments, [(0, "clear"), (1, "caution"), (2, "stop"), (3, "stop")]),
    (
        "fetal_heart",
        hearts,
        [
            (109, "caution"),
            (110, "clear"),
            (111, "clear"),
            (159, "clear"),
            (160, "clear"),
            (161, "caution"),
        ],
    ),
]
TIMES = [
    ("cup_minutes", minutes, 10 * 60, "clear", "caution"),
    ("cup_minutes", minutes, 15 * 60, "caution", "caution"),
    ("cup_minutes", minutes, 20 * 60, "caution", "stop"),
    ("traction_minutes", traction, 8 * 60, "clear", "caution"),
    ("traction_minutes", traction, 10 * 60, "caution", "stop"),
]
# Whole thousandths of the unit; a gauge's next step on either side of each edge.
# 450 mmHg is 59,995 Pa and means 60 kPa; 600 mmHg, 0.8 kgf/cm2 and 80 kPa all mean
# the maximum.
EDGES = [
    ("first", "kpa", 1000, 13_000, 20_000, "caution"),
    ("first", "mmhg", 1000, 100_000, 150_000, "caution"),
    ("first", "kgf_cm2", 10, 140, 200, "caution"),
    ("first", "bar", 10, 130, 200, "caution"),
    ("first", "inhg", 100, 3_900, 5_900, "caution"),
    ("working", "kpa", 1000, 60_000, 80_000, "stop"),
    ("working", "mmhg", 1000, 450_000, 600_000, "stop"),
    ("working", "kgf_cm2", 10, 620, 800, "clear"),
    ("working", "bar", 10, 600, 800, "stop"),
    ("working", "inhg", 100, 17_800, 23_600, "stop"),
]


@pytest.mark.parametrize(
    ("limit", "tell", "count", "level"),
    [(limit, tell, n, level) for limit, tell, trio in COUNTS for n, level in trio],
)
def test_a_count_changes_its_level_at_its_bound(half, limit, tell, count, level):
    assert levels(half, tell(count))[limit] == level


@pytest.mark.parametrize(("limit", "tell", "bound_s", "below", "at"), TIMES)
def test_a_time_changes_its_level_at_its_bound(half, limit, tell, bound_s, below, at):
    found = [levels(half, tell(bound_s + more))[limit] for more in (-0.001, 0, 0.001)]

    assert found == [below, at, at]


def test_the_plan_at_10_and_the_decision_at_15_minutes_are_two_messages(half):
    said = [
        next(row for row in judged(half, minutes(s))["findings"] if row["limit"] == "cup_minutes")
        for s in (599.999, 600, 899.999, 900, 1199.999, 1200)
    ]

    assert [row["message"].removeprefix("limit.cup_minutes.") for row in said] == [
        "clear", "plan", "plan", "decide", "decide", "stop",
    ]
    assert [row["bound"] for row in said] == [None, 10, 10, 15, 15, 20]


@pytest.mark.parametrize(("stage", "unit", "step", "floor", "ceiling", "over"), EDGES)
def test_suction_changes_its_level_at_both_edges(half, stage, unit, step, floor, ceiling, over):
    readings = [floor - step, floor, floor + step, ceiling - step, ceiling, ceiling + step]

    found = [levels(half, suctions(stage, unit, r))[f"{stage}_suction"] for r in readings]

    # 0.81 kgf/cm2 is 79.4 kPa: under the ceiling of 80.0 kPa, though over its own mark.
    assert found == ["caution", "clear", "clear", "clear", "clear", over]

"""Where each limit begins: below, at and above, in both halves.

The bounds are the shipped ones (proposals from clinical-facts, most from memory);
tests/outside holds them against publications.
"""

import pytest

from checklist.core.protocol import limit_row
from checklist.tables import protocol_in_force
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


def test_the_fetal_heart_changes_its_level_outside_its_range(half):
    row = limit_row(protocol_in_force()[1], "fetal_heart")
    low, high = row["low"], row["high"]

    found = [
        levels(half, hearts(bpm))["fetal_heart"]
        for bpm in (low - 1, low, low + 1, high - 1, high, high + 1)
    ]

    assert found == ["caution", "clear", "clear", "clear", "clear", "caution"]


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


def test_nothing_is_known_of_a_fetal_heart_that_nobody_counted(half):
    assert levels(half, START.withdraws(7))["fetal_heart"] == "unknown"


@pytest.mark.parametrize(
    ("tell", "level"),
    [
        (lambda s: s.heart(140), "clear"),
        (lambda s: s.heart(None, heard="unsure"), "unknown"),
        (lambda s: s.heart(140, heard="unsure"), "unknown"),
        (lambda s: s.heart(None, heard="yes"), "unknown"),
        (lambda s: s.heart(None, heard="no"), "caution"),
        (lambda s: s.heart(90).heart(140), "clear"),
        (lambda s: s.heart(140).ago(60).heart(90), "clear"),
        (lambda s: s.answered("fetal_heart", "not_heard"), "caution"),
        (lambda s: s.answered("fetal_heart", "value", value=90), "caution"),
        (lambda s: s.answered("fetal_heart", "value", value=140).answered("fetal_heart", "unsure"), "unknown"),
        (lambda s: s.answered("fetal_heart", "value"), "unknown"),
        (lambda s: s.answered("fetal_heart", "never_heard_of"), "unknown"),
    ],
)
def test_the_last_count_of_the_fetal_heart_decides_and_not_sure_is_not_clear(half, tell, level):
    assert levels(half, tell(a_case().opened().after(300)))["fetal_heart"] == level


@pytest.mark.parametrize(
    ("tell", "level"),
    [
        (lambda s: s, "unknown"),
        (lambda s: s.first_suction(), "unknown"),
        (lambda s: s.working_suction(), "clear"),
        (lambda s: s.working_suction(59_000), "caution"),
        (lambda s: s.working_suction().suction("released", "kpa", 0), "unknown"),
        (lambda s: s.tells("suction_set", stage="working"), "unknown"),
        (lambda s: s.tells("suction_set", stage="working", pa=80_001), "stop"),
        (lambda s: s.tells("suction_set", stage="working", pa=75_000, unit="kpa"), "unknown"),
    ],
)
def test_in_a_pull_suction_that_was_not_told_is_not_clear(half, tell, level):
    story = tell(a_case().opened().cup_on()).after(60).begins()

    assert levels(half, story)["working_suction"] == level


def test_a_gauge_that_shows_more_than_the_air_was_misread(half):
    high_up = a_case().opened(altitude_m=4500).cup_on().working_suction(60_000)

    assert levels(half, high_up)["working_suction"] == "unknown"
    assert levels(half, a_case().opened().cup_on().working_suction(60_000))["working_suction"] == "clear"


@pytest.mark.parametrize(("answers", "level"), [
    (("unsure",), "unknown"), (("yes",), "clear"), (("yes", "unsure"), "unknown"),
    (("no", "unsure"), "caution"), (("no", "yes"), "clear"), (("no", "yes", "no"), "caution"),
    (("no", "no"), "stop"), (("no", "unsure", "no"), "stop"), (("no", "no", "yes"), "clear"),
    (("unsure", "yes"), "clear"), (("unsure", "no"), "caution"), (("unsure", "yes", "unsure"), "unknown"),
])
def test_pulls_without_descent_count_since_the_last_descent(half, answers, level):
    story = START
    for answer in answers:
        story = story.pull(40, descent=answer)

    assert levels(half, story)["poor_pulls"] == level


def test_a_heart_counted_before_a_pull_that_ends_after_a_clock_was_set_back_is_an_old_one(half):
    story = START.begins().after(10).heart(140).reboots(after=-3_600).ends()

    assert levels(half, story)["fetal_heart"] == "unknown"


def test_a_pull_that_nobody_judged_leaves_it_open_whether_the_head_comes_down(half):
    assert levels(half, START.pull(40))["poor_pulls"] == "unknown"
    assert levels(half, START.after(60).begins())["poor_pulls"] == "clear"


@pytest.mark.parametrize("limit", ["cup_minutes", "traction_minutes", "clock"])
def test_minutes_by_a_doubtful_clock_are_not_clear(half, limit):
    story = a_case().opened().cup_on().after(60).sleeps(60)

    assert levels(half, story)[limit] == "unknown"
    assert levels(half, a_case().opened().cup_on().after(120))[limit] == "clear"


@pytest.mark.parametrize(
    ("limit", "undone", "done"),
    [
        ("rim", lambda s: s.cup_on().first_suction(), lambda s: s.swept()),
        ("rim", lambda s: s.cup_on().working_suction().swept("no"), lambda s: s.swept()),
        ("rim", lambda s: s.cup_on().working_suction().swept("unsure"), lambda s: s.swept()),
        ("rim", lambda s: s.cup_on().working_suction().swept().hiss(), lambda s: s.swept()),
        ("placement", lambda s: s.cup_on(placement="deflexing_median"), lambda s: s.cup_on()),
        ("scalp", lambda s: s.cup_on().detached(), lambda s: s.scalp("whole")),
        ("scalp", lambda s: s.cup_on().detached().scalp("unsure"), lambda s: s.scalp("bruised")),
    ],
)
def test_what_is_still_to_be_done_is_a_caution_until_it_is_done(half, limit, undone, done):
    story = undone(a_case().opened())

    assert levels(half, story)[limit] == "caution"
    assert levels(half, done(story))[limit] == "clear"


@pytest.mark.parametrize("placement", ["unsure", None])
def test_a_cup_whose_place_nobody_could_say_is_unknown(half, placement):
    told = {} if placement is None else {"placement": placement}
    story = a_case().opened().tells("cup_applied", cup="soft", **told)

    assert levels(half, story)["placement"] == "unknown"


def test_too_much_suction_is_a_stop_at_the_first_stage_too(half):
    story = a_case().opened().cup_on().suction("first", "kpa", 81_000)

    assert levels(half, story)["working_suction"] == "stop"


def test_a_cut_scalp_is_a_stop_and_no_later_look_clears_it(half):
    cut = a_case().opened().cup_on().detached().scalp("cut")

    assert levels(half, cut)["scalp_injury"] == "stop"
    assert levels(half, cut.after(60).scalp("whole"))["scalp_injury"] == "stop"
    assert levels(half, cut.withdraws(-1))["scalp_injury"] == "clear"


def test_of_cautions_the_heart_comes_first_and_pulls_that_are_counted_beside_them_last(half):
    story = pulls(2, descent="no").heart(96)

    cautions = [row["limit"] for row in judged(half, pulls(1).pull(40, descent="no").heart(96))["findings"] if row["level"] == "caution"]
    assert cautions == ["fetal_heart", "poor_pulls", "descent_pulls"]
    # A stop stands before either.
    assert [row["limit"] for row in judged(half, story)["findings"]][:2] == ["poor_pulls", "fetal_heart"]


def test_findings_come_worst_first_and_in_the_order_of_the_rows(half):
    rows = [row["id"] for row in protocol_in_force()[1]["limits"]]
    rank = ["stop", "caution", "unknown", "clear"]

    findings = judged(half, pulls(3, descent="no"))["findings"]

    places = [(rank.index(row["level"]), rows.index(row["limit"])) for row in findings]
    assert places == sorted(places)
    assert sorted(row["limit"] for row in findings) == sorted(rows)

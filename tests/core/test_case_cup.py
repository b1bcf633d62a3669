"""The cup on the head, told in time and late, in both halves."""

import pytest

from tests.judge import judged, levels
from tests.stories import a_case, ready_to_pull

START = ready_to_pull()
ON = a_case().opened().cup_on()


def measured(half, story, seconds_later=0):
    return judged(half, story, seconds_later)["measures"]


def case_of(half, story):
    return judged(half, story)["case"]


# The minutes of the cup.


def test_minutes_run_from_the_first_application_through_detachments(half):
    story = ON.after(240).detached().scalp().after(60).cup_on().after(60)

    assert measured(half, story)["cup_ms"] == 360_000
    assert measured(half, story)["cup_running"] == 1


@pytest.mark.parametrize(
    "first", [lambda s: s.first_suction(), lambda s: s.working_suction(), lambda s: s.begins()]
)
def test_without_a_told_cup_the_first_suction_or_pull_starts_the_minutes(half, first):
    found = measured(half, first(a_case().opened().after(60)).after(120))

    assert (found["cup_ms"], found["cup_estimated"]) == (120_000, 1)


def test_the_cup_told_late_starts_the_minutes_where_it_was_put_on(half):
    story = a_case().opened().after(300).begins().ago(120).cup_on().after(60)
    found = measured(half, story)

    assert (found["cup_ms"], found["cup_estimated"]) == (180_000, 0)


@pytest.mark.parametrize(
    ("end", "seconds"),
    [
        (lambda s: s.born(), 600),
        (lambda s: s.head_out().after(5).cup_off().after(60).born(), 605),
        (lambda s: s.cup_off().after(5).head_out().after(60).born(), 605),
        (lambda s: s.stopped().after(30).cup_off("stop"), 630),
        (lambda s: s.cup_off("stop").after(30).stopped(), 630),
        (lambda s: s.detached().after(30).stopped(), 630),
    ],
)
def test_minutes_end_with_the_birth_or_when_the_cup_is_off_after_a_stop(half, end, seconds):
    found = measured(half, end(ON.after(600)).after(900))

    assert (found["cup_ms"], found["cup_running"]) == (seconds * 1000, 0)


@pytest.mark.parametrize(
    "going",
    [
        lambda s: s.stopped(),
        lambda s: s.head_out(),
        lambda s: s.cup_off("reposition"),
        lambda s: s.detached(),
        lambda s: s.stopped().cup_off("stop").after(60).cup_on(),
        lambda s: s.detached().after(10).stopped().after(10).cup_on(),
    ],
)
def test_minutes_run_on_while_it_is_not_over_or_the_cup_is_on(half, going):
    story = going(ON.after(300)).after(300)

    assert measured(half, story)["cup_running"] == 1


def test_a_released_suction_starts_no_minutes(half):
    story = a_case().opened().suction("released", "kpa", 0).after(60)

    assert measured(half, story)["cup_ms"] == 0


# Told late: it takes its place and does not undo what is known of later.


def test_the_cup_told_after_its_suction_keeps_the_suction(half):
    story = a_case().opened().after(300).working_suction().swept().after(30).ago(60).cup_on()

    assert measured(half, story)["suction_stage"] == "working"
    assert levels(half, story.begins())["working_suction"] == "clear"


def test_first_suction_told_late_does_not_undo_working_suction(half):
    story = ON.after(60).working_suction().swept().after(10).ago(40).first_suction()

    assert measured(half, story)["suction_stage"] == "working"
    assert measured(half, story)["rim_unswept"] == 0
    assert [one["stage"] for one in case_of(half, story)["suctions"]] == ["working", "first"]


def test_a_detachment_told_after_the_cup_was_put_on_again_leaves_it_on(half):
    story = START.pull(40).after(60).scalp().after(10).ready().after(5).ago(60).detached()
    case = case_of(half, story)

    assert len(case["detachments"]) == 1
    assert case["cup_on"] is True
    assert case["suction"]["stage"] == "working"


def test_a_scalp_looked_at_before_the_detachment_was_told_counts_as_looked_at(half):
    story = ON.after(60).scalp().after(20).ago(40).detached()

    assert measured(half, story)["scalp_unchecked"] == 0
    assert measured(half, ON.after(60).scalp().after(20).detached())["scalp_unchecked"] == 1


def test_a_look_from_before_the_detachment_is_none_after_it(half):
    story = ON.after(60).detached().after(5).ago(30).scalp()

    assert measured(half, story)["scalp_unchecked"] == 1
    assert [row["code"] for row in case_of(half, story)["anomalies"]] == ["scalp_before_detachment"]


def test_a_detachment_told_late_belongs_to_the_pull_it_was_in(half):
    story = START.pull(40).pull(40).after(5).ago(150).detached()
    case = case_of(half, story)

    assert case["detachments"][0]["pull"] == 1
    assert case["pulls"][1]["detached"] is False


def test_a_missed_pull_told_late_does_not_turn_a_detachment_to_another_pull(half):
    story = START.pull(40).after(60).begins().after(9).detached().after(60).ago(115).begins().ago(100).ends()
    case = case_of(half, story)

    assert [pull["detached"] for pull in case["pulls"]] == [False, False, True]
    assert case["detachments"][0]["pull"] == 3


def test_a_cup_told_late_that_has_come_off_since_is_off(half):
    story = a_case().opened().after(60).begins().after(20).detached().after(5).ago(60).cup_on()

    assert case_of(half, story)["cup_on"] is False
    assert len(case_of(half, story)["applications"]) == 1


# What is odd is named and never refused.


@pytest.mark.parametrize(
    ("story", "code"),
    [
        (a_case().opened().begins(), "pull_without_cup"),
        (a_case().opened().detached(), "detached_without_cup"),
        (a_case().opened().first_suction(), "suction_without_cup"),
        (a_case().opened().judged("yes"), "judged_without_pull"),
        (a_case().opened().ends(), "pull_not_begun"),
        (ON.cup_on(), "applied_twice"),
        (ON.detached().cup_on(), "applied_unchecked"),
        (ON.born().cup_on(), "after_birth"),
        (ON.stopped().begins(), "pull_after_stop"),
        (ON.after(60).working_suction().ago(30).swept(), "swept_before_suction"),
        (a_case().opened().answers("pulls", "continued"), "answer_without_advice"),
        (a_case().opened().answered("1 odd", "yes"), "item_unknown"),
    ],
)
def test_what_is_odd_is_kept_and_named(half, story, code):
    case = case_of(half, story)

    assert code in [row["code"] for row in case["anomalies"]]
    assert len(case["timeline"]) == len(story.lines)


def test_a_pull_after_a_stop_opens_the_case_again_and_keeps_the_stop_in_the_timeline(half):
    case = case_of(half, START.pull(40).after(60).stopped().after(60).begins())

    assert case["stopped"] is None
    assert "vacuum_stopped" in [row["kind"] for row in case["timeline"]]


def test_what_happens_after_the_birth_is_gathered_as_care(half):
    story = ON.born().tells("apgar_scored", minute=1, score=8).tells("tear_graded", grade="2")
    case = case_of(half, story)

    assert [row["kind"] for row in case["care"]] == ["apgar_scored", "tear_graded"]


# Where the cup lies.


@pytest.mark.parametrize(
    ("tell", "level"),
    [
        (lambda s: s, "clear"),
        (lambda s: s.begins(), "unknown"),
        (lambda s: s.cup_on(placement="flexing_median"), "clear"),
        (lambda s: s.cup_on(placement="flexing_paramedian"), "clear"),
        (lambda s: s.cup_on(placement="deflexing_median"), "caution"),
        (lambda s: s.cup_on(placement="deflexing_paramedian"), "caution"),
        (lambda s: s.cup_on(placement="unsure"), "unknown"),
        (lambda s: s.tells("cup_applied", cup="soft"), "unknown"),
        (lambda s: s.cup_on(placement="deflexing_median").detached().scalp().cup_on(), "clear"),
        (lambda s: s.cup_on().ago(30).cup_on(placement="deflexing_median"), "clear"),
    ],
)
def test_a_cup_too_far_to_the_front_is_a_caution_and_an_unknown_place_is_not_clear(half, tell, level):
    assert levels(half, tell(a_case().opened().after(300)))["placement"] == level


def test_too_much_suction_is_a_stop_at_any_stage(half):
    first = a_case().opened().cup_on().suction("first", "kpa", 81_000)

    assert levels(half, first)["working_suction"] == "stop"

"""The case that events tell, in both halves."""

import pytest

from tests.judge import judged, levels
from tests.stories import a_case, ready_to_pull

START = ready_to_pull()


def measured(half, story, seconds_later=0):
    return judged(half, story, seconds_later)["measures"]


def case_of(half, story):
    return judged(half, story)["case"]


def odd(half, story):
    return [row["code"] for row in case_of(half, story)["anomalies"]]


def test_no_events_are_an_empty_case(half):
    found = judged(half, a_case())

    assert found["case"]["case"] == ""
    assert found["case"]["clock"] is None
    assert found["place"] == "before"
    assert found["verdict"]["verdict"] == "unknown"
    assert found["measures"]["cup_ms"] == 0


def test_the_opening_tells_who_and_where(half):
    case = case_of(half, a_case().opened(label="4", post="Kot", altitude_m=2400, gauge_unit="mmhg", same_contraction_s=10))

    assert case["mode"] == "real"
    assert (case["label"], case["post"], case["altitude_m"]) == ("4", "Kot", 2400)
    assert (case["gauge_unit"], case["same_contraction_s"]) == ("mmhg", 10)


def test_a_case_opened_twice_keeps_its_first_opening(half):
    story = a_case().opened(label="4").opened(label="5")

    assert case_of(half, story)["label"] == "4"
    assert odd(half, story) == ["opened_twice"]


# What counts as one pull.


@pytest.mark.parametrize(("rest", "pulls"), [(29.999, 1), (30, 1), (30.001, 2)])
def test_traction_within_30_s_of_its_end_is_the_same_pull(half, rest, pulls):
    story = START.after(60).begins().after(20).ends().after(rest).begins()

    assert measured(half, story)["pulls"] == pulls


@pytest.mark.parametrize(("rest", "pulls"), [(9.999, 1), (10, 1), (10.001, 2)])
def test_a_post_may_set_less(half, rest, pulls):
    story = ready_to_pull(same_contraction_s=10).after(60).begins().after(20).ends().after(rest).begins()

    assert measured(half, story)["pulls"] == pulls


def test_traction_is_the_sum_of_the_pieces_the_open_one_included(half):
    story = START.after(60).begins().after(20).ends().after(10).begins().after(5)

    assert measured(half, story)["traction_ms"] == 25_000
    assert measured(half, story, 4)["traction_ms"] == 29_000
    assert measured(half, story)["pull_ms"] == 5_000


@pytest.mark.parametrize(("gap", "pulls"), [(0.5, 1), (29.999, 1), (30, 1), (30.001, 2)])
def test_a_second_begin_without_an_end_is_another_pull_only_after_30_s(half, gap, pulls):
    story = START.after(60).begins().after(gap).begins()

    assert measured(half, story)["pulls"] == pulls
    assert odd(half, story) == ["pull_already_open"]


def test_an_end_that_was_never_told_counts_traction_up_to_the_next_pull(half):
    story = START.after(60).begins().after(120).begins().after(40).ends()

    assert measured(half, story)["traction_ms"] == 160_000
    assert [pull["end_known"] for pull in case_of(half, story)["pulls"]] == [False, True]


def test_the_end_that_was_forgotten_can_be_told_late(half):
    story = START.after(60).begins().after(120).begins().after(40).ago(120).ends()

    assert measured(half, story)["traction_ms"] == 80_000
    assert measured(half, story)["pull_open"] == 1


def test_a_doubled_end_is_named_and_changes_nothing(half):
    story = START.pull(40).after(1).ends()

    assert measured(half, story)["traction_ms"] == 40_000
    assert odd(half, story) == ["pull_not_begun"]


def test_an_end_told_before_the_traction_was_taken_up_again_counts_no_time_twice(half):
    story = START.after(60).begins().after(20).ends().after(10).begins().after(5).ago(10).ends()

    assert measured(half, story)["traction_ms"] == 20_000


def test_a_missed_pull_told_late_takes_its_place_in_time(half):
    first = START.pull(40, descent="yes").pull(40, descent="no").pull(40, descent="yes")
    story = first.after(60).ago(330).begins().ago(300).ends()
    pulls = case_of(half, story)["pulls"]

    assert [pull["number"] for pull in pulls] == [1, 2, 3, 4]
    assert [pull["descent"] for pull in pulls] == ["yes", None, "no", "yes"]
    assert pulls[1]["ended_ms"] - pulls[1]["began_ms"] == 30_000
    assert measured(half, story)["pull_open"] == 0


def test_a_missed_pull_that_overlaps_the_next_ends_where_that_began(half):
    story = START.pull(40, descent="yes").after(60).ago(110).begins().ago(80).ends()
    found = case_of(half, story)["pulls"][0]

    assert found["ended_ms"] - found["began_ms"] == 7_000
    assert measured(half, story)["traction_ms"] == 47_000


def test_a_missed_pull_told_during_another_leaves_that_one_going(half):
    story = START.pull(40, descent="yes").after(200).begins().after(10).ago(130).begins().ago(100).ends()
    found = measured(half, story)

    assert (found["pulls"], found["pull_open"], found["traction_ms"]) == (3, 1, 80_000)


def test_a_missed_pull_always_counts_even_close_to_another(half):
    story = START.pull(40, descent="yes").after(15).ago(10).begins().ago(5).ends()

    assert measured(half, story)["pulls"] == 2


def test_a_pull_from_before_the_perineum_is_a_descent_pull_though_told_after(half):
    story = START.pull(40, descent="yes").perineum().after(100).ago(200).begins().ago(180).ends()
    found = measured(half, story)

    assert (found["descent_pulls"], found["perineal_pulls"]) == (2, 0)


def test_the_perineum_told_late_turns_the_pulls_since_then(half):
    story = START.pull(40, descent="yes").pull(40, descent="yes").after(5).ago(100).perineum()
    found = measured(half, story)

    assert (found["descent_pulls"], found["perineal_pulls"]) == (1, 1)


def test_a_pull_in_which_the_perineum_is_reached_was_a_descent_pull(half):
    story = START.after(60).begins().after(20).perineum().after(20).ends().pull(40)
    found = measured(half, story)

    assert (found["descent_pulls"], found["perineal_pulls"], found["phase"]) == (1, 1, "perineal")


# When a pull is over, and what never lets it go on.


@pytest.mark.parametrize(("seconds", "ended"), [(9.999, 2), (10, 3), (10.001, 3)])
def test_a_pull_that_is_not_judged_is_over_after_10_s(half, seconds, ended):
    story = START.pull(40, descent="yes").pull(40, descent="yes").pull(40)

    assert measured(half, story, seconds)["pulls_ended"] == ended


def test_a_pull_is_over_at_once_when_it_is_judged_or_the_cup_comes_off(half):
    assert measured(half, START.pull(40).judged("unsure"))["pulls_ended"] == 1
    assert measured(half, START.after(60).begins().after(9).detached())["pulls_ended"] == 1


def test_pulling_on_does_not_silence_the_stop_it_is_pulled_against(half):
    three = START.pull(40, descent="yes").pull(40, descent="yes").pull(40, descent="yes")
    resumed = three.after(12).begins()

    assert levels(half, three)["descent_pulls"] == "stop"
    assert levels(half, resumed)["descent_pulls"] == "stop"
    assert measured(half, resumed)["pulls"] == 3


def test_traction_taken_up_again_at_once_is_met_with_no_stop(half):
    three = START.pull(40, descent="yes").pull(40, descent="yes").pull(40)
    resumed = three.after(5).begins().after(20)

    assert levels(half, resumed)["descent_pulls"] == "caution"


@pytest.mark.parametrize(
    "between",
    [
        lambda s: s.detached().scalp(),
        lambda s: s.cup_off("reposition").cup_on(),
        lambda s: s.shown("poor_pulls", "stop").answers("poor_pulls", "continued"),
        lambda s: s.stopped(),
    ],
    ids=["came off", "taken off", "stop answered", "stopped"],
)
def test_traction_after_what_ends_a_contraction_is_another_pull(half, between):
    story = between(START.pull(40).after(5)).after(5).begins()

    assert measured(half, story)["pulls"] == 2


def test_a_fourth_pull_is_recorded_as_the_fourth_pull(half):
    story = START
    for _ in range(4):
        story = story.pull(40, descent="no")

    assert [pull["number"] for pull in case_of(half, story.stopped().pull(40))["pulls"]] == [1, 2, 3, 4, 5]

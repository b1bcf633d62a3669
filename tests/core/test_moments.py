"""One clock that never runs backwards, in both halves."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checklist.core.moments import moments
from tests.examples import by_name, outcome, vectors
from tests.judge import judged
from tests.stories import a_case, ready_to_pull

STAMPS = st.fixed_dictionaries(
    {
        "at": st.integers(0, 10**9),
        "boot": st.sampled_from(["x", "y"]),
        "tick": st.integers(0, 10**9),
    }
)
CAUSES = st.sampled_from([None, "set", "slept", "unknown"])


@pytest.mark.parametrize("example", vectors("moments"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/moments", example["call"], [example["args"]])

    assert found == [outcome(example)]


@settings(max_examples=300)
@given(told=st.lists(st.tuples(STAMPS, CAUSES), max_size=8))
def test_time_never_runs_back_and_its_least_is_never_more(told):
    placed, restarts = moments([stamp for stamp, _ in told], [cause for _, cause in told])

    steps = list(zip(placed, placed[1:]))
    assert all(before["ms"] <= after["ms"] for before, after in steps)
    assert all(
        0 <= after["floor_ms"] - before["floor_ms"] <= after["ms"] - before["ms"]
        for before, after in steps
    )
    assert all(after["doubts"] - before["doubts"] in (0, 1) for before, after in steps)
    assert restarts <= len(steps)


def minutes(half, story, seconds_later=0):
    measured = judged(half, story, seconds_later)["measures"]
    return measured["cup_ms"] / 60_000, measured["clock_doubt"]


def test_a_tablet_that_sleeps_with_the_cup_on_counts_the_longer_time_and_says_so(half):
    story = a_case().opened().cup_on().after(60).sleeps(240)

    assert minutes(half, story) == (5, 1)


def test_the_word_of_a_person_settles_it(half):
    jumped = a_case().opened().cup_on().after(60).sleeps(240).tells("clock_jumped", ms=240_000, cause="unknown")

    assert minutes(half, jumped) == (5, 1)
    assert minutes(half, jumped.amends(3, cause="slept")) == (5, 0)
    assert minutes(half, jumped.amends(3, cause="set")) == (1, 0)


def test_a_wall_clock_set_an_hour_back_changes_no_minute(half):
    story = a_case().opened().cup_on().after(60).sleeps(-3600).after(60).heart()

    assert minutes(half, story) == (2, 0)


def test_a_restart_is_measured_by_the_wall(half):
    story = a_case().opened().cup_on().after(60).heart().reboots(after=120).heart()

    assert minutes(half, story) == (3, 0)
    assert judged(half, story)["case"]["restarts"] == 1


def test_a_clock_that_starts_again_in_1970_keeps_the_order_and_is_in_doubt(half):
    before = ready_to_pull().pull(40, descent="no")
    after = before.sleeps(-before.wall_ms / 1000).reboots().writes_to("b").pull(40, descent="no", after=60)

    found = judged(half, after)

    assert found["measures"]["poor_pulls"] == 2
    assert [pull["number"] for pull in found["case"]["pulls"]] == [1, 2]
    assert found["case"]["pulls"][0]["began_ms"] < found["case"]["pulls"][1]["began_ms"]
    assert found["measures"]["clock_doubt"] == 1


def test_doubt_after_the_birth_does_not_spoil_the_minutes_before_it(half):
    story = a_case().opened().cup_on().after(60).born().after(60).sleeps(600).heart()

    assert minutes(half, story, 9) == (1, 0)

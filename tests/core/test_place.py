"""Where a case stands and what to do now, in both halves."""

import pytest

from tests.examples import by_name, outcome, vectors
from tests.judge import judged
from tests.stories import a_case, ready_to_pull


@pytest.mark.parametrize("example", vectors("place"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/place", example["call"], [example["args"]])

    assert found == [outcome(example)]


# One birth from its opening to its end: each word, the screen and the line after it.
BIRTH = [
    (lambda s: s.opened(), "before", "now.cup_off"),
    (lambda s: s.answered_all(), "before", "now.cup_off"),
    (lambda s: s.decided(), "cup", "now.cup_off"),
    (lambda s: s.cup_on(), "cup", "now.wait"),
    (lambda s: s.first_suction(), "cup", "now.wait"),
    (lambda s: s.swept(), "cup", "now.wait"),
    (lambda s: s.working_suction(), "cup", "now.wait"),
    (lambda s: s.swept(), "pull", "now.wait"),
    (lambda s: s.after(60).begins(), "pull", "now.pulling"),
    (lambda s: s.after(40).ends(), "pull", "now.judge"),
    (lambda s: s.judged("yes"), "pull", "now.between"),
    (lambda s: s.after(60).begins().after(20).detached(), "pull", "now.scalp"),
    (lambda s: s.scalp(), "cup", "now.cup_off"),
    (lambda s: s.cup_on(), "cup", "now.judge"),
    (lambda s: s.working_suction(), "cup", "now.judge"),
    (lambda s: s.swept(), "pull", "now.judge"),
    (lambda s: s.after(60).begins().perineum(), "pull", "now.pulling_gently"),
    (lambda s: s.hiss(), "pull", "now.hiss"),
    (lambda s: s.ends(), "pull", "now.hiss"),
    (lambda s: s.head_out(), "pull", "now.head_out"),
    (lambda s: s.born(), "after", "now.head_out"),
    (lambda s: s.closed(), "closed", "now.head_out"),
]


def test_a_birth_goes_from_screen_to_screen(half):
    story, found = a_case(), []
    for word, _, _ in BIRTH:
        story = word(story)
        said = judged(half, story)
        found.append((said["place"], said["guide"]))

    assert found == [(place, guide) for _, place, guide in BIRTH]


def test_a_pull_after_the_stop_leads_back_to_the_pull(half):
    stopped = ready_to_pull().pull(40, descent="no").after(20).stopped()

    assert judged(half, stopped)["place"] == "stop"
    assert judged(half, stopped.after(60).begins())["place"] == "pull"


def test_filling_in_a_missed_pull_after_the_stop_stays_at_the_stop(half):
    stopped = ready_to_pull().pull(40, descent="no").after(60).stopped()
    told = stopped.after(30).ago(60).begins().ago(40).ends()

    assert judged(half, told)["place"] == "stop"
    assert judged(half, told)["measures"]["pulls"] == 2


def test_a_restart_lands_in_the_same_place(half):
    story = ready_to_pull().pull(40, descent="yes")
    again = story.reboots(after=30).writes_to("b").tells("screen_woke")

    assert judged(half, again)["place"] == judged(half, story)["place"] == "pull"
    assert judged(half, again)["guide"] == judged(half, story)["guide"]

"""What is heard in a birth: nothing too much, and never silence past a stop.

The budget (human-factors.md B5): a birth within the rules hears no stop and at most
two cautions.
"""

import pytest

from tests.examples import by_name, outcome, vectors
from tests.judge import judged
from tests.replay import replay
from tests.stories import ready_to_pull

BEFORE = [
    (0, lambda s: s.opened()),
    (60, lambda s: s.answered_all()),
    (5, lambda s: s.decided()),
    (30, lambda s: s.cup_on()),
    (10, lambda s: s.first_suction()),
    (8, lambda s: s.swept()),
    (10, lambda s: s.working_suction()),
    (8, lambda s: s.swept()),
]
BIRTH = [(30, lambda s: s.head_out()), (10, lambda s: s.cup_off()), (40, lambda s: s.born())]


def pull(descent="yes", wait=120, perineum=False):
    """One contraction: pull, end, and the question answered."""
    words = [(wait, lambda s: s.begins()), (40, lambda s: s.ends())]
    if perineum:
        words.append((3, lambda s: s.perineum()))
    return [*words, (1 if perineum else 4, lambda s: s.judged(descent)), (20, lambda s: s.heart())]


def last_pull(wait=120):
    return [(wait, lambda s: s.begins())]


WITHIN = {
    "one pull": BEFORE + last_pull() + BIRTH,
    "two pulls": BEFORE + pull() + last_pull() + BIRTH,
    "three pulls": BEFORE + pull() * 2 + last_pull() + BIRTH,
    "three pulls to the perineum and three gentle ones": (
        BEFORE + pull() * 2 + pull(perineum=True) + pull() * 2 + last_pull() + BIRTH
    ),
    "three slow pulls, born at 18 minutes": (
        BEFORE + pull(wait=290) * 2 + last_pull(wait=290) + BIRTH
    ),
    "one pull without descent, then born": BEFORE + pull("no") + last_pull() + BIRTH,
    "traction taken up again in the contraction": (
        BEFORE
        + pull()
        + [(120, lambda s: s.begins()), (20, lambda s: s.ends()), (6, lambda s: s.begins())]
        + BIRTH
    ),
    "a pull told late": BEFORE + pull() + [(90, lambda s: s.ago(40).begins())] + BIRTH,
}


@pytest.mark.parametrize("example", vectors("alarm"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/alarm", example["call"], [example["args"]])

    assert found == [outcome(example)]


@pytest.mark.parametrize("words", WITHIN.values(), ids=WITHIN)
def test_a_birth_within_the_rules_hears_no_stop_and_at_most_two_cautions(half, words):
    _, heard = replay(half, words)

    assert [one for one in heard if one.level == "stop"] == []
    assert len(heard) <= 2, heard


def test_a_caution_always_comes_before_the_stop(half):
    _, heard = replay(half, BEFORE + pull("no") * 3)

    for stop in (one for one in heard if one.level == "stop"):
        limit = stop.message.removesuffix(".stop")
        assert any(one.message == f"{limit}.caution" and one.seq < stop.seq for one in heard)
    assert [one.pulls for one in heard if one.message == "limit.poor_pulls.stop"] == [2, 3]


@pytest.mark.parametrize("choice", ["continued", "stopped"])
def test_each_pull_after_an_answered_stop_alarms_again(half, choice):
    answer = [(5, lambda s: s.answers("descent_pulls", choice))]
    _, heard = replay(half, BEFORE + pull() * 3 + answer + (pull() + answer) * 3)

    assert [one.pulls for one in heard if one.message == "limit.descent_pulls.stop"] == [3, 4, 5, 6]


@pytest.mark.parametrize("wait", [1, 5, 12, 25, 31, 120])
def test_pulling_on_at_once_after_the_answer_alarms_too(half, wait):
    answered = BEFORE + pull() * 3 + [(2, lambda s: s.answers("descent_pulls", "continued"))]
    _, heard = replay(half, [*answered, (wait, lambda s: s.begins())])

    assert [one.pulls for one in heard if one.message == "limit.descent_pulls.stop"] == [3, 4]


def test_a_pull_after_stopping_alarms_again(half):
    stopped = BEFORE + pull() * 3 + [(5, lambda s: s.stopped())]
    _, heard = replay(half, [*stopped, (15, lambda s: s.begins())])

    assert [one.pulls for one in heard if one.message == "limit.descent_pulls.stop"] == [3, 4]


def test_the_second_detachment_is_heard_as_a_stop(half):
    off = [(90, lambda s: s.begins()), (10, lambda s: s.detached()), (20, lambda s: s.scalp())]
    on = [(30, lambda s: s.ready())]
    _, heard = replay(half, BEFORE + off + on + off)

    said = [one.message for one in heard if "detachments" in one.message]
    assert said == ["limit.detachments.caution", "limit.detachments.stop"]


def test_twenty_minutes_are_heard_without_any_tap(half):
    _, heard = replay(half, [*BEFORE, (20 * 60, lambda s: s.heart())])

    said = [one.message for one in heard if "cup_minutes" in one.message]
    assert said == ["limit.cup_minutes.decide", "limit.cup_minutes.stop"]


def test_nothing_is_heard_after_the_birth(half):
    _, heard = replay(half, [*BEFORE, *last_pull(), *BIRTH, (3600, lambda s: s.heart())])

    assert heard == []


@pytest.mark.parametrize(
    ("tell", "stands"),
    [
        (lambda s: s, True),
        (lambda s: s.shown("descent_pulls", "stop"), True),
        (lambda s: s.shown("descent_pulls", "stop").answers("descent_pulls", "quiet"), True),
        (lambda s: s.shown("descent_pulls", "stop").answers("descent_pulls", "continued"), False),
        (lambda s: s.shown("descent_pulls", "stop").answers("descent_pulls", "stopped"), False),
        (lambda s: s.shown("descent_pulls", "stop").answers("pulls", "stopped"), True),
        (lambda s: s.stopped(), False),
        (lambda s: s.head_out(), False),
        (lambda s: s.shown("descent_pulls", "stop").answers("descent_pulls", "continued").pull(40), True),
    ],
)
def test_a_stop_stands_until_somebody_names_what_they_do(half, tell, stands):
    story = ready_to_pull()
    for _ in range(3):
        story = story.pull(40, descent="yes")

    standing = [finding["limit"] for finding in judged(half, tell(story))["standing"]]

    assert ("descent_pulls" in standing) is stands

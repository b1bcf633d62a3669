"""A practice birth is talked over by the rules: each mistake is named, and nothing else is."""

import json

import pytest

from checklist.core.event import parse
from tests import drills
from tests.drills import PROTOCOL, easy, ended, pulled
from tests.logs import random_log
from tests.mistakes import BY_THE_BOOK, MISTAKES, no_descent
from tests.stories import a_case, ready_to_pull

RANDOM_LOGS = 150


def talked_over(half, name, story):
    return half.call("core/debrief", "debrief", [story.events, PROTOCOL, drills.script(name), story.now()])


def named(found):
    return [(one["code"], one["item"], one["n"]) for one in found["faults"]]


@pytest.mark.parametrize("name", BY_THE_BOOK)
def test_a_birth_by_the_book_names_nothing(half, name):
    found = talked_over(half, name, BY_THE_BOOK[name]())

    assert named(found) == []


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_named_and_nothing_else(half, mistake):
    name, play, *told = MISTAKES[mistake]

    found = talked_over(half, name, play())

    if told[0][0].startswith("suction_"):
        assert [(one["code"], one["item"]) for one in found["faults"]] == [one[:2] for one in told]
    else:
        assert named(found) == told


def test_a_stop_is_told_with_when_it_held_was_shown_and_was_answered(half):
    story = no_descent().after(20).answers("poor_pulls", "continued")
    story = ended(pulled(story, "no", rest=100))

    found = talked_over(half, "no_descent", story)["stops"][0]

    assert (found["limit"], found["choice"], found["pulls_after"]) == ("poor_pulls", "continued", 1)
    assert found["shown_ms"] == found["true_ms"]
    assert found["answered_ms"] - found["shown_ms"] == 20_000


def test_a_stop_by_the_clock_holds_from_its_own_millisecond(half):
    story = ready_to_pull(mode="practice").after(minutes=25)

    found = half.call("core/debrief", "debrief", [story.events, PROTOCOL, None, story.now()])

    # The cup went on as the story began.
    assert [(one["limit"], one["true_ms"]) for one in found["stops"]] == [("cup_minutes", 20 * 60_000)]


def test_an_antibiotic_is_not_missed_where_no_cup_was_used(half):
    story = a_case().opened(mode="practice").after(60).born().after(minutes=7 * 60)

    found = talked_over(half, "easy", story)

    assert ("care_skipped", "oxytocin") in {one[:2] for one in named(found)}
    assert ("care_skipped", "antibiotic") not in {one[:2] for one in named(found)}


def test_what_was_taken_back_is_not_named(half):
    story = easy().detached().withdraws(-1)

    found = talked_over(half, "easy", story)

    assert "scalp_not_checked" not in {one["code"] for one in found["faults"]}


def test_the_verdict_is_held_against_what_was_so(half):
    _, play, _ = MISTAKES["a head too high, and started"]
    told = drills.answered(drills.opened("high_head"), "high_head", fifths="1", head_station="plus_two")

    found = talked_over(half, "high_head", told.decided())

    assert talked_over(half, "high_head", play())["verdict"] == {"answers": "refer", "truth": "refer", "decision": "proceed"}
    assert found["verdict"] == {"answers": "go", "truth": "refer", "decision": "proceed"}
    assert {one[:2] for one in named(found)} == {
        ("answered_otherwise", "fifths"), ("answered_otherwise", "head_station"), ("started_against", "refer"),
    }


def test_both_halves_talk_made_up_births_over_alike(both):
    rows = []
    for seed in range(RANDOM_LOGS):
        log = random_log(seed)
        events = [parse(line) for line in log["lines"]]
        rows.append([events, PROTOCOL, drills.script(drills.names()[seed % 6]), log["stamps"][-1]])

    python, javascript = (half.each("core/debrief", "debrief", rows) for half in both)

    assert python == javascript
    assert sum(len(found["faults"]) for found in python) > RANDOM_LOGS
    assert json.dumps(python).count("pulled_after_stop") > 0

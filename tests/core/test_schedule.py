"""What is due after a birth, and since when it is late, in both halves.

Minutes are the shipped ones; tests/outside holds them against publications.
"""

import pytest

from checklist.tables import protocol_in_force
from tests.judge import views
from tests.stories import a_case

PROTOCOL = protocol_in_force()[1]
ROUNDS = PROTOCOL["rounds"]
GRACE, EARLY = ROUNDS["grace_min"] * 60, ROUNDS["early_min"] * 60
CARE = {row["id"]: row for row in PROTOCOL["care"]}
# 23:50 when the case opens; the baby is born ten minutes later, at midnight.
BORN = a_case().opened().cup_on().after(600).cup_off().born()
# Without vitamin K the tier would be raised after two hours.
CALM = BORN.gives("vitamin_k", to="baby")
RAISED = CALM.stopped()
DONE = {
    "oxytocin": lambda s: s.gives("oxytocin"),
    "placenta": lambda s: s.tells("placenta_delivered", complete="yes"),
    "blood_loss": lambda s: s.tells("blood_loss_measured", ml=300),
    "tear": lambda s: s.tells("tear_graded", grade="2"),
    "antibiotic": lambda s: s.gives("antibiotic"),
    "void": lambda s: s.tells("mother_observed", what="void", value=300),
    "apgar_1": lambda s: s.apgar(1, score=9),
    "apgar_5": lambda s: s.apgar(5, score=9),
    "apgar_10": lambda s: s.apgar(10, score=9),
    "team": lambda s: s.tells("newborn_team_told", who="doctor"),
    "vitamin_k": lambda s: s.gives("vitamin_k", to="baby"),
}


def state(view, name):
    return next((item["state"] for item in view["due"] if item["id"] == name), None)


def open_round(view, lane="baby"):
    """Give the minute of the round that is open, and its state."""
    found = [item for item in view["due"] if item["id"] == f"{lane}_round"]
    return (found[0]["minute"], found[0]["state"]) if found else None


def looked(story, lane, seconds):
    """Tell rounds at so many seconds after the birth."""
    for at in seconds:
        story = since_birth(story, at).looks(lane)
    return story


def since_birth(story, seconds):
    return story.at((600 + seconds) / 60)


def gaps(minutes, begin=0):
    return list(zip(minutes, [minute - before for before, minute in zip([begin, *minutes], minutes)], strict=False))


def test_every_row_of_care_has_its_telling():
    assert set(DONE) == set(CARE)


# WHO 2021 (read in summary) speaks of operative vaginal birth alone.
def test_an_antibiotic_is_asked_for_only_where_a_cup_was_used(half):
    without, withs = views(half, [since_birth(a_case().opened().after(600).born(), 60), since_birth(BORN, 60)])

    assert (state(without, "antibiotic"), state(withs, "antibiotic")) == (None, "due")


@pytest.mark.parametrize("name", list(CARE))
def test_care_falls_due_and_becomes_late_at_its_minute(half, name):
    due, late = CARE[name]["due_min"] * 60, CARE[name]["late_min"] * 60
    seconds = [due, late - 0.001, late, late + 0.001]
    later = [due - 0.001] if due else []

    found = views(half, [since_birth(BORN, at) for at in (*later, *seconds)])

    assert [state(view, name) for view in found] == ["later"] * len(later) + ["due", "due", "late", "late"]


@pytest.mark.parametrize("name", list(CARE))
def test_care_that_was_told_is_no_longer_open_and_is_again_when_withdrawn(half, name):
    told = DONE[name](since_birth(BORN, CARE[name]["late_min"] * 60))

    done, taken_back = views(half, [told, told.withdraws(-1)])

    assert (state(done, name), state(taken_back, name)) == (None, "late")


@pytest.mark.parametrize(
    ("name", "tell", "is_open"),
    [
        ("antibiotic", lambda s: s.gives("other_antibiotic"), False),
        ("antibiotic", lambda s: s.gives("paracetamol"), True),
        ("vitamin_k", lambda s: s.gives("oxytocin"), True),
        ("void", lambda s: s.tells("mother_observed", what="void", answer="yes"), False),
        ("void", lambda s: s.tells("mother_observed", what="void", answer="no"), True),
        ("void", lambda s: s.tells("mother_observed", what="void", answer="unsure"), True),
        ("void", lambda s: s.tells("mother_observed", what="round"), True),
        ("placenta", lambda s: s.tells("placenta_delivered", complete="no"), True),
        ("placenta", lambda s: s.tells("placenta_delivered", complete="unsure"), True),
        ("apgar_5", lambda s: s.apgar(1, score=9), True),
    ],
)
def test_only_what_was_asked_closes_a_row(half, name, tell, is_open):
    (found,) = views(half, [tell(since_birth(BORN, CARE[name]["late_min"] * 60))])

    assert (state(found, name) == "late") is is_open


@pytest.mark.parametrize(
    ("lane", "story", "minutes"),
    [("baby", CALM, ROUNDS["baby"]["1"]), ("baby", RAISED, ROUNDS["baby"]["2"]), ("mother", BORN, ROUNDS["mother"])],
    ids=["tier 1", "tier 2", "mother"],
)
def test_each_round_falls_due_at_its_minute_when_those_before_were_told(half, lane, story, minutes):
    stories, wanted = [], []
    for minute, before in zip(minutes[1:], minutes, strict=False):
        told = looked(story, lane, [before * 60])
        at = minute * 60
        stories += [since_birth(told, at + more) for more in (-0.001, 0, GRACE - 0.001, GRACE)]
        wanted += [(minute, state) for state in ("later", "due", "due", "late")]

    found = views(half, stories)

    assert [open_round(view, lane) for view in found] == wanted


@pytest.mark.parametrize(
    ("lane", "story", "minutes"),
    [("baby", CALM, ROUNDS["baby"]["1"]), ("baby", RAISED, ROUNDS["baby"]["2"]), ("mother", BORN, ROUNDS["mother"])],
    ids=["tier 1", "tier 2", "mother"],
)
def test_a_round_told_early_counts_up_to_a_third_of_its_gap(half, lane, story, minutes):
    edges = [(minute, min(EARLY, gap * 20)) for minute, gap in gaps(minutes) if minute]
    stories = [looked(story, lane, [minute * 60 - early - more]) for minute, early in edges for more in (0.001, 0)]

    found = [view["rounds"][0 if lane == "baby" else 1] for view in views(half, stories)]

    done = [[slot["minute"] for slot in slots if slot["done_ms"] is not None] for slots in found]
    for (minute, _), too_early, early in zip(edges, done[::2], done[1::2], strict=True):
        assert minute not in too_early and early == [minute]


def test_a_round_told_late_does_not_stretch_the_quarter_hours(half):
    late = looked(RAISED, "baby", [0, 15 * 60 + 290])

    (found,) = views(half, [since_birth(late, 30 * 60)])

    assert open_round(found) == (30, "due")


def test_rounds_that_were_missed_are_one_open_round_late_since_the_first(half):
    missed = looked(CALM, "baby", [0])
    told = looked(missed, "baby", [4 * 3600])

    before, after = views(half, [since_birth(missed, 4 * 3600 - 1), told])

    assert open_round(before) == (30, "late")
    assert open_round(after) == (420, "later")
    assert [slot["minute"] for slot in after["rounds"][0] if slot["done_ms"] is not None] == [0, 240]


def test_after_the_last_round_none_is_open(half):
    story = looked(CALM, "baby", [24 * 3600])

    (found,) = views(half, [story])

    assert open_round(found) is None


def flagged(seconds=3600):
    return since_birth(BORN, seconds).sees("colour", "pale")


def test_after_a_red_flag_rounds_come_every_quarter_of_an_hour_and_then_hourly(half):
    (found,) = views(half, [since_birth(flagged(), 3600 + 5 * 3600)])

    minutes = [slot["minute"] - 60 for slot in found["rounds"][0]]
    assert minutes == [15, 30, 45, 60, 75, 90, 105, 120, 180, 240, 300, 360]


@pytest.mark.parametrize(("after", "open_now"), [(15 * 60 - 0.001, (75, "later")), (15 * 60, (75, "due")), (25 * 60, (75, "late"))])
def test_the_first_round_after_a_red_flag(half, after, open_now):
    (found,) = views(half, [since_birth(flagged(), 3600 + after)])

    assert open_round(found) == open_now


def test_a_withdrawn_flag_and_a_lowered_tier_bring_the_wider_rounds_back(half):
    story = since_birth(looked(CALM, "baby", [3600]).sees("colour", "pale"), 3700)

    up, back, lowered = views(half, [story, story.withdraws(-1), story.lowers(2)])

    assert [open_round(view) for view in (up, back, lowered)] == [(75, "later"), (120, "later"), (120, "later")]


def test_a_further_flag_begins_the_quarter_hours_anew(half):
    (found,) = views(half, [since_birth(flagged(), 7200).sees("tone", "floppy")])

    assert open_round(found) == (135, "later")


def test_a_clock_that_jumped_by_years_makes_no_endless_rounds(half):
    (found,) = views(half, [flagged().reboots(after=56 * 365 * 86_400).looks("mother")])

    assert len(found["rounds"][0]) == 8 + 7 * 24 - 2 + 1


def test_rounds_go_on_through_a_restart_and_through_midnight(half):
    # Opened at 23:50, born at 23:55: the first half hour ends on another day.
    born = a_case().opened().after(300).born().looks("baby")
    straight = born.after(minutes=30)
    restarted = born.after(minutes=10).reboots(after=5).after(minutes=20).sleeps(-5)

    one, other = views(half, [straight, restarted.after(5)])

    assert open_round(one) == open_round(other) == (30, "due")


def test_a_clock_set_back_in_one_run_moves_nothing(half):
    story = looked(CALM, "baby", [0])

    found = views(half, [since_birth(story.sleeps(-7200), at) for at in (30 * 60 - 0.001, 30 * 60)])

    assert [open_round(view) for view in found] == [(30, "later"), (30, "due")]


def test_a_clock_set_back_over_a_restart_never_goes_behind_what_was_told(half):
    story = since_birth(looked(CALM, "baby", [0]), 45 * 60).gives("oxytocin")

    (found,) = views(half, [story.reboots(after=-7200)])

    assert open_round(found) == (30, "late")


def test_a_birth_told_late_moves_everything_with_it(half):
    told_late = a_case().opened().after(600).ago(300).born().looks("baby")

    found = views(half, [told_late.after(minutes=25 + more / 60) for more in (-0.001, 0)])

    assert [open_round(view) for view in found] == [(30, "later"), (30, "due")]


def test_what_becomes_late_first_stands_on_top(half):
    (found,) = views(half, [since_birth(BORN, 40 * 60)])

    ranks = ["late", "due", "later"]
    keys = [
        (ranks.index(item["state"]), item["due_ms"] if item["state"] == "later" else item["late_ms"])
        for item in found["due"]
    ]
    assert keys == sorted(keys)
    assert found["due"][0]["id"] == "oxytocin"


def test_nothing_is_due_before_the_birth_or_once_the_case_is_closed(half):
    before, closed = views(half, [a_case().opened(), since_birth(BORN, 3600).closed()])

    assert before["due"] == closed["due"] == []
    assert before["rounds"] == [[], []]

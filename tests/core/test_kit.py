"""Whether the kit is whole, alike in both halves."""

import copy
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checklist.core.event import problems
from checklist.errors import ChecklistError
from checklist.tables import protocol_in_force
from tests.stories import LOG, START_MS

ROWS = protocol_in_force()[1]["kit"]
HOLDS = next(row for row in ROWS if row["form"] == "drop")
THINGS = [
    "pump_builds", "pump_holds", "cups", "tubing", "spare", "light", "bag_mask", "oxytocin", "suture",
]
DAY_MS = 86_400_000


def checked(item: str, answer: str = "yes", at: int = START_MS, ago: int = 0, **facts: object) -> dict:
    """One answer of a kit check, as it is read back."""
    return {
        "log": LOG, "seq": 1, "case": "", "kind": "kit_checked", "at": at, "boot": "", "tick": 0,
        "ago": ago, "protocol": "", "facts": {"item": item, "answer": answer, **facts},
    }


def all_there(at: int = START_MS) -> list[dict]:
    """One cup of all, and everything else."""
    return [checked(row["id"], at=at) for row in ROWS if row.get("group") is None] + [
        checked("cup_soft_60", at=at)
    ]


def states(half, events):
    found = half.call("core/kit", "kit_state", [ROWS, events])
    return {thing["id"]: thing["state"] for thing in found["things"]}


def test_a_kit_that_nobody_looked_at_is_open_and_not_complete(half):
    found = half.call("core/kit", "kit_state", [ROWS, []])

    assert (found["complete"], found["checked_at"], found["open"]) == (False, None, THINGS)


def test_one_whole_cup_and_everything_else_is_complete(half):
    found = half.call("core/kit", "kit_state", [ROWS, all_there()])

    assert (found["complete"], found["missing"], found["open"]) == (True, [], [])
    assert found["checked_at"] == START_MS


@pytest.mark.parametrize("lacks", ROWS, ids=lambda row: row["id"])
def test_every_thing_that_is_not_there_is_named(half, lacks):
    name = lacks.get("group", lacks["id"])
    cups = [checked(row["id"], "no") for row in ROWS if row.get("group") == name != lacks["id"]]

    found = half.call("core/kit", "kit_state", [ROWS, [*all_there(), *cups, checked(lacks["id"], "no")]])

    assert (found["complete"], found["missing"]) == (False, [name])


def test_not_sure_is_neither_there_nor_missing(half):
    found = half.call("core/kit", "kit_state", [ROWS, [*all_there(), checked("light", "unsure")]])

    assert (found["complete"], found["missing"], found["unsure"]) == (False, [], ["light"])


@pytest.mark.parametrize(
    ("fell", "state"),
    [(HOLDS["most"] - 1, "ok"), (HOLDS["most"], "ok"), (HOLDS["most"] + 1, "missing")],
)
def test_a_pump_that_lost_more_than_the_row_allows_does_not_hold_whatever_was_said(half, fell, state):
    assert states(half, [checked("pump_holds", value=fell)])["pump_holds"] == state


def test_a_pump_said_not_to_hold_does_not_hold_however_little_it_lost(half):
    assert states(half, [checked("pump_holds", "no", value=0)])["pump_holds"] == "missing"


def test_the_answer_told_last_counts(half):
    told = [checked("light", "no"), checked("light", "yes", at=START_MS - DAY_MS)]

    assert states(half, told)["light"] == "ok"
    assert states(half, told[::-1])["light"] == "missing"


def test_the_kit_is_as_old_as_the_thing_looked_at_longest_ago(half):
    later = [checked("light", at=START_MS + DAY_MS), checked("pump_builds", at=START_MS + DAY_MS)]

    found = half.call("core/kit", "kit_state", [ROWS, [*all_there(), *later]])

    assert found["checked_at"] == START_MS


def test_an_answer_told_late_counts_from_when_it_was_found(half):
    found = half.call("core/kit", "kit_state", [ROWS, [checked("light", ago=90)]])

    assert found["checked_at"] == START_MS - 90_000


@pytest.mark.parametrize("event", [
    checked("light", "perhaps"), checked("light", value=-1), {**checked("light"), "kind": "hiss_heard"},
    checked("a_thing_of_a_newer_version"),
], ids=["unknown answer", "number out of range", "another kind", "unknown thing"])
def test_what_says_nothing_of_a_thing_leaves_it_open(half, event):
    assert states(half, [event])["light"] == "open"


BROKEN = [
    ({"form": "smell"}, "form unknown"),
    ({"weekly": 1}, "weekly is not true or false"),
    ({"before_use": None}, "before_use is not true or false"),
    ({"group": ""}, "group missing"),
    ({"form": "drop", "unit": "Pa", "seconds": 60}, "most is not a whole number"),
    ({"form": "drop", "unit": "Pa", "most": 5000}, "seconds is not a whole number"),
    ({"form": "drop", "seconds": 60, "most": 5000}, "unit missing"),
]


@pytest.mark.parametrize(("change", "why"), BROKEN, ids=lambda value: str(value))
def test_a_broken_row_is_refused_with_where_and_why(half, change, why):
    table = copy.deepcopy(protocol_in_force()[1])
    row = next(row for row in table["kit"] if row["id"] == "light")
    row |= change

    with pytest.raises(ChecklistError) as refused:
        half.call("core/protocol", "read_protocol", [json.dumps(table)])

    assert refused.value.facts == {"where": "kit.light", "why": why}


FACTS = st.fixed_dictionaries(
    {"item": st.sampled_from([*(row["id"] for row in ROWS), "newer"]), "answer": st.sampled_from(["yes", "no", "unsure", "x"])},
    optional={"value": st.integers(-1, 20_000)},
)
EVENTS = st.lists(st.builds(
    lambda facts, at, ago: {**checked("light", at=at, ago=ago), "facts": facts},
    FACTS, st.integers(0, 2**41), st.integers(0, 604_800)), max_size=30)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(events=EVENTS)
def test_both_halves_find_the_same_and_only_what_was_told_counts(both, events):
    python, javascript = (half.call("core/kit", "kit_state", [ROWS, events]) for half in both)

    assert python == javascript
    told = {event["facts"]["item"] for event in events if not problems(event)}
    assert python["complete"] <= (told >= {row["id"] for row in ROWS if "group" not in row})

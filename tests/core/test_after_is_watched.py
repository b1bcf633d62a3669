"""A minute or a bound of the hours after that is changed is noticed by an example.

As test_rules_are_watched does for the birth: each figure of newborn, rounds and care is
moved in a copy of the shipped table, and at least one boundary example must then be judged
otherwise. Only tiers, reasons and states count, not the minutes that are shown beside them.
"""

import copy
from functools import cache

import pytest

from checklist.core.case import fold
from checklist.core.newborn import watch
from checklist.core.schedule import due
from checklist.tables import protocol_in_force
from tests.core.test_newborn import EDGES
from tests.core.test_schedule import (
    BORN,
    CALM,
    CARE,
    EARLY,
    GRACE,
    RAISED,
    ROUNDS,
    flagged,
    gaps,
    looked,
    since_birth,
)

PROTOCOL = protocol_in_force()[1]
LANES = [("baby", CALM, ROUNDS["baby"]["1"]), ("baby", RAISED, ROUNDS["baby"]["2"]), ("mother", CALM, ROUNDS["mother"])]


def stories():
    """The boundary examples of the hours after."""
    for tell, harmless, grave in EDGES.values():
        yield from (tell(value) for value in (*harmless, *grave))
    for row in CARE.values():
        for minute in (row["due_min"], row["late_min"]):
            yield from (since_birth(BORN, max(minute * 60 + more, 0)) for more in (-0.001, 0))
    for lane, story, minutes in LANES:
        yield from _rounds(lane, story, minutes)
    seen = flagged()
    for after in (15, 120, 180, 240):
        told = looked(seen, "baby", [3600 + after * 60])
        nexts = (after + 15, after + 60)
        yield from (since_birth(told, 3600 + at * 60 + more) for at in nexts for more in (-0.001, 0))
    yield from (since_birth(seen, 3600 + 900 + more) for more in (-0.001, 0))


def _rounds(lane, story, minutes):
    """Each round at its minute and its grace, those before it told; and told early."""
    for minute, gap in gaps(minutes):
        told = looked(story, lane, [(minute - gap) * 60]) if gap else story
        for at in (minute * 60, minute * 60 + GRACE):
            yield from (since_birth(told, max(at + more, 0)) for more in (-0.001, 0))
        early = min(EARLY, gap * 20)
        for more in (0.001, 0):
            yield since_birth(looked(story, lane, [max(minute * 60 - early - more, 0)]), minute * 60)


@cache
def watching():
    return [(fold(story.events), story.now()) for story in stories()]


def judgement(table, case, now):
    """Judge one example: its tier, its reasons, and the state of everything open."""
    watched = watch(case, table, now)
    reasons = [(reason["row"], reason["tier"]) for reason in watched["reasons"]]
    open_now = sorted((item["id"], item["state"]) for item in due(case, table, now))
    return watched["tier"], reasons, open_now


@cache
def as_shipped():
    return [judgement(PROTOCOL, *example) for example in watching()]


def figures():
    """Every figure of the hours after, as a path into the table and the step to move it by."""
    for place, row in enumerate(PROTOCOL["newborn"]):
        yield from ((("newborn", place, name), 1) for name in ("above", "at_least", "below") if name in row)
    for place, _ in enumerate(PROTOCOL["care"]):
        yield from ((("care", place, name), 1) for name in ("due_min", "late_min"))
    for tier in ("1", "2"):
        yield from ((("rounds", "baby", tier, place), 1) for place in range(len(ROUNDS["baby"][tier])))
    yield from ((("rounds", "mother", place), 1) for place in range(len(ROUNDS["mother"])))
    yield from ((("rounds", name), 1) for name in ("grace_min", "early_min"))
    yield from ((("rounds", "flagged", name), 1) for name in ("first_every", "then_every"))
    # Rounds that lie a quarter of an hour apart end at the same one for less than that.
    yield ("rounds", "flagged", "first_for"), ROUNDS["flagged"]["first_every"]


def at(table, way):
    for step in way:
        table = table[step]
    return table


def moves():
    """Each figure up and down; below nought no table would be read."""
    for way, step in figures():
        yield from ((way, by) for by in (-step, step) if at(PROTOCOL, way) + by >= 0)


def named(way, by):
    first, *rest = way
    name = PROTOCOL[first][rest[0]]["id"] if isinstance(rest[0], int) else rest[0]
    return ".".join(map(str, (first, name, *rest[1:], f"{by:+}")))


@pytest.mark.parametrize(("way", "by"), list(moves()), ids=[named(*move) for move in moves()])
def test_a_figure_that_is_moved_changes_the_judgement_of_an_example(way, by):
    table = copy.deepcopy(PROTOCOL)
    at(table, way[:-1])[way[-1]] += by

    assert any(
        judgement(table, *example) != shipped
        for example, shipped in zip(watching(), as_shipped(), strict=True)
    )

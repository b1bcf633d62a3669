"""A rule that is changed by one is noticed: the boundary examples watch every bound.

Each bound of the shipped table is moved by one, up and down, in a copy; at least one
example must then be judged otherwise; test_after_is_watched does so for the hours after. Asked of the Python half, which is held equal
to the other one.
"""

import copy
import json
from functools import cache

import pytest

from checklist.tables import protocol_in_force
from tests.core.test_limits import (
    COUNTS,
    EDGES,
    START,
    TIMES,
    hearts,
    minutes,
    pulls,
    suctions,
)
from tests.core.test_checks import all_answered
from tests.judge import judge_here
from tests.stories import a_case

PROTOCOL = protocol_in_force()[1]


@cache
def watching():
    """The stories that the boundary examples tell, as lines and a moment."""
    stories = [tell(n) for _, tell, trio in COUNTS for n, _ in trio]
    stories += [tell(bound + more) for _, tell, bound, _, _ in TIMES for more in (-0.001, 0)]
    stories += [minutes(900 + more) for more in (-0.001, 0)]
    stories += [hearts(bpm) for bpm in range(108, 163)]
    stories += [
        suctions(stage, unit, reading)
        for stage, unit, step, floor, ceiling, _ in EDGES
        for edge in (floor, ceiling)
        for reading in (edge - step, edge - 1, edge, edge + 1, edge + step)
    ]
    stories += [a_case().opened().cup_on().tells("suction_set", stage="working", pa=pa) for pa in (80_000, 80_001)]
    stories += [a_case().opened().cup_on().first_suction(), a_case().opened().cup_on().detached()]
    stories += [a_case().opened().cup_on().detached().scalp("cut"), minutes(60).sleeps(60), START]
    stories += [pulls(2).after(120).begins(), pulls(2, story=START.perineum()).after(120).begins()]
    stories += [a_case().opened().cup_on().detached().scalp("swelling")]
    stories += [a_case().opened().cup_on(placement="deflexing_median")]
    stories += [all_answered().answered("weeks", "value", value=days) for days in (237, 238, 258, 259)]
    stories += [all_answered().answered("fetal_heart", "value", value=bpm) for bpm in (109, 110, 160, 161)]
    stories += [
        all_answered().answered("head_station", "zero").planned("transfer", minutes=m) for m in (14, 15, 16)
    ]
    return [(list(story.lines), [story.now()]) for story in stories]


def judgements(protocol):
    return [
        json.dumps([found["views"][0]["findings"], found["verdict"]])
        for found in (judge_here(lines, stamps, protocol) for lines, stamps in watching())
    ]


@cache
def as_shipped():
    return judgements(PROTOCOL)


def bounds():
    """Every whole number that a judgement turns on, as a path into the table."""
    for place, row in enumerate(PROTOCOL["limits"]):
        way = ("limits", place)
        if row["judge"] == "suction":
            for edge in ("floor", "ceiling"):
                # 0.8 kgf/cm2 and its kin are marks for reading; past them pascals decide.
                if edge == "ceiling" and "ceiling_pa" in row:
                    continue
                yield from ((*way, edge, unit) for unit in row[edge])
            if "ceiling_pa" in row:
                yield (*way, "ceiling_pa")
        elif row["judge"] == "rate":
            yield from ((*way, name) for name in ("low", "high"))
        else:
            yield from ((*way, "levels", number, "at") for number in range(len(row["levels"])))
    for place, row in enumerate(PROTOCOL["questions"]):
        for number, band in enumerate(row.get("bands", ())):
            if "below" in band and len({one["verdict"] for one in row["bands"]}) > 1:
                yield ("questions", place, "bands", number, "below")
    for place, _ in enumerate(PROTOCOL["together"]):
        yield ("together", place, "plan_minutes_above")


def named(way):
    return ".".join(str(PROTOCOL[way[0]][way[1]]["id"] if step == way[1] and at == 1 else step) for at, step in enumerate(way))


@pytest.mark.parametrize("by", [-1, 1])
@pytest.mark.parametrize("way", list(bounds()), ids=named)
def test_a_bound_moved_by_one_changes_the_judgement_of_an_example(way, by):
    table = copy.deepcopy(PROTOCOL)
    *path, last = way
    row = table
    for step in path:
        row = row[step]
    row[last] += by

    assert judgements(table) != as_shipped()

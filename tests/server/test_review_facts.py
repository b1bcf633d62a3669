"""Whatever a tablet tells, a review row comes of it: the intake never fails on a birth."""

import pytest

from checklist.core.case import fold
from checklist.core.event import parse
from checklist.review_facts import NUMBERS, SENTINEL, TEXTS, THREE_VALUED, WHEN_NO, WHEN_YES, facts_of
from checklist.tables import protocol_in_force
from tests.logs import random_log
from tests.stories import ready_to_pull

PROTOCOL = protocol_in_force()[1]
BLOCK = 100


def facts(seed):
    return facts_of(fold([parse(line) for line in random_log(seed)["lines"]]), PROTOCOL)


@pytest.mark.parametrize("block", range(5))
def test_facts_of_any_log_are_yes_no_or_not_recorded(block):
    found = [facts(seed) for seed in range(block * BLOCK, (block + 1) * BLOCK)]

    for row in found:
        assert set(row) == {*THREE_VALUED, *NUMBERS, *TEXTS, "talk"}
        assert {row[name] for name in THREE_VALUED} <= {0, 1, None}
        assert set(row["reasons"].split()) <= {*WHEN_YES, *WHEN_NO.values()}
        assert (row["talk"] > 0) == bool(row["reasons"])
    assert len({row["reasons"] for row in found}) > 10


@pytest.mark.parametrize("limit", ["pulls", "detachments", "cup_minutes"])
def test_what_a_protocol_has_no_row_for_is_not_judged(limit):
    rows = [row for row in PROTOCOL["limits"] if row["id"] != limit]
    fact = {"pulls": "many_pulls", "detachments": "detached_twice", "cup_minutes": "long"}[limit]
    events = [parse(line) for line in random_log(1)["lines"]]

    found = facts_of(fold(events), {**PROTOCOL, "limits": rows})

    assert found["attempted"] == 1
    assert found[fact] is None


# What the tablet writes when the score is built from its five parts (Apgar 1953, from memory).
def test_an_apgar_told_by_its_parts_counts_like_one_told_whole():
    born = ready_to_pull().pull().head_out().cup_off().born()
    parts = born.after(300).apgar(5, heart=1, breathing=0, tone=0, reflex=0, colour=0)
    whole = born.after(300).apgar(5, score=1)

    found = [facts_of(fold(story.events), PROTOCOL) for story in (parts, whole)]

    for row in found:
        assert (row["apgar5"], row["low_apgar"], row["talk"]) == (1, 1, SENTINEL)

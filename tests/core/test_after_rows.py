"""A broken row of the hours after is refused with where and why, alike in both halves."""

import copy

import pytest

from checklist.core.steps import CARE_KINDS
from checklist.tables import kinds, protocol_in_force
from tests.core.test_protocol import drop, outcomes, put

PROTOCOL = protocol_in_force()[1]
NEWBORN = {row["id"]: place for place, row in enumerate(PROTOCOL["newborn"])}
CARE = {row["id"]: place for place, row in enumerate(PROTOCOL["care"])}
REASON = ("newborn", NEWBORN["long"])
HEART = ("newborn", NEWBORN["heart"])
VOID = ("care", CARE["void"])
FLAGGED = ("rounds", "flagged")

# Each: what is done to a good table, where it must be refused, and why.
BROKEN = [
    (drop("newborn"), "newborn", "missing"),
    (put("newborn", []), "newborn", "missing"),
    (drop(*REASON, "tier"), "newborn.long", "tier missing"),
    (put(*REASON, "tier", "2"), "newborn.long", "tier is not a whole number"),
    (put(*REASON, "tier", 1), "newborn.long", "tier unknown"),
    (put(*REASON, "tier", 4), "newborn.long", "tier unknown"),
    (put(*REASON, "measure", "constructor"), "newborn.long", "measure unknown"),
    (put(*REASON, "measure", None), "newborn.long", "measure unknown"),
    (drop(*REASON, "above"), "newborn.long", "bound missing"),
    (put(*REASON, "above", None), "newborn.long", "above is not a whole number"),
    (put(*REASON, "at_least", 2.5), "newborn.long", "at_least is not a whole number"),
    (put(*REASON, "below", True), "newborn.long", "below is not a whole number"),
    (put(*HEART, "above", 99), "newborn.heart", "the bounds leave nothing between them"),
    (put(*HEART, "at_least", 100), "newborn.heart", "the bounds leave nothing between them"),
    (put(*REASON, "source", ["hearsay"]), "newborn.long", "source hearsay unknown"),
    (drop(*REASON, "known"), "newborn.long", "known missing"),
    (put(*REASON, "id", "many_pulls"), "newborn.many_pulls", "told twice"),
    (drop("rounds"), "rounds", "missing"),
    (put("rounds", []), "rounds", "missing"),
    (drop("rounds", "grace_min"), "rounds", "grace_min is not a whole number"),
    (put("rounds", "grace_min", -1), "rounds", "grace_min is less than 0"),
    (put("rounds", "early_min", "10"), "rounds", "early_min is not a whole number"),
    (drop("rounds", "baby"), "rounds.baby", "missing"),
    (drop("rounds", "baby", "2"), "rounds.baby", "tier 2 missing"),
    (put("rounds", "baby", "1", []), "rounds.baby", "tier 1 missing"),
    (put("rounds", "baby", "1", 3, 12.5), "rounds.baby", "tier 1 is not a whole number"),
    (put("rounds", "baby", "1", 3, 60), "rounds.baby", "tier 1 not in rising order"),
    (put("rounds", "baby", "1", 0, -1), "rounds.baby", "tier 1 not in rising order"),
    (put("rounds", "baby", "source", ["hearsay"]), "rounds.baby", "source hearsay unknown"),
    (drop("rounds", "baby", "known"), "rounds.baby", "known missing"),
    (drop(*FLAGGED), "rounds.flagged", "missing"),
    (put(*FLAGGED, "first_every", 0), "rounds.flagged", "first_every is less than 1"),
    (put(*FLAGGED, "then_every", 0), "rounds.flagged", "then_every is less than 1"),
    (put(*FLAGGED, "first_for", -1), "rounds.flagged", "first_for is less than 0"),
    (drop(*FLAGGED, "then_every"), "rounds.flagged", "then_every is not a whole number"),
    (drop(*FLAGGED, "source"), "rounds.flagged", "source missing"),
    (put("rounds", "mother", {}), "rounds.mother", "minutes missing"),
    (put("rounds", "mother", 1, 15), "rounds.mother", "minutes not in rising order"),
    (drop("rounds", "mother_source"), "rounds.mother", "source missing"),
    (put("rounds", "mother_known", ""), "rounds.mother", "known missing"),
    (drop("care"), "care", "missing"),
    (drop(*VOID, "lane"), "care.void", "lane missing"),
    (put(*VOID, "lane", "father"), "care.void", "lane unknown"),
    (put(*VOID, "kind", "pull_began"), "care.void", "kind unknown"),
    (put(*VOID, "facts", []), "care.void", "facts missing"),
    (put(*VOID, "facts", "what", True), "care.void", "facts.what is neither a text nor a whole number"),
    (put(*VOID, "facts", "what", []), "care.void", "facts.what is neither a text nor a whole number"),
    (put(*VOID, "facts", "what", ["void", None]), "care.void", "facts.what is neither a text nor a whole number"),
    (put(*VOID, "unless", None), "care.void", "unless missing"),
    (put(*VOID, "due_min", -1), "care.void", "due_min is less than 0"),
    (put(*VOID, "late_min", "360"), "care.void", "late_min is not a whole number"),
    (put(*VOID, "late_min", 240), "care.void", "late before it is due"),
    (put(*VOID, "source", []), "care.void", "source missing"),
    (put(*VOID, "id", "tear"), "care.tear", "told twice"),
    (drop("numbers", "undo_s"), "numbers.undo_s", "missing"),
    (drop("numbers", "reach_permille"), "numbers.reach_permille", "missing"),
    (put("numbers", "undo_s", "value", -1), "numbers.undo_s", "value is less than 0"),
    (put("numbers", "undo_s", "value", None), "numbers.undo_s", "value is not a whole number"),
    (drop("numbers", "undo_s", "unit"), "numbers.undo_s", "unit missing"),
    (drop("numbers", "undo_s", "source"), "numbers.undo_s", "source missing"),
]


def changed(change):
    table = copy.deepcopy(PROTOCOL)
    change(table)
    return table


def test_each_broken_row_is_refused_with_where_and_why(half):
    found = outcomes(half, [changed(change) for change, _, _ in BROKEN])

    wanted = [
        {"fails": "protocol_malformed", "facts": {"where": where, "why": why}} for _, where, why in BROKEN
    ]
    for outcome, refusal in zip(found, wanted, strict=True):
        assert outcome == refusal


@pytest.mark.parametrize(
    "change",
    [
        put(*HEART, "above", 100),
        put(*HEART, "at_least", 101),
        put(*VOID, "late_min", 241),
        put(*VOID, "due_min", 0),
        put(*VOID, "facts", {}),
        drop(*VOID, "unless"),
        put(*FLAGGED, "first_for", 0),
        put(*FLAGGED, "then_every", 1),
        put("rounds", "grace_min", 0),
        put("numbers", "undo_s", "value", 0),
    ],
)
def test_what_stands_just_inside_is_read(half, change):
    (found,) = outcomes(half, [changed(change)])

    assert "gives" in found


def test_what_care_asks_can_be_told():
    for row in PROTOCOL["care"]:
        told = kinds()[row["kind"]]["facts"]
        assert {*row["facts"], *row.get("unless", {})} <= set(told), row["id"]


def test_kinds_of_care_are_kinds():
    assert set(CARE_KINDS) <= set(kinds())

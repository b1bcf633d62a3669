"""Tell how closely a baby born by vacuum is to be watched, and why.

Tier 1 is every baby, 2 is raised, 3 is suspected bleeding under the scalp. Each reason is
a row of the protocol. What is not known is named, and never taken for harmless. A tier
goes up by itself, and down only by a clinician's word.
"""

from checklist.core.apgar import apgars_at
from checklist.core.measures import measures
from checklist.core.observed import answers_of, head_growths, numbers_of

MINUTE_MS = 60_000
# Whose word may lower a tier.
CLINICIANS = ("midwife", "senior", "doctor")


def watch(case: dict, protocol: dict, now: dict) -> dict:
    """Judge a folded case: {tier, reasons, unknown, lowered, since_ms}.

    reasons are {row, tier, ms, told_ms} and unknown ids of rows, both in the order of the protocol;
    since_ms is the moment from which tier 3 counts, or None.
    """
    known = baby_measures(case, now)
    rows = protocol["newborn"]
    reasons = [reason for reason in (_met(row, known) for row in rows) if reason]
    tier = max([1, *(reason["tier"] for reason in reasons)])
    lowered = _lowered(case, tier, reasons)
    flagged = [reason["ms"] for reason in reasons if reason["tier"] == 3]
    return {
        "tier": lowered["tier"] if lowered else tier,
        "reasons": reasons,
        "unknown": [row["id"] for row in rows if not known[row["measure"]]],
        "lowered": lowered,
        "since_ms": max(flagged) if flagged and not lowered else None,
    }


def baby_measures(case: dict, now: dict) -> dict:
    """Gather what the rows of the newborn ask: {measure: [{value, ms, told_ms}]}, empty if not known.

    Every observation counts, not the last one alone: a red flag that was seen once stands.
    """
    measured = measures(case, now)
    return {
        **_birth(case, measured),
        "apgar_5": apgars_at(case, 5),
        **{name: answers_of(case, *sign) for name, sign in SIGNS.items()},
        **{name: numbers_of(case, what) for name, what in NUMBERS.items()},
        "head_growth_mm": head_growths(case),
    }


# The name of what was observed, the answers that count, and those that do not.
SIGNS = {
    "boggy": ("scalp", ("boggy",), ("flat", "soft", "firm")),
    "growing": ("swelling", ("growing",), ("same", "smaller", "none")),
    "ear_pushed": ("ear", ("pushed",), ("usual",)),
    "pale": ("colour", ("pale", "blue"), ("pink",)),
    "floppy": ("tone", ("floppy",), ("good",)),
    "feeds_badly": ("feeding", ("poor",), ("good",)),
    "weak_cry": ("cry", ("weak", "high"), ("good",)),
    "grunting": ("breathing", ("grunting",), ("quiet",)),
    "fits": ("fits", ("yes",), ("no",)),
    "bleeds": ("bleeding", ("yes",), ("no",)),
    "yellow": ("yellow", ("yes",), ("no",)),
    "helped_breathing": ("breathing_help", ("bag", "bag_and_heart"), ("none",)),
    "worry": ("worry", ("yes",), ("no",)),
}
NUMBERS = {
    "heart_bpm": "heart",
    "breaths": "breaths",
    "refill_s": "refill",
    "temperature_dc": "temperature",
    "glucose_dmmol": "glucose",
    "weight_g": "weight",
}


def _met(row: dict, known: dict) -> dict | None:
    hits = [one for one in known[row["measure"]] if _is_beyond(row, one["value"])]
    if not hits:
        return None
    told_ms = max(one["told_ms"] for one in hits)
    return {"row": row["id"], "tier": row["tier"], "ms": hits[-1]["ms"], "told_ms": told_ms}


def _is_beyond(row: dict, value: int) -> bool:
    if "above" in row and value > row["above"]:
        return True
    if "at_least" in row and value >= row["at_least"]:
        return True
    return "below" in row and value < row["below"]


def _lowered(case: dict, tier: int, reasons: list[dict]) -> dict | None:
    """A clinician's word holds until a red flag is told after it, whenever it was seen."""
    told = [
        item
        for item in case["care"]
        if item["kind"] == "tier_lowered" and item["facts"].get("by") in CLINICIANS
    ]
    if not told:
        return None
    last = told[-1]
    wanted = last["facts"].get("tier")
    if wanted is None or wanted >= tier:
        return None
    if any(reason["tier"] == 3 and reason["told_ms"] >= last["told_ms"] for reason in reasons):
        return None
    return {"tier": wanted, "by": last["facts"]["by"], "ms": last["ms"]}


def _birth(case: dict, measured: dict) -> dict:
    """What the birth itself says, each at the moment of birth."""
    born = case["baby_born"]
    ms = born["ms"] if born else measured["now_ms"]
    found = {
        "cup_ms": measured["cup_ms"] if case["applications"] else None,
        "pulls": measured["pulls"],
        "detachments": measured["detachments"],
        "stopped": 1 if case["stopped"] else 0,
        "deflexed": _deflexed(case),
        "hard_first": _hard_first(case, measured),
        "turned": _answer(case, "position", ("transverse", "posterior"), ("anterior",)),
        "mid": _answer(case, "head_station", ("zero", "plus_one"), ("plus_two",)),
        "slow": _answer(case, "reason", ("slow",), ("baby", "mother", "none")),
        "gestation_days": _value(case, "weeks"),
        "big_baby": _answer(case, "big_baby", ("yes",), ("no",)),
        "without_vitamin_k": _without_vitamin_k(case, measured),
    }
    return {
        name: [] if value is None else [{"value": value, "ms": ms, "told_ms": ms}]
        for name, value in found.items()
    }


def _deflexed(case: dict) -> int | None:
    placements = [application["placement"] for application in case["applications"]]
    if any(placement and placement.startswith("deflexing") for placement in placements):
        return 1
    return None if not placements or None in placements or "unsure" in placements else 0


def _hard_first(case: dict, measured: dict) -> int | None:
    poor = any(pull["descent"] == "no" for pull in case["pulls"])
    if not poor and measured["detachments"] == 0:
        return 0
    return _answer(case, "first_birth", ("first",), ("later",))


def _answer(case: dict, item: str, bad: tuple, good: tuple) -> int | None:
    given = case["answers"].get(item)
    answer = given["answer"] if given else None
    return 1 if answer in bad else 0 if answer in good else None


def _value(case: dict, item: str) -> int | None:
    given = case["answers"].get(item)
    return given["value"] if given and given["answer"] == "value" else None


def _without_vitamin_k(case: dict, measured: dict) -> int | None:
    """Whole minutes since birth without vitamin K; 0 once it was given."""
    if case["baby_born"] is None:
        return None
    if any(
        item["kind"] == "medicine_given" and item["facts"].get("medicine") == "vitamin_k" and item["facts"].get("to") == "baby"
        for item in case["care"]
    ):
        return 0
    return max(measured["now_ms"] - case["baby_born"]["ms"], 0) // MINUTE_MS

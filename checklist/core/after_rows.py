"""Check the rows of a protocol that serve the hours after the birth.

How closely a baby is watched, when both are looked at, and what is done once: a row that
would never be met, or would never end, must not come into use.
"""

from checklist.core.newborn import NUMBERS, SIGNS
from checklist.core.refusals import check_choice, check_whole, refuse
from checklist.core.steps import CARE_KINDS

LANES = ("mother", "baby")
# Whom a row of care is meant for when it is not meant for all.
ONLY = ("cup",)
BOUNDS = ("above", "at_least", "below")
MEASURES = (
    "cup_ms",
    "pulls",
    "detachments",
    "stopped",
    "apgar_5",
    "deflexed",
    "hard_first",
    "turned",
    "mid",
    "slow",
    "gestation_days",
    "big_baby",
    "without_vitamin_k",
    *SIGNS,
    *NUMBERS,
    "head_growth_mm",
)


def check_newborn(where: str, row: dict) -> None:
    """Check a reason to watch a baby more closely; its bounds leave something harmless."""
    check_whole(where, "tier", row["tier"])
    if row["tier"] not in (2, 3):
        refuse(where, "tier unknown")
    check_choice(where, "measure", row["measure"], MEASURES)
    told = [name for name in BOUNDS if name in row]
    if not told:
        refuse(where, "bound missing")
    for name in told:
        check_whole(where, name, row[name])
    if "below" not in row:
        return
    most = [row[name] - less for name, less in (("above", 0), ("at_least", 1)) if name in row]
    if most and min(most) < row["below"]:
        refuse(where, "the bounds leave nothing between them")


def check_rounds(rounds: object) -> None:
    """Check the times at which mother and baby are looked at, in minutes since birth."""
    if not isinstance(rounds, dict):
        refuse("rounds", "missing")
    for name in ("grace_min", "early_min"):
        _check_least("rounds", name, rounds.get(name), 0)
    for name in ("baby", "flagged"):
        if not isinstance(rounds.get(name), dict):
            refuse(f"rounds.{name}", "missing")
    for tier in ("1", "2"):
        _check_minutes("rounds.baby", f"tier {tier}", rounds["baby"].get(tier))
    # Rounds no minute apart would never come to an end.
    for name, least in (("first_every", 1), ("first_for", 0), ("then_every", 1)):
        _check_least("rounds.flagged", name, rounds["flagged"].get(name), least)
    _check_minutes("rounds.mother", "minutes", rounds.get("mother"))


def check_care(where: str, row: dict) -> None:
    """Check what is done once for mother or baby."""
    check_choice(where, "lane", row["lane"], LANES)
    check_choice(where, "kind", row["kind"], CARE_KINDS)
    _check_facts(where, "facts", row["facts"])
    if "unless" in row:
        _check_facts(where, "unless", row["unless"])
    if "only" in row:
        check_choice(where, "only", row["only"], ONLY)
    _check_least(where, "due_min", row["due_min"], 0)
    check_whole(where, "late_min", row["late_min"])
    if row["late_min"] <= row["due_min"]:
        refuse(where, "late before it is due")


def _check_least(where: str, column: str, value: object, least: int) -> None:
    check_whole(where, column, value)
    if value < least:
        refuse(where, f"{column} is less than {least}")


def _check_minutes(where: str, column: str, value: object) -> None:
    if not isinstance(value, list) or not value:
        refuse(where, f"{column} missing")
    before = -1
    for minute in value:
        check_whole(where, column, minute)
        if minute <= before:
            refuse(where, f"{column} not in rising order")
        before = minute


def _check_facts(where: str, column: str, value: object) -> None:
    if not isinstance(value, dict):
        refuse(where, f"{column} missing")
    for name, wanted in value.items():
        choices = wanted if isinstance(wanted, list) and wanted else [wanted]
        if not all(_is_plain(choice) for choice in choices):
            refuse(where, f"{column}.{name} is neither a text nor a whole number")


def _is_plain(value: object) -> bool:
    return isinstance(value, str | int) and not isinstance(value, bool)

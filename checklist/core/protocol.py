"""Read a released protocol and refuse a broken one.

A protocol is a table of data: numbers, limits, questions and steps as rows, each with
unit, source and how the source is known. A released one is never edited.
"""

import json

from checklist.core.after_rows import check_care, check_newborn, check_rounds
from checklist.core.kit import check_kit
from checklist.core.protocol_rows import check_limit, check_number, check_question, check_rule
from checklist.core.refusals import refuse, rows_of, texts_of
from checklist.errors import ChecklistError

TEXTS = ("id", "released", "title", "sign_off")
TABLES = ("sources", "numbers")
LISTS = {
    "limits": ("judge", "unit", "levels", "clears"),
    "questions": ("section", "answers"),
    "together": ("any", "verdict"),
    "steps": ("form",),
    "cups": ("mm",),
    "medicines": ("to", "dose", "unit", "route"),
    "kit": ("form", "weekly", "before_use"),
    "newborn": ("tier", "measure"),
    "care": ("lane", "kind", "facts", "due_min", "late_min"),
}
# The numbers that the program asks for by name.
NUMBERS = (
    "same_contraction_s", "settle_s", "reach_permille", "undo_s", "kit_days", "blood_signs_ml",
    "blood_act_ml", "pulse_high_bpm", "systolic_low_mmhg", "diastolic_low_mmhg",
)


def read_protocol(text: str) -> dict:
    """Read a protocol from its JSON; raises protocol_malformed with where and why."""
    try:
        table = json.loads(text, parse_float=_number, parse_constant=_number)
    except (ValueError, RecursionError):
        raise ChecklistError("protocol_malformed", where="file", why="not JSON") from None
    if not isinstance(table, dict):
        refuse("file", "not an object")
    for name in TEXTS:
        if not isinstance(table.get(name), str) or not table[name]:
            refuse(name, "missing")
    for name in TABLES:
        if not isinstance(table.get(name), dict) or not table[name]:
            refuse(name, "missing")
    for name in NUMBERS:
        if name not in table["numbers"]:
            refuse(f"numbers.{name}", "missing")
    for name, row in table["numbers"].items():
        check_number(f"numbers.{name}", row)
        _check_sources(f"numbers.{name}", row, table["sources"])
    for name, columns in LISTS.items():
        _check_rows(table, name, columns)
    check_rounds(table.get("rounds"))
    for name, row in _sourced_rounds(table["rounds"]):
        _check_sources(f"rounds.{name}", row, table["sources"])
    return table


def limit_row(protocol: dict, limit: str) -> dict | None:
    """Give the row of a limit by its id, or None."""
    return next((row for row in protocol["limits"] if row["id"] == limit), None)


CHECKS = {
    "limits": check_limit,
    "questions": check_question,
    "together": check_rule,
    "newborn": check_newborn,
    "care": check_care,
    "kit": check_kit,
}


def _check_rows(table: dict, name: str, columns: tuple[str, ...]) -> None:
    seen: set[str] = set()
    for row in rows_of(name, table.get(name)):
        where = f"{name}.{row['id']}"
        for column in columns:
            if column not in row:
                refuse(where, f"{column} missing")
        _check_sources(where, row, table["sources"])
        if row["id"] in seen:
            refuse(where, "told twice")
        seen.add(row["id"])
        if name in CHECKS:
            CHECKS[name](where, row)


def _sourced_rounds(rounds: dict) -> list[tuple[str, dict]]:
    mother = {"source": rounds.get("mother_source"), "known": rounds.get("mother_known")}
    return [("baby", rounds["baby"]), ("flagged", rounds["flagged"]), ("mother", mother)]


def _check_sources(where: str, row: dict, sources: dict) -> None:
    for source in texts_of(where, "source", row.get("source")):
        if source not in sources:
            refuse(where, f"source {source} unknown")
    if not isinstance(row.get("known"), str) or not row["known"]:
        refuse(where, "known missing")


def _number(text: str) -> int | float:
    """Read 2.0 as 2, as JavaScript does; NaN and Infinity are not JSON."""
    if text.lstrip("-") in ("NaN", "Infinity"):
        raise ValueError(text)
    number = float(text)
    return int(number) if number.is_integer() else number

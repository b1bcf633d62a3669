"""Read a released protocol and refuse a broken one.

A protocol is a table of data: numbers, limits, questions and steps as rows, each with
unit, source and how the source is known. A released one is never edited.
"""

import json

from checklist.errors import ChecklistError

LISTS = {
    "limits": ("id", "judge", "unit", "levels", "clears", "source", "known"),
    "questions": ("id", "section", "answers", "source", "known"),
    "together": ("id", "any", "verdict", "source", "known"),
    "steps": ("id", "form", "source", "known"),
    "cups": ("id", "mm", "source", "known"),
    "medicines": ("id", "to", "dose", "unit", "route", "source", "known"),
}
LEVELS = ("unknown", "caution", "stop")


def read_protocol(text: str) -> dict:
    """Read a protocol from its JSON; raises protocol_malformed with where and why."""
    try:
        table = json.loads(text)
    except ValueError:
        raise ChecklistError("protocol_malformed", where="file", why="not JSON") from None
    if not isinstance(table, dict):
        _refuse("file", "not an object")
    for name in ("id", "released", "title", "sign_off", "sources", "numbers"):
        if not table.get(name):
            _refuse(name, "missing")
    for name, columns in LISTS.items():
        _check_rows(table, name, columns)
    for row in table["limits"]:
        _check_limit(row)
    return table


def limit_row(protocol: dict, limit: str) -> dict | None:
    """Give the row of a limit by its id, or None."""
    return next((row for row in protocol["limits"] if row["id"] == limit), None)


def _check_rows(table: dict, name: str, columns: tuple[str, ...]) -> None:
    rows = table.get(name)
    if not isinstance(rows, list) or not rows:
        _refuse(name, "missing")
    seen: set[str] = set()
    for row in rows:
        where = f"{name}.{row.get('id')}" if isinstance(row, dict) else name
        if not isinstance(row, dict):
            _refuse(where, "not an object")
        for column in columns:
            if column not in row:
                _refuse(where, f"{column} missing")
        for source in row["source"]:
            if source not in table["sources"]:
                _refuse(where, f"source {source} unknown")
        if row["id"] in seen:
            _refuse(where, "told twice")
        seen.add(row["id"])


def _check_limit(row: dict) -> None:
    where = f"limits.{row['id']}"
    for level in row["levels"]:
        if level.get("level") not in LEVELS or not level.get("message"):
            _refuse(where, "level unknown")
        if not isinstance(level.get("at"), int):
            _refuse(where, "bound is not a whole number")
        outer = row.get("outer")
        if level["level"] == "stop" and outer is not None and level["at"] > outer:
            _refuse(where, f"stop {level['at']} is looser than the outer bound {outer}")


def _refuse(where: str, why: str) -> None:
    raise ChecklistError("protocol_malformed", where=where, why=why)

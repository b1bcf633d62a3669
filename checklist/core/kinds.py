"""What each kind of event may say, read from the one table of kinds.

The table itself is ``static/core/kinds.json``. Whoever starts the program hands
it in once, since the core reads no files.
"""

import re

NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
ID = re.compile(r"[0-9a-f]{8,64}")
LARGEST = 2**53 - 1

_table: dict[str, dict] = {}


def use_kinds(table: dict[str, dict]) -> None:
    """Take the table of kinds into use: {kind: {group, facts, prefix?}}."""
    _table.clear()
    _table.update(table)


def kind_of(name: str) -> dict | None:
    """Give the row of a kind, or None when this version does not know it."""
    return _table.get(name)


def known_kinds() -> list[str]:
    """List the kinds that this version knows."""
    return list(_table)


def fits(spec: dict, value: object) -> bool:
    """Tell whether a value is of the type and in the range that its row asks."""
    kind = spec["type"]
    if kind == "int":
        return is_whole(value) and spec["min"] <= value <= spec["max"]
    if kind == "flag":
        return isinstance(value, bool)
    if not isinstance(value, str):
        return False
    if kind == "choice":
        return value in spec["choices"]
    if kind == "id":
        return ID.fullmatch(value) is not None
    return 0 < len(value) <= spec["max"]


def is_whole(value: object) -> bool:
    """Tell whether a value is a whole number that both languages keep exactly."""
    return isinstance(value, int) and not isinstance(value, bool) and abs(value) <= LARGEST


def fact_problems(kind: str, facts: dict) -> list[str]:
    """Name what is wrong with the facts of a kind; an unknown kind has none.

    A fact that the row does not know is kept and is no problem: it may come
    from a newer version.
    """
    row = _table.get(kind)
    if row is None:
        return []
    found = []
    for name, spec in row["facts"].items():
        if name not in facts:
            if spec.get("required"):
                found.append(f"{name}:missing")
        elif not fits(spec, facts[name]):
            found.append(f"{name}:refused")
    return found

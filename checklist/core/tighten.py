"""Make a protocol stricter for one post, and refuse whatever would make it looser.

Changes are one line of text, ``cup_minutes.caution=8 cup_minutes.stop=15``: sorted,
one space between, whole numbers in the row's own unit. The text is what is signed
and hashed, so it has one spelling only.
"""

import re
from typing import NoReturn

from checklist.core.protocol import limit_row
from checklist.core.units import UNITS, reading_from_pascals, shown_decimals
from checklist.errors import ChecklistError

LONGEST_CHANGES = 2000
_PIECE = re.compile(r"([a-z][a-z0-9_]{0,39})\.(caution|stop)=(0|[1-9][0-9]{0,5})")


def tighten(protocol: dict, changes: str) -> dict:
    """Give the protocol with stricter limits; the one that came in stays as it is.

    Raises limits_refused with where, why (malformed, unsorted, too_long, unknown, fixed,
    looser, too_small, past_stop) and the bound that was passed, if one was.
    """
    wanted: dict[str, dict[str, int]] = {}
    for limit, level, value in read_changes(changes):
        where = f"{limit}.{level}"
        row = limit_row(protocol, limit)
        if row is None:
            _refuse(where, "unknown")
        bounds = settable(row)
        if level not in bounds:
            _refuse(where, "fixed")
        if value > bounds[level]["loosest"]:
            _refuse(where, "looser", bounds[level]["loosest"])
        if value < bounds[level]["least"]:
            _refuse(where, "too_small", bounds[level]["least"])
        wanted.setdefault(limit, {})[level] = value
    rows = [_tightened(row, wanted.get(row["id"], {})) for row in protocol["limits"]]
    return {**protocol, "limits": rows}


def settable(row: dict) -> dict[str, dict[str, int]]:
    """Tell which levels of a limit a post may set: {level: {loosest, least}}, in its unit.

    Counts and times may have an earlier caution and an earlier stop, suction a lower
    ceiling; a caution that one is left moves with its stop alone; what is done or not done, and a band of heart beats, stand as they are.
    """
    shipped = {}
    for level in row["levels"]:
        # A limit may have two cautions; the first one is the one that is set.
        shipped.setdefault(level["level"], level["at"])
    if "stop" in shipped and row.get("outer") is not None:
        shipped["stop"] = min(shipped["stop"], row["outer"])
    if row["judge"] in ("count", "time"):
        names = [name for name in ("caution", "stop") if name in shipped and not (name == "caution" and _leaves_one(row))]
        return {name: {"loosest": shipped[name], "least": 1} for name in names}
    if row["judge"] == "suction" and "stop" in shipped:
        return {"stop": {"loosest": shipped["stop"], "least": shipped["caution"]}}
    return {}


def read_changes(changes: str) -> list[tuple[str, str, int]]:
    """Read changes as (limit, level, value); raises limits_refused unless spelled the one way."""
    if not isinstance(changes, str):
        _refuse("changes", "malformed")
    pieces = changes.split(" ") if changes else []
    found = []
    for piece in pieces:
        told = _PIECE.fullmatch(piece)
        if told is None:
            _refuse("changes", "malformed")
        found.append((told[1], told[2], int(told[3])))
    names = [f"{limit}.{level}" for limit, level, _ in found]
    if names != sorted(set(names)):
        _refuse("changes", "unsorted")
    if len(changes) > LONGEST_CHANGES:
        _refuse("changes", "too_long", LONGEST_CHANGES)
    return found


def write_changes(values: dict[str, int]) -> str:
    """Write values, by names like cup_minutes.stop, the one way it is spelled."""
    return " ".join(f"{name}={values[name]}" for name in sorted(values))


def digest_text(base: str, changes: str) -> str:
    """Give the text whose SHA-256 names the protocol made stricter; base is a digest."""
    return f"limits/1\n{base}\n{changes}"


def _tightened(row: dict, wanted: dict[str, int]) -> dict:
    if not wanted:
        return row
    if row["judge"] == "suction":
        return _lower_ceiling(row, wanted["stop"])
    stops = [level["at"] for level in row["levels"] if level["level"] == "stop"]
    stop = wanted.get("stop", stops[0] if stops else None)
    caution = wanted.get("caution")
    if caution is not None and stop is not None and caution > stop:
        _refuse(f"{row['id']}.caution", "past_stop", stop)
    levels, is_first = [], True
    for level in row["levels"]:
        at = level["at"]
        if level["level"] == "stop":
            at = stop
        elif level["level"] == "caution":
            if is_first and _leaves_one(row):
                at = max(stop - 1, 1)
            elif is_first and caution is not None:
                at = caution
            is_first = False
            # A later caution comes with the stop at the latest: "the last pull" stays the last.
            at = at if stop is None else min(at, stop)
        levels.append({**level, "at": at})
    return {**row, "levels": levels}


def _leaves_one(row: dict) -> bool:
    """Tell whether the first caution says that one is left, as where a second one is for the last: it stands one before the stop."""
    levels = [level["level"] for level in row["levels"]]
    return row["judge"] == "count" and levels == ["caution", "caution", "stop"]


def _lower_ceiling(row: dict, kpa: int) -> dict:
    pa = kpa * 1000
    ceiling = {unit: min(row["ceiling"][unit], _mark_below(unit, pa)) for unit in UNITS}
    levels = [
        {**level, "at": kpa} if level["level"] == "stop" else level for level in row["levels"]
    ]
    return {**row, "levels": levels, "ceiling": ceiling, "ceiling_pa": pa}


def _mark_below(unit: str, pa: int) -> int:
    """Give the last mark of a gauge that is not above so many pascals, in thousandths."""
    step = 1000 // 10 ** shown_decimals(unit)
    reading = reading_from_pascals(unit, pa)
    return reading - reading % step


def _refuse(where: str, why: str, bound: int | None = None) -> NoReturn:
    facts = {} if bound is None else {"bound": bound}
    raise ChecklistError("limits_refused", where=where, why=why, **facts)

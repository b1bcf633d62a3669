"""Compare a case with the limits of its protocol at a moment.

The levels are ordered, the worst comes first, and "unknown" outranks "clear": what
cannot be told is never called clear. Knows no clock: the caller brings the moment.
"""

from checklist.core.air import reachable_pascals
from checklist.core.measures import measures

RANK = {"clear": 0, "unknown": 1, "caution": 2, "stop": 3}
MINUTE_MS = 60_000
PULL_COUNTS = ("descent_pulls", "perineal_pulls", "pulls")


def advise(case: dict, protocol: dict, now: dict) -> list[dict]:
    """Judge every limit of a protocol, worst first.

    Each finding is {limit, level, value, bound, message, sound, clears}: value and bound
    in the limit's unit (minutes are whole minutes, suction is pascals), message a words id.
    """
    measured = measures(case, now)
    findings = [JUDGES[row["judge"]](row, measured) for row in protocol["limits"]]
    # Sorting keeps the order of the rows within a level.
    return sorted(findings, key=lambda finding: (-RANK[finding["level"]], _turn(finding)))


def _turn(finding: dict) -> int:
    """Of cautions the baby's heart comes first, and last what the numbers beside the advice tell anyway."""
    if finding["level"] != "caution":
        return 0
    return -1 if finding["limit"] == "fetal_heart" else int(finding["limit"] in PULL_COUNTS)


def reachable(case: dict, protocol: dict) -> int | None:
    """Give the suction in pascals that a pump can reach at the post, or None."""
    if case["altitude_m"] is None:
        return None
    return reachable_pascals(case["altitude_m"], protocol["numbers"]["reach_permille"]["value"])


def _finding(row: dict, level: str, value: int | None, reached: dict | None) -> dict:
    return {
        "limit": row["id"],
        "level": level,
        "value": value,
        "bound": reached["at"] if reached else None,
        "message": reached["message"] if reached else f"limit.{row['id']}.{level}",
        "sound": reached["sound"] if reached else "none",
        "clears": row["clears"],
    }


def _worst(row: dict, measured: dict, unit: int) -> dict | None:
    reached = [
        level for level in row["levels"] if measured[level["measure"]] >= level["at"] * unit
    ]
    # Rows name their levels from mild to grave, so the last one reached is the worst.
    return reached[-1] if reached else None


def _count(row: dict, measured: dict) -> dict:
    value = measured[row["levels"][0]["measure"]]
    if row.get("phase", measured["phase"]) != measured["phase"]:
        return _finding(row, "clear", value, None)
    reached = _worst(row, measured, 1)
    if reached:
        return _finding(row, reached["level"], value, reached)
    # Pulls that nobody could judge may have been poor ones, unless the head came down since.
    unsure = row["id"] == "poor_pulls" and measured["unsure_pulls"] > 0
    return _finding(row, "unknown" if unsure else "clear", value, None)


def _time(row: dict, measured: dict) -> dict:
    value = measured[row["levels"][0]["measure"]]
    reached = _worst(row, measured, MINUTE_MS)
    level = reached["level"] if reached else _sure(measured)
    return _finding(row, level, value // MINUTE_MS, reached)


def _sure(measured: dict) -> str:
    return "unknown" if measured["clock_doubt"] else "clear"


def _suction(row: dict, measured: dict) -> dict:
    levels = {level["level"]: level for level in row["levels"]}
    pa, unit, reading = (measured[f"suction_{name}"] for name in ("pa", "unit", "reading"))
    # Too much is too much at any stage.
    if "stop" in levels and pa is not None and pa > row["ceiling_pa"]:
        return _finding(row, "stop", pa, levels["stop"])
    if measured["suction_stage"] != row["stage"]:
        return _finding(row, _unset(row, measured), None, None)
    if pa is None:
        return _finding(row, "unknown", None, None)
    if unit not in row["floor"] or reading is None:
        return _finding(row, "unknown", pa, None)
    if _beyond_air(measured):
        return {**_finding(row, "unknown", pa, None), "message": f"limit.{row['id']}.beyond"}
    low, high = reading < row["floor"][unit], reading > row["ceiling"][unit]
    if "weak" in row and reading < row["weak"][unit]:
        return _finding(row, "caution", pa, row["weak"])
    if low or (high and "stop" not in levels):
        return _finding(row, "caution", pa, levels["caution"])
    return _finding(row, "clear", pa, None)


def _unset(row: dict, measured: dict) -> str:
    """With a pull and no working suction told, nobody knows what the cup held with."""
    needed = row["stage"] == "working" and measured["pull_open"]
    return "unknown" if needed else "clear"


def _beyond_air(measured: dict) -> bool:
    """A gauge cannot show more suction than there is air: then it was misread."""
    return measured["air_pa"] is not None and measured["suction_pa"] >= measured["air_pa"]


def _rate(row: dict, measured: dict) -> dict:
    heard, bpm = measured["fetal_heart"], measured["fetal_heart_bpm"]
    if heard == "no":
        return _finding(row, "caution", None, row["levels"][0])
    if heard != "yes" or bpm is None:
        return _finding(row, "unknown", None, None)
    if bpm < row["low"] or bpm > row["high"]:
        return _finding(row, "caution", bpm, row["levels"][0])
    # A count from before the last pull says nothing of how the baby bore it.
    return _finding(row, "unknown" if measured["fetal_heart_old"] else "clear", bpm, None)


def _done(row: dict, measured: dict) -> dict:
    value = measured[row["levels"][0]["measure"]]
    if value is None:
        return _finding(row, "unknown", None, None)
    reached = _worst(row, measured, 1)
    return _finding(row, reached["level"] if reached else "clear", value, reached)


JUDGES = {
    "count": _count,
    "time": _time,
    "suction": _suction,
    "rate": _rate,
    "done": _done,
    "doubt": _done,
}

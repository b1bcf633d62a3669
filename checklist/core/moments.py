"""Lay events along one clock that never runs backwards.

Two events of one page run are as far apart as its own clock says, for that clock
never jumps. Across page runs only the wall clock is left. A tablet that slept and a
wall clock that was set forward look alike from inside: the longer time is taken,
since too few minutes is the dangerous mistake, and the doubt is kept.
"""

JUMP_MS = 5000


def moments(events: list[dict], causes: list[str | None]) -> tuple[list[dict], int]:
    """Place ordered events in time.

    ``causes`` gives for each event what a ``clock_jumped`` says of the gap before it
    (``"set"``, ``"slept"``, ``"unknown"``) or None. Gives [{ms, floor_ms, doubts}] with ms
    since the first event, floor_ms the least it can be, the doubts so far, and the
    number of restarts.
    """
    placed: list[dict] = []
    restarts = 0
    for index, event in enumerate(events):
        if index == 0:
            placed.append({"ms": 0, "floor_ms": 0, "doubts": 0})
            continue
        before = events[index - 1]
        if before["boot"] != event["boot"]:
            restarts += 1
        gap, floor, doubt = apart(before, event, causes[index])
        last = placed[-1]
        placed.append(
            {
                "ms": last["ms"] + gap,
                "floor_ms": last["floor_ms"] + floor,
                "doubts": last["doubts"] + (1 if doubt else 0),
            }
        )
    return placed, restarts


def apart(a: dict, b: dict, cause: str | None) -> tuple[int, int, bool]:
    """Tell how far two stamps {at, boot, tick} are apart: (ms, least ms, doubt)."""
    wall = b["at"] - a["at"]
    if a["boot"] != b["boot"]:
        return max(wall, 0), max(wall, 0), wall < 0
    own = max(b["tick"] - a["tick"], 0)
    if wall - own <= JUMP_MS or cause == "set":
        return own, own, False
    if cause == "slept":
        return wall, wall, False
    return wall, own, True

"""Count pulls: all traction in one contraction is one pull.

Traction that is taken up again within ``same_contraction_s`` of its last end goes on
with the same pull, unless the cup came off in between.
"""


def open_pull(case: dict) -> dict | None:
    """Give the pull that is going on, or None."""
    pull = last_pull(case)
    return pull if pull is not None and pull["ended_ms"] is None else None


def last_pull(case: dict) -> dict | None:
    """Give the last pull that began, or None."""
    return case["pulls"][-1] if case["pulls"] else None


def begin_pull(case: dict, row: dict) -> list[str]:
    """Begin a pull, or go on with the last one."""
    odd = _oddities(case)
    going = open_pull(case)
    case["hissing"] = False
    if case["stopped"] is not None:
        # A stop that is not kept to is still in the timeline; the case goes on.
        case["stopped"] = None
        odd.append("pull_after_stop")
    if going is not None and row["ms"] < going["began_ms"]:
        _insert(case, _pull(case, row, row["ms"]), len(case["pulls"]) - 1)
        return odd
    if going is not None:
        odd.append("pull_already_open")
        if row["ms"] - going["pieces"][-1]["began_ms"] <= case["same_contraction_s"] * 1000:
            return odd
        # Its end was never told, so traction is counted up to here: rather too
        # much than too little.
        _end(going, row["ms"])
    elif _same_contraction(case, row):
        pull = case["pulls"][-1]
        pull["pieces"].append({"began_ms": row["ms"], "ended_ms": None})
        pull["ended_ms"] = None
        return odd
    _insert(case, _pull(case, row, None), len(case["pulls"]))
    return odd


def end_pull(case: dict, row: dict) -> list[str]:
    """End the pull that is going on; with none, say so when an end was told."""
    pull = open_pull(case)
    if pull is not None and row["ms"] < pull["began_ms"]:
        # Told late: it ends the pull before the one that is going on.
        pull = case["pulls"][-2] if len(case["pulls"]) > 1 else None
        if pull is not None and row["ms"] < pull["ended_ms"]:
            pull = None
    if pull is None:
        return ["pull_not_begun"] if row["kind"] == "pull_ended" else []
    _end(pull, row["ms"])
    return []


def _pull(case: dict, row: dict, ended_ms: int | None) -> dict:
    return {
        "number": 0,
        "phase": case["phase"],
        "began_ms": row["ms"],
        "began_floor_ms": row["floor_ms"],
        "began_doubts": row["doubts"],
        "ended_ms": ended_ms,
        "pieces": [{"began_ms": row["ms"], "ended_ms": ended_ms}],
        "descent": None,
        "detached": False,
        "pa": case["suction"]["pa"] if case["suction"] else None,
    }


def _insert(case: dict, pull: dict, place: int) -> None:
    case["pulls"].insert(place, pull)
    for index, counted in enumerate(case["pulls"]):
        counted["number"] = index + 1


def _oddities(case: dict) -> list[str]:
    odd = []
    if not case["cup_on"]:
        odd.append("pull_without_cup")
    if case["baby_born"] is not None:
        odd.append("after_birth")
    return odd


def _same_contraction(case: dict, row: dict) -> bool:
    pull = last_pull(case)
    # A pull told late is told because it was missed, so it always counts.
    if pull is None or pull["detached"] or row["estimated"]:
        return False
    return row["ms"] - pull["ended_ms"] <= case["same_contraction_s"] * 1000


def _end(pull: dict, ms: int) -> None:
    pull["ended_ms"] = ms
    pull["pieces"][-1]["ended_ms"] = ms

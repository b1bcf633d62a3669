"""Count pulls: all traction in one contraction is one pull.

Traction that is taken up again within ``same_contraction_s`` of its last end goes on
with the same pull, unless the cup came off or a stop was answered in between. Pulls
stand in the order in which they began, also those told late.
"""

ANSWERS = ("stopped", "continued")


def open_pull(case: dict) -> dict | None:
    """Give the pull that is going on, or None."""
    pull = last_pull(case)
    return pull if pull is not None and pull["ended_ms"] is None else None


def last_pull(case: dict) -> dict | None:
    """Give the last pull that began, or None."""
    return case["pulls"][-1] if case["pulls"] else None


def pull_at(case: dict, ms: int) -> dict | None:
    """Give the last pull that had begun at a moment of the case, or None."""
    begun = [pull for pull in case["pulls"] if pull["began_ms"] <= ms]
    return begun[-1] if begun else None


def begin_pull(case: dict, row: dict) -> list[str]:
    """Begin a pull, or go on with the last one."""
    odd = _oddities(case, row)
    going = open_pull(case)
    last = last_pull(case)
    goes_on = _same_contraction(case, row)
    if _is_after(case["stopped"], row):
        # A stop that is not kept to is still in the timeline; the case goes on.
        case["stopped"] = None
    if last is not None and row["ms"] < last["began_ms"]:
        # Told late, and over by now; when it ended may still be told.
        _insert(case, _pull(case, row, row["ms"]))
        return odd
    case["hissing"] = False
    if going is not None:
        odd.append("pull_already_open")
        if row["ms"] - going["pieces"][-1]["began_ms"] <= case["same_contraction_s"] * 1000:
            return odd
        # Its end was never told, so traction is counted up to here: rather too
        # much than too little.
        _end(going, row, row["ms"])
        going["end_known"] = False
    elif goes_on:
        last["pieces"].append({"began_ms": row["ms"], "ended_ms": None})
        last["ended_ms"] = None
        return odd
    _insert(case, _pull(case, row, None))
    return odd


def end_pull(case: dict, row: dict) -> list[str]:
    """End the pull that is going on; with none, say so when an end was told."""
    pull = close_pull(case, row)
    return ["pull_not_begun"] if pull is None and row["kind"] == "pull_ended" else []


def close_pull(case: dict, row: dict) -> dict | None:
    """End the pull that a row ends and give it, or None when it ends none."""
    pull = open_pull(case)
    if pull is not None and row["ms"] >= pull["began_ms"]:
        _end(pull, row, row["ms"])
        return pull
    # Told late, it can only be the end of a pull whose end was not told yet.
    waiting = [
        pull
        for pull in case["pulls"]
        if row["estimated"] and pull["began_ms"] <= row["ms"] and _has_no_end(pull)
    ]
    if not waiting:
        return None
    pull = waiting[-1]
    # No traction is counted twice: it ends where the next pull began.
    after = case["pulls"][pull["number"] :]
    _end(pull, row, min([row["ms"], *(other["began_ms"] for other in after)]))
    return pull


def _has_no_end(pull: dict) -> bool:
    return pull["ended_ms"] is not None and not pull["end_known"]


def _pull(case: dict, row: dict, ended_ms: int | None) -> dict:
    perineum = case["perineum"]
    return {
        "number": 0,
        "phase": "perineal" if perineum and perineum["ms"] <= row["ms"] else "descent",
        "began_ms": row["ms"],
        "began_floor_ms": row["floor_ms"],
        "began_doubts": row["doubts"],
        "ended_ms": ended_ms,
        "end_known": False,
        "ended_doubts": row["doubts"],
        "pieces": [{"began_ms": row["ms"], "ended_ms": ended_ms}],
        "descent": None,
        "detached": False,
        "pa": case["suction"]["pa"] if case["suction"] else None,
    }


def _insert(case: dict, pull: dict) -> None:
    pulls = case["pulls"]
    place = sum(1 for other in pulls if other["began_ms"] <= pull["began_ms"])
    pulls.insert(place, pull)
    for index, counted in enumerate(pulls):
        counted["number"] = index + 1
    for off in case["detachments"]:
        if off["pull"] > place:
            off["pull"] += 1


def _oddities(case: dict, row: dict) -> list[str]:
    odd = []
    # A pull told late may have been before the cup came off.
    if not case["cup_on"] and not row["estimated"]:
        odd.append("pull_without_cup")
    if _is_after(case["baby_born"], row):
        odd.append("after_birth")
    if _is_after(case["stopped"], row):
        odd.append("pull_after_stop")
    return odd


def _is_after(end: dict | None, row: dict) -> bool:
    return end is not None and row["ms"] >= end["ms"]


def _same_contraction(case: dict, row: dict) -> bool:
    pull = last_pull(case)
    # A pull told late is told because it was missed, so it always counts.
    if pull is None or pull["ended_ms"] is None or row["estimated"] or _is_past(case, pull):
        return False
    if row["doubts"] > pull["ended_doubts"]:
        # Nobody can tell how long the rest was: rather a pull too many than too few.
        return False
    return row["ms"] - pull["ended_ms"] <= case["same_contraction_s"] * 1000


def _is_past(case: dict, pull: dict) -> bool:
    """Traction after the cup came off, or after a stop, is never part of the pull before."""
    offs = case["detachments"] + case["cup_removed"]
    return (
        pull["detached"]
        or case["stopped"] is not None
        or any(off["ms"] >= pull["ended_ms"] for off in offs)
        or any(_answers_stop(item, len(case["pulls"])) for item in case["advice"])
    )


def _answers_stop(item: dict, pulls: int) -> bool:
    return item["level"] == "stop" and item["choice"] in ANSWERS and item["pulls"] == pulls


def _end(pull: dict, row: dict, ms: int) -> None:
    piece = pull["pieces"][-1]
    # An end told late may lie before the traction was taken up again.
    piece["ended_ms"] = max(ms, piece["began_ms"])
    pull["ended_ms"] = piece["ended_ms"]
    pull["ended_doubts"] = row["doubts"]
    pull["end_known"] = True

"""Measure a case at a moment: counts, minutes, suction.

Whole numbers only: counts, milliseconds, pascals, 0 or 1 for no or yes, and None where
it cannot be told. Knows no clock: the caller brings the moment as a stamp
{at, boot, tick}.
"""

from checklist.core.air import air_pascals
from checklist.core.cup import last_application
from checklist.core.moments import apart
from checklist.core.pulls import open_pull

# Common practice, no source. A pull counts as ended once its descent is judged, the
# next one begins, or this time has passed, so that traction taken up again in the same
# contraction is not met with a stop. The protocol carries the same figure.
SETTLE_MS = 10_000


def used_cup(case: dict) -> bool:
    """Tell whether a cup was ever on in this case."""
    return bool(case["applications"] or case["pulls"])


def now_in_case(case: dict, now: dict) -> dict:
    """Place a stamp {at, boot, tick} on the case's clock: {ms, floor_ms, doubts}."""
    last = case["clock"]
    if last is None:
        return {"ms": 0, "floor_ms": 0, "doubts": 0}
    gap, floor, doubt = apart(last, now, None)
    return {
        "ms": last["ms"] + gap,
        "floor_ms": last["floor_ms"] + floor,
        "doubts": last["doubts"] + (1 if doubt else 0),
    }


def measures(case: dict, now: dict) -> dict:
    """Measure a folded case at a stamp: {name: whole number or text or None}."""
    place = now_in_case(case, now)
    pulls = case["pulls"]
    descent = [pull for pull in pulls if pull["phase"] == "descent"]
    perineal = [pull for pull in pulls if pull["phase"] == "perineal"]
    going = open_pull(case)
    return {
        "now_ms": place["ms"],
        "phase": case["phase"],
        "pulls": len(pulls),
        "descent_pulls": len(descent),
        "perineal_pulls": len(perineal),
        "pulls_ended": _settled(case, pulls, place["ms"]),
        "descent_pulls_ended": _settled(case, descent, place["ms"]),
        "perineal_pulls_ended": _settled(case, perineal, place["ms"]),
        "poor_pulls": _since_descent(pulls, judged=True),
        "unsure_pulls": _since_descent(pulls, judged=False),
        "unjudged_pulls": _unjudged(pulls),
        "detachments": len(case["detachments"]),
        "applications": len(case["applications"]),
        "pull_open": 1 if going else 0,
        "pull_ms": place["ms"] - going["pieces"][-1]["began_ms"] if going else None,
        "traction_ms": _traction(pulls, place["ms"]),
        **_cup_time(case, place),
        **_suction(case),
        "deflexing": _deflexing(case),
        "rim_unswept": 1 if case["rim_unswept"] else 0,
        "scalp_unchecked": 1 if case["scalp_unchecked"] else 0,
        "scalp_cut": 1 if case["scalp_cut"] else 0,
        "scalp_swelling": 1 if case["scalp"] and case["scalp"]["finding"] == "swelling" else 0,
        "hissing": 1 if case["hissing"] else 0,
        **_fetal_heart(case),
    }


def _settled(case: dict, pulls: list[dict], now_ms: int) -> int:
    """Count the pulls that are over.

    A pull that counted as over still does when traction is taken up again in the same
    contraction, or pulling on would silence the stop that it is pulled against.
    """
    return sum(
        1
        for pull in pulls
        if pull["number"] < len(case["pulls"])
        or (has_ended(pull) and pull["descent"] is not None)
        or pull["detached"]
        or _longest_rest(pull, now_ms) >= SETTLE_MS
    )


def end_of(case: dict, pull: dict) -> str | None:
    """How a pull went: "yes", "no", "unsure", "detached", "born", or None when nobody told.

    As the cup comes off or the head is born nobody is asked.
    """
    if pull["detached"]:
        return "detached"
    if pull["descent"] is not None:
        return pull["descent"]
    birth = case["head_born"] or case["baby_born"]
    return "born" if pull is case["pulls"][-1] and birth and birth["ms"] >= pull["began_ms"] else None


def has_ended(pull: dict) -> bool:
    """Tell whether a pull ended, be it that traction was taken up again."""
    return pull["ended_ms"] is not None or len(pull["pieces"]) > 1


def _longest_rest(pull: dict, now_ms: int) -> int:
    """Give the longest time in ms without traction, the one since its end included."""
    ends = [piece["ended_ms"] for piece in pull["pieces"] if piece["ended_ms"] is not None]
    begins = [piece["began_ms"] for piece in pull["pieces"][1:]] + [now_ms]
    return max((begin - end for end, begin in zip(ends, begins, strict=False)), default=0)


def _since_descent(pulls: list[dict], *, judged: bool) -> int:
    """Count ended pulls since the last one judged "yes": those judged "no", or those nobody was sure of."""
    count = 0
    for pull in pulls:
        if not has_ended(pull):
            continue
        if pull["descent"] == "yes":
            count = 0
        elif (pull["descent"] == "no") == judged:
            count += 1
    return count


def _unjudged(pulls: list[dict]) -> int:
    """Count ended pulls of which nobody could say whether the head came down."""
    return sum(
        1
        for pull in pulls
        if has_ended(pull) and pull["descent"] not in ("yes", "no")
    )


def _traction(pulls: list[dict], now_ms: int) -> int:
    pieces = [piece for pull in pulls for piece in pull["pieces"]]
    return sum(
        (now_ms if piece["ended_ms"] is None else piece["ended_ms"]) - piece["began_ms"]
        for piece in pieces
    )


def _cup_time(case: dict, place: dict) -> dict:
    """Time since the cup first went on; it runs through detachments.

    Without a told application the first suction or pull starts it, and it is estimated.
    """
    starts = _starts(case)
    if not starts:
        return {
            "cup_ms": 0,
            "cup_floor_ms": 0,
            "cup_running": 0,
            "cup_estimated": 0,
            "clock_doubt": 0,
        }
    first = min(starts, key=lambda start: start["ms"])
    told = [start["ms"] for start in case["applications"]]
    end = _cup_end(case, starts)
    until = end or place
    cup_ms = max(until["ms"] - first["ms"], 0)
    return {
        "cup_ms": cup_ms,
        "cup_floor_ms": min(max(until["floor_ms"] - first["floor_ms"], 0), cup_ms),
        "cup_running": 0 if end else 1,
        "cup_estimated": 0 if first["ms"] in told else 1,
        "clock_doubt": 0 if until["doubts"] == first["doubts"] else 1,
    }


def _starts(case: dict) -> list[dict]:
    pulls = [
        {
            "ms": pull["began_ms"],
            "floor_ms": pull["began_floor_ms"],
            "doubts": pull["began_doubts"],
        }
        for pull in case["pulls"]
    ]
    set_on = [suction for suction in case["suctions"] if suction["stage"] != "released"]
    return case["applications"] + set_on + pulls


def _cup_end(case: dict, starts: list[dict]) -> dict | None:
    """The moment since when the cup is off for good, or None.

    With the birth; or once the head is out or a stop is told and the cup is off, in
    either order. Nothing that needs a cup may come after it.
    """
    last_start = max(start["ms"] for start in starts)
    ends = [case["baby_born"]] if case["baby_born"] else []
    over = [end for end in (case["head_born"], case["stopped"]) if end]
    if over:
        first_over = min(over, key=_ms)
        offs = [off for off in case["cup_removed"] + case["detachments"] if off["ms"] >= last_start]
        ends += [max(off, first_over, key=_ms) for off in offs]
    return min((end for end in ends if end["ms"] >= last_start), key=_ms, default=None)


def _ms(moment: dict) -> int:
    return moment["ms"]


def _suction(case: dict) -> dict:
    suction = case["suction"] or {}
    altitude = case["altitude_m"]
    return {
        "suction_stage": suction.get("stage"),
        "suction_unit": suction.get("unit"),
        "suction_reading": suction.get("reading"),
        "suction_pa": suction.get("pa"),
        "air_pa": None if altitude is None else air_pascals(altitude),
    }


def _deflexing(case: dict) -> int | None:
    """Tell whether the cup lies too far to the front: 1 or 0, None when nobody could say."""
    application = last_application(case)
    if not case["cup_on"] or application is None:
        # With a pull and no cup told, nobody knows where the cup lies.
        return None if open_pull(case) else 0
    placement = application["placement"]
    if placement in (None, "unsure"):
        return None
    return 1 if placement.startswith("deflexing") else 0


def _fetal_heart(case: dict) -> dict:
    counted = sorted(case["fetal_heart"], key=lambda count: count["ms"])
    last = counted[-1] if counted else None
    return {
        "fetal_heart": last["heard"] if last else None,
        "fetal_heart_bpm": last["bpm"] if last else None,
        "fetal_heart_ms": last["ms"] if last else None,
        "fetal_heart_old": 1 if last and _pulled_since(case, last["ms"]) else 0,
    }


def _pulled_since(case: dict, ms: int) -> bool:
    """Tell whether a pull has ended since, with none going on in which nobody can count."""
    ended = [pull["ended_ms"] for pull in case["pulls"]]
    return None not in ended and any(end >= ms for end in ended)

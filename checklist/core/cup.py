"""What happens to the cup: on, suction, rim, off, and the scalp under it.

What is told late takes its place among what happened and does not undo what is known
of later.
"""

import math

from checklist.core.pulls import close_pull, pull_at


def apply_cup(case: dict, row: dict) -> list[str]:
    """Put the cup on; the minutes run from the first time."""
    facts = row["facts"]
    odd = ["applied_unchecked"] if case["scalp_unchecked"] else []
    if case["cup_on"]:
        odd.append("applied_twice")
    if case["baby_born"] is not None:
        odd.append("after_birth")
    case["applications"].append(
        {
            "cup": facts.get("cup"),
            "mm": facts.get("mm"),
            "placement": facts.get("placement"),
            **moment_of(row),
        }
    )
    if row["ms"] < _last_ms(_offs(case)):
        # Told late: by now the cup has come off.
        return odd
    case["cup_on"] = True
    if case["suction"] is None or case["suction"]["ms"] <= row["ms"]:
        case["suction"] = None
        case["rim_unswept"] = False
    return odd


def set_suction(case: dict, row: dict) -> list[str]:
    """Set suction; after each stage the rim is to be swept."""
    facts = row["facts"]
    suction = {
        "stage": facts.get("stage"),
        "pa": facts.get("pa"),
        "unit": facts.get("unit"),
        "reading": facts.get("reading"),
        **moment_of(row),
    }
    later = row["ms"] < _last_ms(case["suctions"] + _offs(case))
    case["suctions"].append(suction)
    if later:
        return []
    released = suction["stage"] == "released"
    case["suction"] = None if released else suction
    case["rim_unswept"] = not released
    case["hissing"] = False
    return [] if case["cup_on"] or released else ["suction_without_cup"]


def sweep_rim(case: dict, row: dict) -> list[str]:
    """Sweep the rim; only a clear one counts as swept."""
    if case["suction"] and row["ms"] < case["suction"]["ms"]:
        return ["swept_before_suction"]
    case["rim_unswept"] = row["facts"].get("clear") != "yes"
    return []


def hear_hiss(case: dict, row: dict) -> None:
    """Hear a hiss; the rim is to be swept again."""
    case["hissing"] = True
    case["rim_unswept"] = True


def remove_cup(case: dict, row: dict) -> None:
    """Take the cup off by hand."""
    close_pull(case, row)
    case["cup_removed"].append({**moment_of(row), "why": row["facts"].get("why")})
    take_off(case, row)


def detach_cup(case: dict, row: dict) -> list[str]:
    """Count that the cup came off; the scalp is to be looked at."""
    odd = [] if case["cup_on"] else ["detached_without_cup"]
    pull = close_pull(case, row)
    if pull is not None:
        pull["detached"] = True
    before = pull_at(case, row["ms"])
    number = before["number"] if before else 0
    case["detachments"].append(
        {**moment_of(row), "cause": row["facts"].get("cause"), "pull": number}
    )
    take_off(case, row)
    scalp = case["scalp"]
    if scalp is None or scalp["ms"] <= row["ms"] or not _is_seen(scalp["finding"]):
        case["scalp_unchecked"] = True
    return odd


def check_scalp(case: dict, row: dict) -> list[str]:
    """Look at the scalp."""
    finding = row["facts"].get("finding")
    # A cut does not heal by a later look; only taking the look back takes it away.
    case["scalp_cut"] = case["scalp_cut"] or finding == "cut"
    if row["ms"] < _last_ms(case["detachments"]):
        return ["scalp_before_detachment"]
    if case["scalp"] is None or case["scalp"]["ms"] <= row["ms"]:
        case["scalp"] = {"finding": finding, "ms": row["ms"]}
        case["scalp_unchecked"] = not _is_seen(finding)
    return []


def last_application(case: dict) -> dict | None:
    """Give the application that happened last, be it told late or not; or None."""
    in_time = sorted(case["applications"], key=lambda application: application["ms"])
    return in_time[-1] if in_time else None


def take_off(case: dict, row: dict) -> None:
    """Leave the case with no cup on the head."""
    if row["ms"] < _last_ms(case["applications"]):
        # Told late: by now the cup is on again.
        return
    case["cup_on"] = False
    case["suction"] = None
    case["rim_unswept"] = False
    case["hissing"] = False


def moment_of(row: dict) -> dict:
    """Give when a row happened: {ms, floor_ms, doubts}."""
    return {name: row[name] for name in ("ms", "floor_ms", "doubts")}


def _is_seen(finding: str | None) -> bool:
    return finding not in ("unsure", None)


def _offs(case: dict) -> list[dict]:
    born = [case["baby_born"]] if case["baby_born"] else []
    return case["detachments"] + case["cup_removed"] + born


def _last_ms(told: list[dict]) -> float:
    """When the latest of these happened; what is told late comes before it."""
    return max((item["ms"] for item in told), default=-math.inf)

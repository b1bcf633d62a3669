"""What a debrief finds of cup and pulls: rim, suction, scalp, descent, and pulls past a stop."""

from checklist.core.debrief_start import fault
from checklist.core.limits import advise
from checklist.core.measures import measures

# Too much suction is named where it was set, and is no matter of one more pull.
ELSEWHERE = ("working_suction",)
STEPS = {"cup_applied": "sweep_before", "first": "sweep_first", "working": "sweep_working"}


def cup_faults(steps: list[dict], protocol: dict) -> list[dict]:
    """Judge rim, suction and scalp, in the order of the log."""
    found = []
    for index, step in enumerate(steps):
        later = steps[index + 1 :]
        found += _rim(step, later) + _suction(step, protocol) + _scalp(step, later)
        if step["event"]["kind"] == "cup_applied" and _past(step):
            number = len(step["after"]["applications"])
            found.append(fault("applied_after_stop", _ms(step), _past(step)[0], number))
    return found


def pull_faults(case: dict, steps: list[dict], script: dict | None, contractions: list[int]) -> list[dict]:
    """Judge each pull; contractions are the moments at which one was told to begin."""
    found = []
    for step in steps:
        if step["event"]["kind"] == "pull_began":
            found += _beginning(step)
    for pull in case["pulls"]:
        found += _ending(case, pull, script)
        if contractions and sum(ms <= pull["began_ms"] for ms in contractions) < pull["number"]:
            found.append(fault("without_contraction", pull["began_ms"], None, pull["number"]))
    # Past a stop the question gives way to the stop, so nobody was asked.
    unasked = [one["n"] for one in found if one["code"] == "pulled_after_stop"]
    return _once([one for one in found if one["code"] != "not_judged" or one["n"] not in unasked])


def _ms(step: dict) -> int:
    """Place an event on the case's clock."""
    event = step["event"]
    for row in step["after"]["timeline"]:
        if (row["log"], row["seq"]) == (event["log"], event["seq"]):
            return row["ms"]
    return step["after"]["clock"]["ms"]


def _past(step: dict) -> list[str]:
    return [limit for limit in step["stops"] if limit not in ELSEWHERE]


def _stage(event: dict) -> str | None:
    """Name what calls for a finger's sweep of the rim: a cup that went on, or a stage of suction."""
    if event["kind"] == "cup_applied":
        return "cup_applied"
    return event["facts"].get("stage") if event["kind"] == "suction_set" else None


def _rim(step: dict, later: list[dict]) -> list[dict]:
    is_hiss = step["event"]["kind"] == "hiss_heard"
    item = "hiss" if is_hiss else STEPS.get(_stage(step["event"]))
    if item is None:
        return []
    for other in later:
        event = other["event"]
        if event["kind"] == "rim_swept" and event["facts"].get("clear") == "yes":
            return []
        if event["kind"] in ("cup_detached", "cup_removed", "cup_applied", "head_born", "baby_born"):
            return []
        if _stage(event) == "released":
            return []
        # A hiss in a pull is met when the next one begins; a stage, when suction is set again.
        if event["kind"] == "pull_began" or (event["kind"] == "suction_set" and not is_hiss):
            return [fault("rim_not_swept", _ms(step), item, len(step["after"]["applications"]))]
    return []


def _suction(step: dict, protocol: dict) -> list[dict]:
    stage = _stage(step["event"])
    if stage not in ("first", "working"):
        return []
    event, case = step["event"], step["after"]
    stamp = {name: event[name] for name in ("at", "boot", "tick")}
    limits = {one["limit"]: one for one in advise(case, protocol, stamp)}
    row = next((one for one in protocol["limits"] if one.get("stage") == stage), None)
    if row is None or limits[row["id"]]["level"] == "clear":
        return []
    code = _band(row, limits[row["id"]]["level"], measures(case, stamp))
    return [fault(code, _ms(step), stage, limits[row["id"]]["value"])]


def _band(row: dict, level: str, measured: dict) -> str:
    if level == "unknown":
        return "suction_untold" if measured["suction_pa"] is None else "suction_beyond_air"
    floor = row["floor"].get(measured["suction_unit"] or "")
    is_low = floor is not None and measured["suction_reading"] is not None and measured["suction_reading"] < floor
    return "suction_low" if is_low else "suction_high"


def _scalp(step: dict, later: list[dict]) -> list[dict]:
    if step["event"]["kind"] != "cup_detached":
        return []
    for other in later:
        event = other["event"]
        is_scalp = event["kind"] == "baby_observed" and event["facts"].get("what") == "scalp"
        if is_scalp or (event["kind"] == "scalp_checked" and event["facts"].get("finding") != "unsure"):
            return []
        if event["kind"] in ("cup_applied", "pull_began"):
            break
    return [fault("scalp_not_checked", _ms(step), None, len(step["after"]["detachments"]))]


def _beginning(step: dict) -> list[dict]:
    case, ms = step["before"], _ms(step)
    number = len(step["after"]["pulls"])
    found = [fault("pulled_after_stop", ms, _past(step)[0], number)] if _past(step) else []
    event = step["event"]
    measured = measures(step["after"], {name: event[name] for name in ("at", "boot", "tick")})
    if not case["cup_on"]:
        found.append(fault("pulled_without_cup", ms, None, number))
    elif measured["suction_stage"] != "working":
        found.append(fault("pulled_without_suction", ms, None, number))
    if case["cup_on"] and measured["deflexing"] == 1:
        found.append(fault("pulled_deflexing", ms, None, len(case["applications"])))
    return found


def _ending(case: dict, pull: dict, script: dict | None) -> list[dict]:
    head = case["head_born"]
    is_birth = head is not None and pull["ended_ms"] == head["ms"]
    if pull["descent"] is None:
        is_left = pull["ended_ms"] is not None and not pull["detached"] and not is_birth
        return [fault("not_judged", pull["ended_ms"], None, pull["number"])] if is_left else []
    truth = _truth(script, pull["number"])
    if truth is None or pull["descent"] in (truth, "unsure"):
        return []
    return [fault("judged_otherwise", pull["ended_ms"], truth, pull["number"])]


def _truth(script: dict | None, number: int) -> str | None:
    """Say whether the head came down; what the last row says holds for all further pulls."""
    if script is None or not script["pulls"]:
        return None
    return script["pulls"][min(number, len(script["pulls"])) - 1]


def _once(found: list[dict]) -> list[dict]:
    """Name the same thing of the same pull or cup once."""
    kept: dict[tuple, dict] = {}
    for one in found:
        kept.setdefault((one["code"], one["n"]), one)
    return list(kept.values())

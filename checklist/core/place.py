"""Tell where in the birth a case is, and what to do now.

Both follow from the events alone, so that a tablet that was restarted lands in the
same place.
"""

from checklist.core.cup import last_application

PLACES = ("before", "cup", "pull", "stop", "after", "closed")


def place(case: dict) -> str:
    """Name the screen that a case belongs on: one of PLACES."""
    if case["closed"]:
        return "closed"
    if case["baby_born"]:
        return "after"
    if case["stopped"]:
        return "stop"
    if case["head_born"] or case["pulls"] or case["detachments"]:
        return "cup" if _to_apply_again(case) else "pull"
    if _ready_to_pull(case):
        return "pull"
    decision = case["decision"]
    if decision and decision["decision"] == "refer":
        return "stop"
    started = decision and decision["decision"] == "proceed"
    return "cup" if started or case["applications"] else "before"


def guide(case: dict, measured: dict) -> str:
    """Name what to do now on the pull screen, as a words id."""
    if case["head_born"]:
        return "now.head_out"
    if case["scalp_unchecked"]:
        return "now.scalp"
    if measured["pull_open"]:
        return "now.pulling_gently" if case["phase"] == "perineal" else "now.pulling"
    if measured["hissing"]:
        return "now.hiss"
    if not case["cup_on"]:
        return "now.cup_off"
    if case["pulls"] and case["pulls"][-1]["descent"] is None:
        return "now.judge"
    return "now.between" if case["pulls"] else "now.wait"


def _ready_to_pull(case: dict) -> bool:
    suction = case["suction"]
    return bool(suction and suction["stage"] == "working" and not case["rim_unswept"])


def _to_apply_again(case: dict) -> bool:
    """The cup is off, the scalp was looked at: the next thing is the cup again."""
    if case["head_born"] or case["cup_on"]:
        return _begun_again(case)
    return bool(case["detachments"]) and not case["scalp_unchecked"]


def _begun_again(case: dict) -> bool:
    """The cup was put on again and working suction is not yet told."""
    application = last_application(case)
    if case["head_born"] or application is None:
        return False
    pulled = case["pulls"] and case["pulls"][-1]["began_ms"] >= application["ms"]
    return not pulled and not _ready_to_pull(case)

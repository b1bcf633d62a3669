"""Say of one birth what a review asks: three-valued facts, and the reasons to talk it over.

Yes is 1, no is 0, and None is "not recorded", which is never taken for no. Judged by the
protocol that the birth itself ran under. A reason is a prompt to talk, not a fault. Knows
no store.
"""

from checklist.core.apgar import apgar_at
from checklist.core.limits import MINUTE_MS
from checklist.core.measures import measures, used_cup
from checklist.core.protocol import limit_row
from checklist.review_steps import AT_THE_TIME, LATE, OPEN, critical_steps, told_unclear

# Of 10 points at 5 min. Common practice, no source read.
LOW_APGAR = 7
VERY_LOW_APGAR = 4
APGAR_MINUTE = 5
# Third and fourth degree; a buttonhole tear reaches the bowel as well.
SEVERE_TEARS = ("3a", "3b", "3c", "4", "buttonhole")
SCALP_BAD = ("cut", "swelling", "skin_lost")
SCALP_GOOD = ("whole", "bruised")
# What a bleed under the scalp looks like; from memory.
SCALP_SENTINEL = ("swelling", "skin_lost")
SCALP_ANSWERS = {"boggy": "swelling", "flat": "whole", "soft": "bruised", "firm": "bruised"}
ANSWERED = {"yes": 1, "no": 0}

# Facts that are each yes, no or not recorded.
THREE_VALUED = (
    "attempted", "born_vacuum", "failed", "many_pulls", "detached_twice", "long", "severe_tear",
    "scalp", "low_apgar", "referred", "death", "timely", "complete", "late_entries",
    "override", "skipped", "stop_heard", "overridden",
)
NUMBERS = (
    "pulls", "descent_pulls", "perineal_pulls", "detachments", "cup_min", "apgar5",
    "steps", "steps_late", "steps_open",
)
TEXTS = ("tear", "stop_answer", "reasons")
# A yes is a reason to talk the birth over; of these a no is one.
WHEN_YES = (
    "death", "scalp", "low_apgar", "severe_tear", "failed", "overridden", "detached_twice",
    "many_pulls", "long", "referred", "override", "skipped", "late_entries",
)
WHEN_NO = {"complete": "incomplete", "timely": "untimely"}
NONE, TALK, SENTINEL = 0, 1, 2


def facts_of(case: dict, protocol: dict) -> dict:
    """Give all facts of a folded case, `reasons` as codes with a space between, and `talk`.

    talk is 0 for nothing to talk over, 1 for a reason, 2 for one that cannot wait.
    """
    measured = measures(case, case["clock"])
    attempted = used_cup(case)
    found: dict = dict.fromkeys((*THREE_VALUED, *NUMBERS, *TEXTS))
    found |= {"attempted": int(attempted), "reasons": "", "talk": NONE}
    found |= _before(case)
    if not attempted:
        return found
    found |= _outcome(case) | _limits(case, protocol, measured) | _after(case)
    found |= _stops(case, protocol) | _steps(case, protocol)
    reasons = [name for name in WHEN_YES if found[name] == 1]
    reasons += [code for name, code in WHEN_NO.items() if found[name] == 0]
    found["reasons"] = " ".join(reasons)
    found["talk"] = SENTINEL if _is_sentinel(case, found) else TALK if reasons else NONE
    return found


def _before(case: dict) -> dict:
    decision = case["decision"]
    return {"override": int(bool(decision["override"])) if decision else None}


def _outcome(case: dict) -> dict:
    """A birth after a stop is a birth, and a failed vacuum all the same."""
    stopped, born = case["stopped"] is not None, case["baby_born"] is not None
    failed = 1 if stopped else 0 if born else None
    sent = [
        case["transfer_left"] is not None,
        stopped and case["stopped"]["next"] == "transfer",
        case["closed"] is not None and case["closed"]["why"] == "transferred",
    ]
    return {
        "born_vacuum": None if failed is None else 1 - failed,
        "failed": failed,
        "referred": 1 if any(sent) else 0 if case["closed"] or born else None,
    }


def _limits(case: dict, protocol: dict, measured: dict) -> dict:
    """What the table has no row for is not judged."""
    # Fewer than the first level is what a protocol calls few pulls.
    many = _bound(protocol, "pulls", 0)
    twice, minutes = _bound(protocol, "detachments", -1), _bound(protocol, "cup_minutes", -1)
    return {
        "pulls": measured["pulls"],
        "descent_pulls": measured["descent_pulls"],
        "perineal_pulls": measured["perineal_pulls"],
        "detachments": measured["detachments"],
        "cup_min": None if measured["clock_doubt"] else measured["cup_ms"] // MINUTE_MS,
        "many_pulls": None if many is None else int(measured["pulls"] >= many),
        "detached_twice": None if twice is None else int(measured["detachments"] >= twice),
        "long": None if minutes is None else _long(measured, minutes * MINUTE_MS),
    }


def _bound(protocol: dict, limit: str, level: int) -> int | None:
    """Give where a level of a limit begins; levels are told from mild to grave."""
    row = limit_row(protocol, limit)
    return row["levels"][level]["at"] if row else None


def _long(measured: dict, bound: int) -> int | None:
    """With a clock that moved, only what is so either way is said."""
    if measured["cup_floor_ms"] >= bound:
        return 1
    return None if measured["cup_ms"] >= bound else 0


def _after(case: dict) -> dict:
    tear = _told(case, "tear_graded", "grade")
    scalp = [finding for finding in _scalp(case) if finding in SCALP_BAD + SCALP_GOOD]
    apgar = apgar_at(case, APGAR_MINUTE)
    died = [
        ANSWERED.get(item["facts"].get("answer"))
        for item in case["care"]
        if item["kind"] in ("baby_observed", "mother_observed")
        and item["facts"].get("what") == "died"
    ]
    return {
        "tear": tear,
        "severe_tear": None if tear in (None, "unsure") else int(tear in SEVERE_TEARS),
        "scalp": int(any(finding in SCALP_BAD for finding in scalp)) if scalp else None,
        "apgar5": apgar,
        "low_apgar": None if apgar is None else int(apgar < LOW_APGAR),
        "death": max((answer for answer in died if answer is not None), default=None),
    }


def _scalp(case: dict) -> list[str | None]:
    """Every look at the scalp that stands: what was seen once was there."""
    looks = [
        row["facts"].get("finding")
        for row in case["timeline"]
        if row["kind"] == "scalp_checked" and not row["void"]
    ]
    felt = [
        SCALP_ANSWERS.get(item["facts"].get("answer"))
        for item in case["care"]
        if item["kind"] == "baby_observed" and item["facts"].get("what") == "scalp"
    ]
    return looks + felt


def _told(case: dict, kind: str, fact: str) -> str | None:
    told = [item["facts"].get(fact) for item in case["care"] if item["kind"] == kind]
    return told[-1] if told else None


def _stops(case: dict, protocol: dict) -> dict:
    """What was heard and done; too much suction is met by letting some go, and left out."""
    by_suction = {row["id"] for row in protocol["limits"] if row["judge"] == "suction"}
    heard = [
        item
        for item in case["advice"]
        if item["level"] == "stop" and item["limit"] not in by_suction
    ]
    if not heard:
        return {"stop_heard": 0, "overridden": None, "stop_answer": None}
    went_on = any(
        item["choice"] == "continued" or item["pulls"] < len(case["pulls"]) for item in heard
    )
    named = [item["choice"] for item in heard if item["choice"] is not None]
    over = case["stopped"] or case["head_born"] or case["baby_born"]
    return {
        "stop_heard": 1,
        "overridden": 1 if went_on else 0 if named or over else None,
        "stop_answer": named[-1] if named else None,
    }


def _steps(case: dict, protocol: dict) -> dict:
    states = [step["state"] for step in critical_steps(case, protocol)]
    is_timely = all(state == AT_THE_TIME for state in states)
    skipped = 1 if told_unclear(case) else None if OPEN in states else 0
    closed = case["closed"] is not None
    return {
        "steps": len(states),
        "steps_late": states.count(LATE),
        "steps_open": states.count(OPEN),
        "timely": int(is_timely),
        "skipped": skipped,
        # While a case is open, the rest may still be told.
        "complete": int(not open_ends(case)) if closed else None,
        "late_entries": int(case["estimated"] > 0),
    }


def open_ends(case: dict) -> list[str]:
    """Name what the log leaves open of the pulls, the end and the hour after."""
    ends = {
        "cup_on": not case["applications"],
        "pull_end": any(not pull["end_known"] for pull in case["pulls"]),
        "descent": any(pull["descent"] is None and not pull["detached"] for pull in case["pulls"][:-1]),
        "end": case["baby_born"] is None and case["stopped"] is None,
    }
    if case["baby_born"]:
        ends["apgar5"] = not any(
            item["kind"] == "apgar_scored" and item["facts"].get("minute") == APGAR_MINUTE
            for item in case["care"]
        )
        ends["placenta"] = _told(case, "placenta_delivered", "complete") is None
    return [name for name, is_open in ends.items() if is_open]


def _is_sentinel(case: dict, found: dict) -> bool:
    return (
        found["death"] == 1
        or any(finding in SCALP_SENTINEL for finding in _scalp(case))
        or (found["apgar5"] is not None and found["apgar5"] < VERY_LOW_APGAR)
    )

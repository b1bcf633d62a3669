"""Talk a birth over by the rules it was made under: what was done otherwise, and when.

For practice; it names what happened and blames nobody. Each finding is {code, item, n, ms}.
Knows no clock: the caller brings the moment up to which it looks.
"""

from checklist.core.case import fold
from checklist.core.debrief_pulls import cup_faults, pull_faults
from checklist.core.debrief_start import fault, start_faults, verdicts
from checklist.core.debrief_walk import walk
from checklist.core.measures import now_in_case
from checklist.core.practice import is_like, script_of, told_rows
from checklist.core.schedule import concerns, matches, rounds_of

MINUTE_MS = 60_000
# Common practice, no source: a stop that nobody has answered for so long was answered late.
ANSWER_MS = 60_000


def debrief(events: list[dict], protocol: dict, script: dict | None, now: dict) -> dict:
    """Judge one birth up to a stamp: {verdict, asked, of, told, faults, stops, cautions}.

    Once the case is closed, its closing is the moment. faults are in order of time; stops are
    {limit, message, true_ms, shown_ms, answered_ms, choice, pulls_after}, cautions {limit,
    message, ms}, told what a script told. All ms are on the case's clock.
    """
    closing = next((event for event in events if event["kind"] == "case_closed"), None)
    end = {name: (closing or now)[name] for name in ("at", "boot", "tick")}
    case = fold(events)
    end_ms = case["closed"]["ms"] if case["closed"] else now_in_case(case, now)["ms"]
    walked = walk(events, protocol, end)
    playing = script_of(case)
    told = told_rows(script, case, end_ms, playing["pace"]) if script and playing else []
    begins = [one["ms"] for one in told if one["contraction"]]
    steps = walked["steps"]
    pulling = pull_faults(case, steps, script, begins)
    stops = [_stop(case, one, pulling) for one in walked["stops"]]
    faults = [
        *start_faults(case, steps, protocol, script),
        *cup_faults(steps, protocol),
        *pulling,
        *_unanswered(stops),
        *_stopped(case),
        *_untold(case, told, end_ms),
        *_care(case, protocol, end, end_ms),
    ]
    asked = [row["id"] for row in protocol["questions"] if not row.get("optional")]
    answered = [name for name in asked if name in case["answers"] or (name == "plan" and case["plan"])]
    return {
        "verdict": verdicts(case, steps, protocol, script),
        "asked": len(answered),
        "of": len(asked),
        "told": told,
        "faults": sorted(faults, key=lambda one: one["ms"]),
        "stops": stops,
        "cautions": _cautions(case),
    }


def _cautions(case: dict) -> list[dict]:
    return [
        {"limit": one["limit"], "message": one["message"], "ms": one["ms"]}
        for one in case["advice"]
        if one["level"] == "caution"
    ]


def _stop(case: dict, held: dict, pulling: list[dict]) -> dict:
    limit, since = held["limit"], held["true_ms"]
    shown = [one for one in case["advice"] if one["limit"] == limit and one["level"] == "stop"]
    choice, answered = _answer(case, shown, since)
    after = [one for one in pulling if one["code"] == "pulled_after_stop" and one["ms"] > since]
    return {
        **held,
        "shown_ms": shown[0]["ms"] if shown else None,
        "answered_ms": answered,
        "choice": choice,
        "pulls_after": len(after),
    }


def _answer(case: dict, shown: list[dict], since: int) -> tuple[str | None, int | None]:
    """Give what was done about a stop first: named, stopped, or the birth came before."""
    found = [(one["choice"], one["answered_ms"]) for one in shown if one["choice"] in ("stopped", "continued")]
    found += [(name, end["ms"]) for name, end in (("stopped", case["stopped"]), ("born", case["head_born"])) if end]
    later = [one for one in found if one[1] >= since]
    return min(later, key=lambda one: one[1]) if later else (None, None)


def _unanswered(stops: list[dict]) -> list[dict]:
    found = []
    for one in stops:
        shown = one["true_ms"] if one["shown_ms"] is None else one["shown_ms"]
        if one["limit"] == "working_suction":
            continue
        if one["choice"] is None:
            found.append(fault("stop_unanswered", shown, one["limit"]))
        elif one["choice"] != "born" and one["answered_ms"] - shown > ANSWER_MS:
            seconds = (one["answered_ms"] - shown) // 1000
            found.append(fault("stop_late", shown, one["limit"], seconds))
    return found


def _stopped(case: dict) -> list[dict]:
    """Once stopped, or sent on, the plan is begun and no cup is left on."""
    decision = case["decision"]
    referred = decision if decision and decision["decision"] == "refer" else None
    end = case["stopped"] or referred
    if end is None:
        return []
    found = []
    is_called = any(call["what"] == "transfer" for call in case["calls"])
    if not (is_called or case["transfer_left"] or case["baby_born"]):
        found.append(fault("plan_not_called", end["ms"]))
    if case["stopped"] and case["cup_on"]:
        found.append(fault("cup_left_on", end["ms"]))
    return found


def _untold(case: dict, told: list[dict], end_ms: int) -> list[dict]:
    """What was told and should have been tapped: not at all, or late."""
    found = []
    for one in told:
        expect = one["expect"]
        if expect is None:
            continue
        ms = _first(case, expect, one["ms" if expect.get("fresh") else "from_ms"])
        due = one["ms"] + expect["within_s"] * 1000
        if ms is None and end_ms > due:
            found.append(fault("not_recorded", one["ms"], one["row"], one["nth"]))
        elif ms is not None and ms > due:
            found.append(fault("recorded_late", ms, one["row"], (ms - one["ms"]) // 1000))
    return found


def _first(case: dict, expect: dict, from_ms: int) -> int | None:
    times = [
        row["ms"]
        for row in case["timeline"]
        if row["kind"] in expect["kinds"]
        and not row["void"]
        and row["ms"] >= from_ms
        and is_like(row["facts"], expect.get("facts", {}))
    ]
    return min(times) if times else None


def _care(case: dict, protocol: dict, end: dict, end_ms: int) -> list[dict]:
    """Judge what was to be done for mother and baby by the end: skipped, or late."""
    if case["baby_born"] is None:
        return []
    born, found = case["baby_born"]["ms"], []
    for row in (one for one in protocol["care"] if concerns(one, case)):
        done = [item["ms"] for item in case["care"] if matches(row, item)]
        late = born + row["late_min"] * MINUTE_MS
        if not done and end_ms >= late:
            found.append(fault("care_skipped", late, row["id"]))
        elif done and min(done) >= late:
            found.append(fault("care_late", min(done), row["id"], (min(done) - born) // MINUTE_MS))
    grace = protocol["rounds"]["grace_min"] * MINUTE_MS
    for lane in ("baby", "mother"):
        for slot in rounds_of(case, protocol, end, lane):
            if slot["done_ms"] is None and slot["due_ms"] + grace <= end_ms:
                found.append(fault("round_missed", slot["due_ms"], lane, slot["minute"]))
    return found

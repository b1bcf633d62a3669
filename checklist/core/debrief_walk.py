"""Go through a birth once more, event by event, and see what the rules said at each.

The case is folded anew before and after every event, as the tablet did, so that each stop
has the moment at which it first held: at a tap, or to the millisecond between two.
"""

from checklist.core.alarm import visible
from checklist.core.case import fold
from checklist.core.corrections import corrected
from checklist.core.limits import advise
from checklist.core.measures import now_in_case


def walk(events: list[dict], protocol: dict, now: dict) -> dict:
    """Give {steps, stops}: what each event met, and when each stop first held.

    steps are {event, before, after, stops}: the case before and after the event, and the
    ids of the stops that held just before it. stops are {limit, message, true_ms} in order.
    """
    told = _told(events)
    stamps = [{name: event[name] for name in ("at", "boot", "tick")} for event in told] + [now]
    steps, stops = [], []
    case = fold([])
    for index, event in enumerate(told):
        after = fold(told[: index + 1])
        held = [one["limit"] for one in _stops(case, protocol, stamps[index])]
        steps.append({"event": event, "before": case, "after": after, "stops": held})
        _begun(stops, after, protocol, stamps[index], stamps[index + 1])
        case = after
    return {"steps": steps, "stops": stops}


def _told(events: list[dict]) -> list[dict]:
    """Leave out what was taken back; it counts for nothing."""
    entries, _ = corrected(events)
    kept = [entry["event"] for entry in entries if not entry["void"]]
    return [event for event in kept if event["kind"] != "withdrawn"]


def _stops(case: dict, protocol: dict, now: dict) -> list[dict]:
    return [one for one in visible(case, advise(case, protocol, now)) if one["level"] == "stop"]


def _begun(stops: list[dict], case: dict, protocol: dict, start: dict, end: dict) -> None:
    """Add the stops that begin to hold from one event up to the next."""
    for one in _stops(case, protocol, start):
        _add(stops, one, now_in_case(case, start)["ms"])
    for one in _stops(case, protocol, end):
        if any(known["limit"] == one["limit"] for known in stops):
            continue
        first = _first(case, protocol, start, end, one["limit"])
        _add(stops, one, now_in_case(case, first)["ms"])


def _add(stops: list[dict], finding: dict, ms: int) -> None:
    if all(known["limit"] != finding["limit"] for known in stops):
        stops.append({"limit": finding["limit"], "message": finding["message"], "true_ms": ms})


def _first(case: dict, protocol: dict, start: dict, end: dict, limit: str) -> dict:
    """Halve the time until the first millisecond at which a limit holds is found."""
    if start["boot"] != end["boot"]:
        return end
    low, high = 0, max(end["tick"] - start["tick"], 0)
    while high - low > 1:
        middle = (low + high) // 2
        held = _stops(case, protocol, _later(start, middle))
        if any(one["limit"] == limit for one in held):
            high = middle
        else:
            low = middle
    return _later(start, high)


def _later(stamp: dict, ms: int) -> dict:
    return {"at": stamp["at"] + ms, "boot": stamp["boot"], "tick": stamp["tick"] + ms}

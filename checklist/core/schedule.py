"""Tell what is due for mother and baby after the birth, and what is late.

Rounds of looking follow from the tier and the hours; single things each have their time.
Both are rows of the protocol, in minutes since the birth. Knows no clock.
"""

from checklist.core.measures import now_in_case
from checklist.core.newborn import MINUTE_MS, watch

# A round told this long before its time counts for it. Common practice, no source.
EARLY_MIN = 10


def due(case: dict, protocol: dict, now: dict) -> list[dict]:
    """List what is open after the birth, what is most overdue first.

    Each is {id, lane, due_ms, late_ms, state, minute}: state "later", "due" or "late";
    due_ms on the case's clock; minute since birth. Nothing before the birth or once closed.
    """
    if case["baby_born"] is None or case["closed"] is not None:
        return []
    now_ms = now_in_case(case, now)["ms"]
    found = _rounds(case, protocol, now, now_ms) + _single(case, protocol, now_ms)
    order = {"late": 0, "due": 1, "later": 2}
    return sorted(found, key=lambda item: (order[item["state"]], item["due_ms"]))


def rounds_of(case: dict, protocol: dict, now: dict, lane: str) -> list[dict]:
    """Give the rounds of one lane with what became of them: [{minute, due_ms, done_ms}]."""
    now_ms = now_in_case(case, now)["ms"]
    times = _times(case, protocol, now, now_ms)[lane]
    return _assigned(times, _told(case, lane))


def _rounds(case: dict, protocol: dict, now: dict, now_ms: int) -> list[dict]:
    found = []
    for lane, times in _times(case, protocol, now, now_ms).items():
        slots = _assigned(times, _told(case, lane))
        done = [place for place, slot in enumerate(slots) if slot["done_ms"] is not None]
        after = slots[done[-1] + 1 :] if done else slots
        passed = [slot for slot in after if slot["due_ms"] <= now_ms]
        # Rounds that were missed are in the record; what is open is one round: the first
        # that was missed says since when.
        slot = passed[0] if passed else after[0] if after else None
        if slot:
            grace = protocol["rounds"]["grace_min"] * MINUTE_MS
            found.append(_item(f"{lane}_round", lane, slot, now_ms, slot["due_ms"] + grace))
    return found


def _times(case: dict, protocol: dict, now: dict, now_ms: int) -> dict[str, list[dict]]:
    """Minutes since birth at which each lane is looked at, as far as they are known now."""
    born_ms = case["baby_born"]["ms"]
    rows = protocol["rounds"]
    watched = watch(case, protocol, now)
    if watched["tier"] == 3:
        baby = _flagged_times(rows["flagged"], watched["since_ms"], born_ms, now_ms)
    else:
        baby = rows["baby"][str(watched["tier"])]
    return {
        lane: [{"minute": minute, "due_ms": born_ms + minute * MINUTE_MS} for minute in minutes]
        for lane, minutes in (("baby", baby), ("mother", rows["mother"]))
    }


def _flagged_times(row: dict, since_ms: int | None, born_ms: int, now_ms: int) -> list[int]:
    """Every 15 min for 2 h from the red flag, then hourly, one further than now."""
    begin = max((since_ms or born_ms) - born_ms, 0) // MINUTE_MS
    until = max(now_ms - born_ms, 0) // MINUTE_MS
    times, minute = [], begin
    while True:
        minute += row["first_every"] if minute - begin < row["first_for"] else row["then_every"]
        times.append(minute)
        if minute > until:
            return times


def _told(case: dict, lane: str) -> list[int]:
    kind = f"{lane}_observed"
    return sorted(
        item["ms"]
        for item in case["care"]
        if item["kind"] == kind and item["facts"].get("what") == "round"
    )


def _assigned(times: list[dict], told: list[int]) -> list[dict]:
    """Give each round the telling that belongs to it: the last time that had come, or nearly."""
    slots = [{**time, "done_ms": None} for time in times]
    for ms in told:
        come = [slot for slot in slots if slot["due_ms"] - EARLY_MIN * MINUTE_MS <= ms]
        if come:
            come[-1]["done_ms"] = ms
    return slots


def _single(case: dict, protocol: dict, now_ms: int) -> list[dict]:
    born_ms = case["baby_born"]["ms"]
    found = []
    for row in protocol["care"]:
        if not any(_matches(row, item) for item in case["care"]):
            slot = {"minute": row["due_min"], "due_ms": born_ms + row["due_min"] * MINUTE_MS}
            late_ms = born_ms + row["late_min"] * MINUTE_MS
            found.append(_item(row["id"], row["lane"], slot, now_ms, late_ms))
    return found


def _matches(row: dict, item: dict) -> bool:
    facts = item["facts"]
    return item["kind"] == row["kind"] and all(
        facts.get(name) == value for name, value in row["facts"].items()
    )


def _item(name: str, lane: str, slot: dict, now_ms: int, late_ms: int) -> dict:
    state = "late" if now_ms >= late_ms else "due" if now_ms >= slot["due_ms"] else "later"
    return {
        "id": name,
        "lane": lane,
        "minute": slot["minute"],
        "due_ms": slot["due_ms"],
        "late_ms": late_ms,
        "state": state,
    }

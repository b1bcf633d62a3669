"""Tell what is due for mother and baby after the birth, and what is late.

Rounds of looking follow from the tier and the hours; single things each have their time.
Both are rows of the protocol, in minutes since the birth. Knows no clock.
"""

from checklist.core.measures import now_in_case, used_cup
from checklist.core.newborn import MINUTE_MS, watch

# Nobody stays at a post for longer, and a clock that jumped must not make endless rounds.
LONGEST_MIN = 7 * 24 * 60


def due(case: dict, protocol: dict, now: dict) -> list[dict]:
    """List what is open after the birth, what is most overdue first.

    What is late or due stands in the order in which it becomes late, the rest as it falls due.
    Each is {id, lane, due_ms, late_ms, state, minute}: state "later", "due" or "late";
    due_ms on the case's clock; minute since birth. Nothing before the birth or once closed.
    """
    if case["baby_born"] is None or case["closed"] is not None:
        return []
    now_ms = now_in_case(case, now)["ms"]
    found = _rounds(case, protocol, now, now_ms) + _single(case, protocol, now_ms)
    return sorted(found, key=_urgency)


def _urgency(item: dict) -> tuple[int, int]:
    order = {"late": 0, "due": 1, "later": 2}
    is_open = item["state"] != "later"
    return order[item["state"]], item["late_ms"] if is_open else item["due_ms"]


def rounds_of(case: dict, protocol: dict, now: dict, lane: str) -> list[dict]:
    """Give the rounds of one lane with what became of them.

    Each is {minute, due_ms, from_ms, done_ms}: a round told at from_ms or later counts for
    it; done_ms is None as long as none was. None before the birth.
    """
    if case["baby_born"] is None:
        return []
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
    begin = 0
    if watched["tier"] == 3:
        begin = max(watched["since_ms"] - born_ms, 0) // MINUTE_MS
        baby = _flagged_times(rows["flagged"], begin, max(now_ms - born_ms, 0) // MINUTE_MS)
    else:
        baby = rows["baby"][str(watched["tier"])]
    return {
        "baby": _slots(baby, begin, born_ms, rows["early_min"]),
        "mother": _slots(rows["mother"], 0, born_ms, rows["early_min"]),
    }


def _slots(minutes: list[int], begin: int, born_ms: int, early_min: int) -> list[dict]:
    """Lay rounds in time: each may be told somewhat early.

    By a third of the time since the round before at most, or a round told late would count
    for the next one and leave a gap that no row allows.
    """
    found, before = [], begin
    for minute in minutes:
        early_ms = min(early_min * MINUTE_MS, (minute - before) * MINUTE_MS // 3)
        due_ms = born_ms + minute * MINUTE_MS
        found.append({"minute": minute, "due_ms": due_ms, "from_ms": due_ms - early_ms})
        before = minute
    return found


def _flagged_times(row: dict, begin: int, until: int) -> list[int]:
    """Close together at first, from the red flag on, then wider; one further than now."""
    until = min(until, begin + LONGEST_MIN)
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
    """Give each round the telling that belongs to it: the last round that could be told then."""
    slots = [{**time, "done_ms": None} for time in times]
    for ms in told:
        come = [slot for slot in slots if slot["from_ms"] <= ms]
        if come:
            come[-1]["done_ms"] = ms
    return slots


def _single(case: dict, protocol: dict, now_ms: int) -> list[dict]:
    born_ms = case["baby_born"]["ms"]
    found = []
    for row in protocol["care"]:
        if concerns(row, case) and not any(matches(row, item) for item in case["care"]):
            slot = {"minute": row["due_min"], "due_ms": born_ms + row["due_min"] * MINUTE_MS}
            late_ms = born_ms + row["late_min"] * MINUTE_MS
            found.append(_item(row["id"], row["lane"], slot, now_ms, late_ms))
    return found


def concerns(row: dict, case: dict) -> bool:
    """Tell whether a row of care is meant for this birth: some only where a cup was used."""
    return row.get("only") != "cup" or used_cup(case)


def matches(row: dict, item: dict) -> bool:
    """Tell whether an entry does what a row asks, and says nothing that leaves it open."""
    facts = item["facts"]
    return (
        item["kind"] == row["kind"]
        and all(_is_one(facts.get(name), value) for name, value in row["facts"].items())
        and not any(
            _is_one(facts.get(name), value) for name, value in row.get("unless", {}).items()
        )
    )


def _is_one(told: object, wanted: object) -> bool:
    return told in wanted if isinstance(wanted, list) else told == wanted


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

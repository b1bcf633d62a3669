"""Tell whether the kit is whole, from what was last said of each of its things.

Rows of one group stand for each other: one whole cup is enough. Knows no clock, and
never takes a thing that nobody looked at for whole.
"""

from checklist.core.event import problems
from checklist.core.refusals import check_choice, check_flag, check_whole, refuse

FORMS = ("yes_no", "drop")
OK, UNSURE, MISSING, OPEN = "ok", "unsure", "missing", "open"
# Of a group the best thing counts.
_RANK = (OK, UNSURE, MISSING, OPEN)
_STATES = {"yes": OK, "unsure": UNSURE, "no": MISSING}


def kit_state(rows: list[dict], events: list[dict]) -> dict:
    """Fold kit_checked events, in the order they were told, under the protocol's rows.

    Gives {things: [{id, state, at}], complete, missing, unsure, open, checked_at}: state
    "ok", "unsure", "missing" or "open"; at in wall ms, that of the oldest thing for
    checked_at, null where nothing was told.
    """
    told = _last_told(events)
    things: dict[str, dict] = {}
    for row in rows:
        name = row.get("group", row["id"])
        thing = {"id": name, **_judged(row, told.get(row["id"]))}
        if name not in things or _RANK.index(thing["state"]) < _RANK.index(things[name]["state"]):
            things[name] = thing
    found = list(things.values())
    named = {
        state: [thing["id"] for thing in found if thing["state"] == state]
        for state in (MISSING, UNSURE, OPEN)
    }
    times = [thing["at"] for thing in found if thing["at"] is not None]
    return {
        "things": found,
        "complete": all(thing["state"] == OK for thing in found),
        **named,
        "checked_at": min(times, default=None),
    }


def check_kit(where: str, row: dict) -> None:
    """Check a row of the kit; a thing that is read twice says when it fell too far."""
    check_choice(where, "form", row["form"], FORMS)
    for column in ("weekly", "before_use"):
        check_flag(where, column, row[column])
    if "group" in row and (not isinstance(row["group"], str) or not row["group"]):
        refuse(where, "group missing")
    if row["form"] == "drop":
        for column in ("seconds", "most"):
            check_whole(where, column, row.get(column))
        if not isinstance(row.get("unit"), str):
            refuse(where, "unit missing")


def _last_told(events: list[dict]) -> dict[str, dict]:
    told = {}
    for event in events:
        if event["kind"] == "kit_checked" and not problems(event):
            told[event["facts"]["item"]] = event
    return told


def _judged(row: dict, event: dict | None) -> dict:
    if event is None:
        return {"state": OPEN, "at": None}
    facts = event["facts"]
    fell = row["form"] == "drop" and facts.get("value", 0) > row["most"]
    state = MISSING if fell else _STATES[facts["answer"]]
    return {"state": state, "at": event["at"] - event["ago"] * 1000}

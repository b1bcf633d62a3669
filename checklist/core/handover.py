"""Make the hand-over to the receiving clinician: facts in SBAR order, from the events alone.

Situation, background, assessment, recommendation. A row is {part, id, values}: `part` is
"s", "b", "a" or "r", `id` the end of a words id, and a value is one of those that
``handover_values`` lists. What nobody recorded is a row all the same, with None in it.
"""

from checklist.core.handover_findings import answered, baby, cup, mother, unborn
from checklist.core.handover_values import (
    beside, chosen, clock, number, quantity, rows_of, text, together, word,
)
from checklist.core.measures import measures, now_in_case, used_cup
from checklist.core.newborn import MINUTE_MS, watch
from checklist.core.schedule import due

BACKGROUND = (
    "reason", "first_birth", "weeks", "waters", "big_baby", "baby_bleeds", "blood_virus",
    "scalp_needles", "pain",
)


def handover(case: dict, protocol: dict, now: dict) -> list[dict]:
    """Give the rows of the hand-over of a folded case at a stamp {at, boot, tick}."""
    is_watched = case["baby_born"] is not None and used_cup(case)
    watched = watch(case, protocol, now) if is_watched else None
    found = cup(case, measures(case, now))
    parts = {
        "s": _situation(case, now, watched),
        "b": _background(case),
        "a": [*found, *unborn(case), *mother(case), *baby(case)],
        "r": _recommendation(case, protocol, now, watched),
    }
    return [
        {"part": part, "id": name, "values": values}
        for part, rows in parts.items()
        for name, values in rows
    ]


def situation(case: dict, tier: int | None) -> str:
    """Name how things stand: the end of a words id."""
    if case["baby_born"]:
        if tier == 3:
            return "suspected"
        if not used_cup(case):
            return "born"
        return "born_stopped" if case["stopped"] else "born_cup"
    if case["stopped"]:
        return "stopped"
    if used_cup(case):
        return "cup_on"
    return "not_started" if _decided(case) == "refer" else "before"


def _decided(case: dict) -> str | None:
    return case["decision"]["decision"] if case["decision"] else None


def _situation(case: dict, now: dict, watched: dict | None) -> list[tuple]:
    name = situation(case, watched["tier"] if watched else None)
    now_ms = now_in_case(case, now)["ms"]
    found = [
        (f"state.{name}", {}),
        ("who", {"bed": text(case["label"]), "post": text(case["post"])}),
        ("told_at", {"time": clock(now["at"])}),
    ]
    if case["stopped"]:
        why = chosen("why_stopped", case["stopped"]["why"])
        found.append(("stopped", {**_since(case["stopped"], now_ms), "why": why}))
    if case["baby_born"]:
        found.append(("born", _since(case["baby_born"], now_ms)))
    if watched:
        rows = [reason["row"] for reason in watched["reasons"]]
        whys = [word(f"newborn.row.{row}", row) for row in rows] or [word("handover.why.every")]
        found.append(("tier", {"tier": number(watched["tier"]), "whys": together(whys)}))
        if watched["lowered"]:
            found.append(("lowered", {"who": chosen("role", watched["lowered"]["by"])}))
    return [*found, (f"need.{_need(name)}", {})]


def _since(moment: dict, now_ms: int) -> dict:
    minutes = max(now_ms - moment["ms"], 0) // MINUTE_MS
    return {"time": clock(moment["at"]), "ago": {"span": minutes}}


def _need(name: str) -> str:
    if name == "suspected":
        return "baby"
    return "watch" if name.startswith("born") else "birth"


def _background(case: dict) -> list[tuple]:
    facts = [row["facts"] for row in rows_of(case, "mother_observed")]
    allergy = [one.get("answer") for one in facts if one.get("what") == "antibiotic_allergy"]
    return [
        *[("answer", answered(case, item)) for item in BACKGROUND],
        ("allergy", {"allergy": chosen("after.allergy", allergy[-1] if allergy else None)}),
        ("labour", {"times": None}),
        ("blood_group", {"group": None}),
    ]


def _recommendation(case: dict, protocol: dict, now: dict, watched: dict | None) -> list[tuple]:
    name = situation(case, watched["tier"] if watched else None)

    def last(kind: str) -> list[dict]:
        return rows_of(case, kind)[-1:]

    return [
        *_given(case),
        *_plan(case),
        *[("called", _call(call)) for call in case["calls"]],
        *[("team", {"time": clock(row["at"])}) for row in last("newborn_team_told")],
        *[("left", _journey(row)) for row in last("transfer_left")],
        *[("arrived", _journey(row)) for row in last("transfer_arrived")],
        *_next_rounds(case, protocol, now),
        *_ready(case),
        *_asks(case, protocol, name),
        ("send", {}),
    ]


def _given(case: dict) -> list[tuple]:
    rows = rows_of(case, "medicine_given")
    if not rows:
        return [("not_given", {"medicines": None})]
    return [("given", _medicine(row)) for row in rows]


def _medicine(row: dict) -> dict:
    facts = row["facts"]
    medicine = chosen("after", facts.get("medicine"))
    return {"medicine": medicine, "dose": _dose(facts), "time": clock(row["at"])}


def _dose(facts: dict) -> dict | None:
    is_whole = "dose" in facts and "unit" in facts
    amount = {"dose": facts["dose"], "unit": facts["unit"]} if is_whole else None
    route = chosen("after.route", facts.get("route"))
    return beside(amount, route) if amount or route else None


def _plan(case: dict) -> list[tuple]:
    plan = case["plan"]
    if plan is None:
        return [] if case["baby_born"] else [("plan", {"next": None})]
    told = (chosen("stop.next", plan["next"]), text(plan["place"]))
    minutes = None if plan["minutes"] is None else {"span": plan["minutes"]}
    going = together([one for one in told if one])
    return [("plan", {"next": going}), ("way", {"minutes": minutes})]


def _call(call: dict) -> dict:
    return {
        "what": chosen("handover.called", call["what"]),
        "who": chosen("role", call["who"]),
        "time": clock(call["at"]),
    }


def _journey(row: dict) -> dict:
    facts = row["facts"]
    return {
        "place": text(facts.get("place", "")),
        "who": chosen("role", facts.get("who")),
        "time": clock(row["at"]),
    }


def _next_rounds(case: dict, protocol: dict, now: dict) -> list[tuple]:
    born = case["baby_born"]
    open_ = due(case, protocol, now)
    return [
        (f"next.{lane}", {"time": clock(born["at"] + item["due_ms"] - born["ms"])})
        for lane in ("mother", "baby")
        for item in open_
        if item["id"] == f"{lane}_round"
    ]


def _ready(case: dict) -> list[tuple]:
    """What was made ready for the way."""
    facts = [row["facts"] for row in rows_of(case, "baby_observed")]
    told = [one.get("answer") for one in facts if one.get("what") == "travel"]
    items = [chosen("baby.travel", answer) for answer in dict.fromkeys(told) if answer is not None]
    return [("ready", {"items": together(items)})] if items else []


def _asks(case: dict, protocol: dict, name: str) -> list[tuple]:
    """What is asked of those who take over, line by line."""
    if name == "suspected":
        every = quantity(protocol["rounds"]["flagged"]["first_every"], "min")
        lines = ("blood", "vitamin_k", "warm", "no_tight")
        return [("ask.look_often", {"every": every}), *_lines(lines)]
    if name.startswith("born"):
        return _lines(("scalp", "flags", "bleeding") if used_cup(case) else ("flags", "bleeding"))
    return _lines(("second", "listen", "scalp_later") if used_cup(case) else ("listen",))


def _lines(names: tuple[str, ...]) -> list[tuple]:
    return [(f"ask.{name}", {}) for name in names]

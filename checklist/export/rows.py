"""Turn a folded case into the rows of the export's tables.

Pure: a case, names for it and its device go in; rows {column: value or None} come
out. None is "not recorded". What people typed stands only in the columns that hold
it, which a writer leaves out unless asked; ids of events, logs and other cases never
leave.
"""

import re
from collections.abc import Callable, Iterator

from checklist.core.apgar import apgar_at
from checklist.core.bleeding import lost_ml
from checklist.core.kinds import kind_of
from checklist.core.measures import measures

Row = dict[str, object]
# Facts that people type into, or that name the bed.
TYPED = {"label", "post", "script", "text", "about", "place", "reason", "by", "why"}
# The item of an answer whose answer is what somebody typed.
TYPED_ITEMS = ("bed",)
CORRECTIONS = ("withdrawn", "amended")
CODE = re.compile(r"[a-z0-9][a-zA-Z0-9_.-]{0,59}")
ANSWER = re.compile(r"[a-z0-9][a-z0-9_.]{0,39}")
NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
HEX = re.compile(r"[0-9a-f]{1,64}")


def case_rows(case: dict, name: str, device: str) -> Iterator[Row]:
    """Give the one row of a case."""
    measured = measures(case, case["clock"])
    yield {
        "case": name, "device": device, "post": case["post"] or None, "label": case["label"] or None,
        "opened_at": case["opened_at"], **_closed(case), "protocol": _like(HEX, case["protocol"]),
        "altitude_m": case["altitude_m"], **_decided(case), **_cup(case),
        **{count: measured[count] for count in (
            "applications", "pulls", "descent_pulls", "perineal_pulls", "poor_pulls",
            "unjudged_pulls", "detachments",
        )},
        **_times(case, measured), **_ends(case), **_care(case),
        "stops_shown": sum(item["level"] == "stop" for item in case["advice"]),
        "late_entries": case["estimated"], "oddities": len(case["anomalies"]),
        "events": len(case["timeline"]),
    }


def answer_rows(case: dict, name: str, device: str) -> Iterator[Row]:
    """Give a row for each question that was answered; the bed is no answer but a label."""
    for question, given in case["answers"].items():
        if question in TYPED_ITEMS:
            continue
        yield {
            "case": name, "question": question, "answer": _like(ANSWER, given["answer"]),
            "number": given["value"],
        }


def pull_rows(case: dict, name: str, device: str) -> Iterator[Row]:
    """Give a row for each pull."""
    for pull in case["pulls"]:
        ended = pull["ended_ms"] is not None
        yield {
            "case": name, "pull": pull["number"], "phase": pull["phase"],
            "began_ms": pull["began_ms"], "ended_ms": pull["ended_ms"],
            "end": ("told" if pull["end_known"] else "taken") if ended else None,
            "traction_s": traction_s(pull), "pieces": len(pull["pieces"]),
            "descent": pull["descent"], "came_off": "yes" if pull["detached"] else None,
            "suction_pa": pull["pa"],
        }


def event_rows(case: dict, name: str, device: str) -> Iterator[Row]:
    """Give a row for each entry, in the order in which things happened."""
    for number, row in enumerate(case["timeline"], start=1):
        known = kind_of(row["kind"])
        yield {
            "case": name, "event": number, "kind": row["kind"] if known else "unknown",
            "group": known["group"] if known else None, "at": row["at"], "ms": row["ms"],
            "ago_s": row["ago"], "taken_back": row["void"], "changed": row["amended"],
            "doubts": row["doubts"],
        }


def fact_rows(case: dict, name: str, device: str) -> Iterator[Row]:
    """Give a row for each fact that may leave; a correction has none, for it is applied."""
    for number, row in enumerate(case["timeline"], start=1):
        known = kind_of(row["kind"])
        if known is None or row["kind"] in CORRECTIONS:
            continue
        for fact, value in row["facts"].items():
            spec = known["facts"].get(fact)
            told = _told(row, fact, spec, value) if spec else None
            if told:
                empty = {"code": None, "number": None, "unit": None, "text": None}
                yield {"case": name, "event": number, "fact": fact, **empty, **told}


ROWS: dict[str, Callable[[dict, str, str], Iterator[Row]]] = {
    "cases": case_rows, "answers": answer_rows, "pulls": pull_rows, "events": event_rows,
    "facts": fact_rows,
}


def traction_s(pull: dict) -> int | None:
    """Give the traction of a pull in whole seconds, or None while it goes on."""
    if pull["ended_ms"] is None:
        return None
    return sum(piece["ended_ms"] - piece["began_ms"] for piece in pull["pieces"]) // 1000


def last_care(case: dict, kind: str, fact: str, **having: object) -> object:
    """Give a fact of the care told last that has these other facts, or None."""
    told = [
        item["facts"].get(fact)
        for item in case["care"]
        if item["kind"] == kind
        and all(item["facts"].get(name) == value for name, value in having.items())
    ]
    return told[-1] if told else None


def _told(row: dict, fact: str, spec: dict, value: object) -> Row | None:
    if spec["type"] == "int":
        unit = spec["unit"]
        return {"number": value, "unit": "scale" if unit.startswith("as the") else unit}
    if spec["type"] == "flag":
        return {"code": "true" if value else "false"}
    if spec["type"] == "choice":
        return {"code": value}
    if spec["type"] == "id":
        return None
    return {"text": value} if _is_typed(row, fact, value) else {"code": value}


def _is_typed(row: dict, fact: str, value: str) -> bool:
    if fact in TYPED or not CODE.fullmatch(value):
        return True
    return fact == "answer" and row["facts"].get("item") in TYPED_ITEMS


def _like(pattern: re.Pattern, text: str | None) -> str | None:
    return text if text and pattern.fullmatch(text) else None


def _at(moment: dict | None) -> int | None:
    return moment["at"] if moment else None


def _closed(case: dict) -> Row:
    closed = case["closed"] or {}
    return {"closed_at": closed.get("at"), "closed_why": closed.get("why")}


def _decided(case: dict) -> Row:
    decision, plan = case["decision"] or {}, case["plan"] or {}
    return {
        "decision": decision.get("decision"), "verdict": decision.get("verdict"),
        "override": "yes" if decision.get("override") else None,
        "plan_next": _like(NAME, plan.get("next")), "plan_minutes": plan.get("minutes"),
    }


def _cup(case: dict) -> Row:
    first = min(case["applications"], key=lambda one: one["ms"], default={})
    return {"cup": first.get("cup"), "cup_mm": first.get("mm"), "placement": first.get("placement")}


def _times(case: dict, measured: dict) -> Row:
    depths = [one["pa"] for one in case["suctions"] if one["pa"] is not None]
    used = bool(measured["cup_ms"] or measured["cup_running"] or case["applications"])
    doubt = "doubtful" if measured["clock_doubt"] else None
    doubt = doubt or ("estimated" if measured["cup_estimated"] else None)
    return {
        "cup_s": measured["cup_ms"] // 1000 if used else None,
        "cup_s_least": measured["cup_floor_ms"] // 1000 if used else None,
        "cup_time": doubt or ("running" if measured["cup_running"] else None),
        "traction_s": measured["traction_ms"] // 1000 if case["pulls"] else None,
        "suction_pa": max(depths, default=None),
    }


def _ends(case: dict) -> Row:
    born, stopped = case["baby_born"], case["stopped"] or {}
    return {
        "head_born_at": _at(case["head_born"]), "baby_born_at": _at(born),
        "sex": born["sex"] if born else None, "stopped_at": stopped.get("at"),
        "stopped_why": stopped.get("why"), "stopped_next": _like(NAME, stopped.get("next")),
        "left_at": _at(case["transfer_left"]),
    }


def _care(case: dict) -> Row:
    weights = [
        item["facts"]["value"]
        for item in case["care"]
        if item["kind"] == "baby_observed" and item["facts"].get("what") == "weight"
        and item["facts"].get("value") is not None
    ]
    return {
        **{f"apgar_{at}": apgar_at(case, at) for at in (1, 5, 10)},
        "weight_g": next((weight for weight in weights if weight >= 0), None),
        "scalp": case["scalp"]["finding"] if case["scalp"] else None,
        "tear": last_care(case, "tear_graded", "grade"),
        "blood_loss_ml": lost_ml(case),
        "blood_loss_how": last_care(case, "blood_loss_measured", "how"),
        "placenta_complete": last_care(case, "placenta_delivered", "complete"),
    }

"""Fold the events of one woman's birth into the case they tell.

Nothing computed is ever stored: every screen, advice and review folds the events
again. Times in a case are whole milliseconds on the clock of ``moments``, which
starts at the case's first event.
"""

from checklist.core.corrections import anomaly, corrected
from checklist.core.kinds import kind_of
from checklist.core.moments import moments
from checklist.core.steps import STEPS

# Common practice, no source; the protocol carries the same figure with its bound.
SAME_CONTRACTION_S = 30


def fold(events: list[dict]) -> dict:
    """Fold events of one case, in any order and told any number of times.

    Gives the case as plain values: who and where, answers, plan, decision, applications,
    suction, pulls, detachments, outcome, care, advice, anomalies, clock and timeline.
    """
    return fold_entries(*corrected(events))


def fold_entries(entries: list[dict], anomalies: list[dict]) -> dict:
    """Fold what corrections gives, where a caller needs the entries as well."""
    placed, restarts = moments([entry["event"] for entry in entries], _causes(entries))
    rows = _rows(entries, placed)
    case = _blank(entries)
    case["anomalies"] = list(anomalies)
    # In the order of the log, so that a further event can only add to a count.
    for row in rows:
        _apply(case, row)
    case["restarts"] = restarts
    case["clock"] = _clock(entries, placed)
    # Stable, so what happened in the same moment keeps the order of the log.
    case["timeline"] = sorted(rows, key=lambda row: row["ms"])
    return case


def _apply(case: dict, row: dict) -> None:
    if row["estimated"] and not row["void"]:
        case["estimated"] += 1
    if kind_of(row["kind"]) is None:
        case["anomalies"].append(anomaly("kind_unknown", row))
    step = STEPS.get(row["kind"])
    if step is None or row["void"]:
        return
    for code in step(case, row) or ():
        case["anomalies"].append(anomaly(code, row))


def _causes(entries: list[dict]) -> list[str | None]:
    return [
        entry["facts"].get("cause")
        if entry["event"]["kind"] == "clock_jumped" and not entry["void"]
        else None
        for entry in entries
    ]


def _rows(entries: list[dict], placed: list[dict]) -> list[dict]:
    rows = []
    for entry, place in zip(entries, placed, strict=True):
        event = entry["event"]
        rows.append(
            {
                "log": event["log"],
                "seq": event["seq"],
                "kind": event["kind"],
                "ms": place["ms"] - entry["ago"] * 1000,
                "floor_ms": place["floor_ms"] - entry["ago"] * 1000,
                "doubts": place["doubts"],
                "at": event["at"] - entry["ago"] * 1000,
                "ago": entry["ago"],
                "estimated": entry["ago"] > 0,
                "void": entry["void"],
                "amended": entry["amended"],
                "facts": entry["facts"],
            }
        )
    return rows


def _clock(entries: list[dict], placed: list[dict]) -> dict | None:
    if not entries:
        return None
    event, place = entries[-1]["event"], placed[-1]
    stamp = {name: event[name] for name in ("at", "boot", "tick")}
    return {**stamp, **place}


def _protocol(entries: list[dict]) -> str:
    events = (entry["event"] for entry in entries)
    return next((event["protocol"] for event in events if event["kind"] == "case_opened"), "")


def _blank(entries: list[dict]) -> dict:
    return {
        "case": entries[0]["event"]["case"] if entries else "",
        "mode": None,
        "label": "",
        "post": "",
        "altitude_m": None,
        "gauge_unit": "kpa",
        "same_contraction_s": SAME_CONTRACTION_S,
        "protocol": _protocol(entries),
        "opened_at": None,
        "answers": {},
        "plan": None,
        "decision": None,
        "calls": [],
        "applications": [],
        "cup_on": False,
        "suction": None,
        "suctions": [],
        "rim_unswept": False,
        "hissing": False,
        "pulls": [],
        "phase": "descent",
        "perineum": None,
        "detachments": [],
        "scalp": None,
        "scalp_unchecked": False,
        "scalp_cut": False,
        "fetal_heart": [],
        "stopped": None,
        "cup_removed": [],
        "head_born": None,
        "baby_born": None,
        "transfer_left": None,
        "transfer_arrived": None,
        "care": [],
        "advice": [],
        "closed": None,
        "estimated": 0,
    }

"""Put events in order and apply what later ones withdraw or amend.

Nothing is erased: an event that was withdrawn stays in the list and is marked.
"""

from collections import Counter
from collections.abc import Callable

from checklist.core.event import seal
from checklist.core.kinds import fits, kind_of

# Without its opening a case could not be named, so that one is never withdrawn.
FIXED = ("case_opened",)


def corrected(events: list[dict]) -> tuple[list[dict], list[dict]]:
    """Order events and apply corrections.

    Gives entries {event, facts, ago, void, amended} in order of the log, and
    anomalies {code, log, seq}. Events told twice count once.
    """
    anomalies: list[dict] = []
    entries = [_entry(event, anomalies) for event in in_order(events)]
    places: dict[str, list[int]] = {}
    for index, entry in enumerate(entries):
        places.setdefault(_place(entry["event"]), []).append(index)
    _withdraw(entries, places, anomalies)
    _amend(entries, places, anomalies)
    return entries, anomalies


def in_order(events: list[dict]) -> list[dict]:
    """Order events by log and number; a log that began earlier comes first.

    The log in which the case was opened comes before all others, whatever the clock
    said then: a tablet whose battery was flat may start again in another year.
    """
    key = _key_among(events)
    once = {key(event): event for event in events}
    first: dict[str, int] = {}
    for event in once.values():
        log = event["log"]
        first[log] = min(first.get(log, event["at"]), event["at"])
    opening = _opening_log(list(once.values()))
    keyed = [
        (
            (
                event["log"] != opening,
                first[event["log"]],
                event["log"],
                event["seq"],
                line,
            ),
            event,
        )
        for (_, _, line), event in once.items()
    ]
    return [event for _, event in sorted(keyed, key=lambda pair: pair[0])]


def _key_among(events: list[dict]) -> Callable[[dict], tuple[str, int, bytes]]:
    """Give what tells two events apart; the line, costly to write, only where a place is shared."""
    held = Counter((event["log"], event["seq"]) for event in events)

    def key(event: dict) -> tuple[str, int, bytes]:
        log, seq = place = event["log"], event["seq"]
        return log, seq, seal(event).encode() if held[place] > 1 else b""

    return key


def _opening_log(events: list[dict]) -> str | None:
    opened = [
        (event["at"], event["log"]) for event in events if event["kind"] == "case_opened"
    ]
    return min(opened)[1] if opened else None


def anomaly(code: str, event: dict) -> dict:
    """Name something odd about an event, for the record and the review."""
    return {"code": code, "log": event["log"], "seq": event["seq"]}


def _entry(event: dict, anomalies: list[dict]) -> dict:
    row = kind_of(event["kind"])
    specs = row["facts"] if row else {}
    # A fact that is not what its row asks is kept in the log and left out of the case.
    facts = {
        name: fact
        for name, fact in event["facts"].items()
        if name not in specs or fits(specs[name], fact)
    }
    if len(facts) < len(event["facts"]):
        anomalies.append(anomaly("fact_refused", event))
    return {
        "event": event,
        "facts": facts,
        "ago": event["ago"],
        "void": False,
        "amended": False,
    }


def _place(event: dict) -> str:
    return f"{event['log']}/{event['seq']}"


def _target(entry: dict, index: int, places: dict[str, list[int]]) -> int | None:
    facts = entry["facts"]
    found = places.get(f"{facts.get('target_log')}/{facts.get('target_seq')}", [])
    earlier = [place for place in found if place < index]
    return earlier[-1] if earlier else None


def _withdraw(entries: list[dict], places: dict, anomalies: list[dict]) -> None:
    # From the last to the first, so that a withdrawal can itself be withdrawn.
    for index in range(len(entries) - 1, -1, -1):
        entry = entries[index]
        if entry["event"]["kind"] != "withdrawn" or entry["void"]:
            continue
        target = _target(entry, index, places)
        if target is None:
            anomalies.append(anomaly("target_missing", entry["event"]))
        elif entries[target]["event"]["kind"] in FIXED:
            anomalies.append(anomaly("target_fixed", entry["event"]))
        else:
            entries[target]["void"] = True


def _amend(entries: list[dict], places: dict, anomalies: list[dict]) -> None:
    for index, entry in enumerate(entries):
        if entry["event"]["kind"] != "amended" or entry["void"]:
            continue
        target = _target(entry, index, places)
        if target is None:
            anomalies.append(anomaly("target_missing", entry["event"]))
            continue
        changes = {
            name[4:]: value for name, value in entry["facts"].items() if name.startswith("set_")
        }
        if _amended(entries[target], changes):
            entries[target]["amended"] = True
        else:
            anomalies.append(anomaly("amend_refused", entry["event"]))


def _amended(entry: dict, changes: dict) -> bool:
    row = kind_of(entry["event"]["kind"])
    specs = dict(row["facts"]) if row else {}
    specs["ago"] = {"type": "int", "min": 0, "max": 604800}
    if not changes or any(
        name not in specs or not fits(specs[name], value) for name, value in changes.items()
    ):
        return False
    if "ago" in changes:
        entry["ago"] = changes["ago"]
    kept = {name: value for name, value in changes.items() if name != "ago"}
    entry["facts"] = {**entry["facts"], **kept}
    return True

"""What a supervisor says of a case, that it was talked over, and what the post answers.

Remarks go down as events of the outbox of the station that the case came through;
the answer is an event of the case itself. A tablet cannot write a remark: only what
stands in the log of a station counts.
"""

import sqlite3

from checklist import outbox, summary, trail
from checklist.core.event import parse
from checklist.errors import ChecklistError
from checklist.station import Identity
from checklist.store import SqliteStore

LONGEST = 2000
KINDS = ("remark_made", "case_reviewed")
ANSWER = "remark_answered"
REAL = "real"


def make(
    store: SqliteStore, identity: Identity, case_id: str, text: str, by: str, now: int
) -> None:
    """Write a remark about a case and send it down.

    Raises case_unknown, also for practice, and event_malformed when the text is empty
    or too long.
    """
    _say(store, identity, case_id, "remark_made", {"text": text.strip()}, by, now)


def review(store: SqliteStore, identity: Identity, case_id: str, by: str, now: int) -> None:
    """Mark a case as talked over; raises case_unknown, also for practice."""
    _say(store, identity, case_id, "case_reviewed", {}, by, now)


def thread(connection: sqlite3.Connection, case_id: str, case_events: list[dict]) -> list[dict]:
    """Give what was said of a case in the order of its moments: {kind, at, by, text}.

    case_events: as parsed, for the answers in them; what was withdrawn is left out.
    """
    rows = connection.execute(
        "select line from event indexed by event_said join log using (log_no)"
        " join device using (device_id)"
        " where case_id = '' and json_extract(line, '$.kind') in (?, ?)"
        " and json_extract(line, '$.facts.target_case') = ?"
        " and (device.state = 'station' or device.kind <> 'tablet')",
        (*KINDS, case_id),
    )
    said = [parse(row["line"]) for row in rows]
    withdrawn = {
        (event["facts"].get("target_log"), event["facts"].get("target_seq"))
        for event in case_events if event["kind"] == "withdrawn"
    }
    said += [
        event for event in case_events
        if event["kind"] == ANSWER and (event["log"], event["seq"]) not in withdrawn
    ]
    told = [
        {"kind": event["kind"], "at": event["at"], "by": _text(event, "by"), "text": _text(event, "text")}
        for event in sorted(said, key=lambda event: (event["at"], event["log"], event["seq"]))
    ]
    return told


def _say(
    store: SqliteStore, identity: Identity, case_id: str, kind: str, facts: dict, by: str, now: int
) -> None:
    connection = store.connection
    row = summary.read(connection, case_id)
    if row is None or row["mode"] != REAL:
        raise ChecklistError("case_unknown", case=case_id)
    told = {"target_case": case_id, **facts, **({"by": by} if by else {})}
    log = outbox.outbox_for(store, identity, _came_through(connection, case_id), now)
    outbox.say(store, identity, log, kind, told, now)
    trail.note(connection, by, kind, case_id, now)


def _came_through(connection: sqlite3.Connection, case_id: str) -> str:
    """Give the station that relayed a case, "" when its tablet reports here."""
    row = connection.execute(
        "select log.via from event join log using (log_no) where case_id = ? order by event_no limit 1",
        (case_id,),
    ).fetchone()
    return row["via"] if row else ""


def _text(event: dict, name: str) -> str:
    value = event["facts"].get(name, "")
    return value if isinstance(value, str) else ""

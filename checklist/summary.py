"""One row a case, so that a page of many cases folds none of them.

Written in the transaction that stores the events, from nothing but them, so it
can be thrown away and made again.
"""

import json
import sqlite3
from collections.abc import Callable
from itertools import groupby

from checklist import review_rows
from checklist.core.corrections import corrected

COLUMNS = (
    "case_id", "post", "label", "mode", "opened_at", "last_at", "closed", "events",
    "protocol", "device_id",
)
LONGEST_TEXT = 60
# Case -> (its events in the order in which they came, the device that sent the first).
Held = dict[str, tuple[list[dict], str]]
_SAVE = (
    f"insert or replace into case_summary ({', '.join(COLUMNS)})"
    f" values ({', '.join(':' + name for name in COLUMNS)})"
)


def sum_up(case_id: str, entries: list[dict], device_id: str) -> dict:
    """Make the row of a case from its corrected entries."""
    standing = [entry for entry in entries if not entry["void"]]
    opening = next(
        (entry for entry in standing if entry["event"]["kind"] == "case_opened"), entries[0]
    )
    facts = opening["facts"]
    return {
        "case_id": case_id,
        "post": _text(facts.get("post")),
        "label": _text(_bed(standing) or facts.get("label")),
        # A case whose beginning is missing counts as real: hiding it among the
        # practice cases would be the worse mistake.
        "mode": "practice" if facts.get("mode") == "practice" else "real",
        "opened_at": opening["event"]["at"] - opening["ago"] * 1000,
        "last_at": max(entry["event"]["at"] for entry in entries),
        "closed": int(any(entry["event"]["kind"] == "case_closed" for entry in standing)),
        "events": len(entries),
        "protocol": opening["event"]["protocol"],
        "device_id": device_id,
    }


def _bed(entries: list[dict]) -> object:
    """Give the bed that was told last: a tablet asks for it once the case is open."""
    told = (
        entry["facts"].get("answer")
        for entry in reversed(entries)
        if entry["event"]["kind"] == "check_answered" and entry["facts"].get("item") == "bed"
    )
    return next(told, None)


def gather(connection: sqlite3.Connection, held: Held, new: list[dict], device_id: str) -> None:
    """Put new events, not yet stored, behind what is held of their cases; a case without a row has none."""
    for event in new:
        case_id = event["case"]
        if not case_id:
            continue
        if case_id not in held:
            row = read(connection, case_id)
            held[case_id] = (_events_of(connection, case_id), row["device_id"]) if row else ([], device_id)
        held[case_id][0].append(event)


def refresh(connection: sqlite3.Connection, held: Held) -> None:
    """Write the rows of cases from all their events."""
    told = [_told(case_id, events, device_id) for case_id, (events, device_id) in held.items()]
    connection.executemany(_SAVE, [case.summary for case in told])
    review_rows.refresh(connection, told)


def _told(case_id: str, events: list[dict], device_id: str) -> review_rows.Told:
    """Correct the events of a case once, for its row here and its row in the review."""
    entries, anomalies = corrected(events)
    return review_rows.Told(sum_up(case_id, entries, device_id), entries, anomalies)


def rebuild(connection: sqlite3.Connection, told: Callable[[int], None]) -> int:
    """Make every row again from the events; told hears of each. Gives how many there are."""
    connection.execute("delete from case_summary")
    review_rows.clear(connection)
    rows = connection.execute(
        "select case_id, device_id, line from event join log using (log_no)"
        " where case_id <> '' and case_id not in (select case_id from let_go)"
        " order by case_id, event_no"
    )
    made = 0
    for case_id, group in groupby(rows, key=lambda row: row["case_id"]):
        held = list(group)
        events = [json.loads(row["line"]) for row in held]
        told_of = _told(case_id, events, held[0]["device_id"])
        connection.execute(_SAVE, told_of.summary)
        review_rows.refresh(connection, [told_of])
        made += 1
        told(1)
    return made


def catch_up(connection: sqlite3.Connection) -> None:
    """Make the rows of the review where an older version kept none."""
    if review_rows.is_behind(connection):
        connection.execute("begin immediate")
        rebuild(connection, lambda _: None)
        connection.execute("commit")


def read(connection: sqlite3.Connection, case_id: str) -> dict | None:
    """Give the row of one case."""
    row = connection.execute(
        "select * from case_summary where case_id = ?", (case_id,)
    ).fetchone()
    return dict(row) if row else None


def page(
    connection: sqlite3.Connection,
    *,
    mode: str,
    post: str = "",
    before: tuple[int, str] | None = None,
    size: int = 50,
) -> list[dict]:
    """List cases, newest first, older than the last one of the page before.

    before: (opened_at, case_id) of that last one. The reach into the index is
    the same for the first page and the thousandth.
    """
    wanted = ["mode = :mode"]
    if post:
        wanted.append("post = :post")
    if before:
        wanted.append("(opened_at, case_id) < (:at, :case)")
    at, case_id = before or (0, "")
    rows = connection.execute(
        f"select * from case_summary where {' and '.join(wanted)}"
        " order by opened_at desc, case_id desc limit :size",
        {"mode": mode, "post": post, "at": at, "case": case_id, "size": size},
    )
    return [dict(row) for row in rows]


def posts(connection: sqlite3.Connection, mode: str) -> list[str]:
    """List the posts that cases name, by one look into the index for each."""
    rows = connection.execute(
        "with recursive seen (post) as ("
        " select min(post) from case_summary where mode = :mode union all"
        " select (select min(post) from case_summary where mode = :mode and post > seen.post)"
        " from seen where seen.post is not null"
        ") select post from seen where post <> ''",
        {"mode": mode},
    )
    return [row["post"] for row in rows]


def _events_of(connection: sqlite3.Connection, case_id: str) -> list[dict]:
    rows = connection.execute(
        "select line from event where case_id = ? order by event_no", (case_id,)
    )
    return [json.loads(row["line"]) for row in rows]


def _text(value: object) -> str:
    return value[:LONGEST_TEXT] if isinstance(value, str) else ""

"""One row a real birth and the sums of each month, for the pages of the review.

Written in the transaction that stores the events, from nothing but them, so both can
be thrown away and made again. Practice is never among them.
"""

import sqlite3
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import NamedTuple

from checklist import device
from checklist.core.case import fold_entries
from checklist.post_protocol import protocol_for
from checklist.review_facts import NUMBERS, TEXTS, THREE_VALUED, facts_of

# Facts whose yes and no are summed up by month, over births in which a cup was used.
COUNTED = (
    "failed", "many_pulls", "detached_twice", "long", "severe_tear", "scalp", "low_apgar",
    "referred", "death", "timely", "complete", "late_entries", "override", "skipped",
    "stop_heard", "overridden",
)
PLAIN_SUMS = ("cases", "births", "not_started", "closed")
SUMS = (*PLAIN_SUMS, *(f"{name}_{said}" for name in COUNTED for said in ("yes", "no")))
_KEYS = ("whole", "post", "month", "protocol")
COLUMNS = (
    "case_id", "post", "device_id", "opened_at", "month", "protocol", "judged", "closed",
    "not_started", *THREE_VALUED, *NUMBERS, *TEXTS, "talk",
)
NO_MONTH = 0
_MARKED = "exists (select 1 from review_mark where case_id = :case_id)"
_SAVE = (
    f"insert or replace into review_case ({', '.join(COLUMNS)}, reviewed)"
    f" values ({', '.join(':' + name for name in COLUMNS)}, {_MARKED})"
)
_ADD = (
    f"insert into review_month ({', '.join((*_KEYS, *SUMS))})"
    f" values ({', '.join(':' + name for name in (*_KEYS, *SUMS))}) on conflict do update set "
    + ", ".join(f"{name} = {name} + excluded.{name}" for name in SUMS)
)


class Told(NamedTuple):
    """A case as its summary and its corrected entries tell it."""

    summary: dict
    entries: list[dict]
    anomalies: list[dict]


def refresh(connection: sqlite3.Connection, told: Iterable[Told]) -> None:
    """Write the rows of cases, and move the sums of their months along."""
    changes: list[dict] = []
    for case in told:
        old = _read(connection, case.summary["case_id"])
        if old:
            changes += _sums(old, -1)
        if case.summary["mode"] == "practice":
            if old:
                connection.execute(
                    "delete from review_case where case_id = ?", (old["case_id"],)
                )
            continue
        row = row_of(case, protocol_for(connection, case.summary["protocol"]))
        connection.execute(_SAVE, row)
        changes += _sums(row, 1)
    connection.executemany(_ADD, changes)


def clear(connection: sqlite3.Connection) -> None:
    """Throw all rows away before they are made again."""
    connection.execute("delete from review_case")
    connection.execute("delete from review_month")


def mark(connection: sqlite3.Connection, events: list[dict], device_id: str) -> None:
    """Note the cases that a station says were talked over; a tablet cannot say so."""
    marks = [event for event in events if event["kind"] == "case_reviewed"]
    if not marks or not _speaks_for_review(connection, device_id):
        return
    for event in marks:
        facts = event["facts"]
        case_id, by = facts.get("target_case"), facts.get("by", "")
        if not isinstance(case_id, str) or not isinstance(by, str):
            continue
        connection.execute(
            "insert into review_mark (case_id, at, by) values (?, ?, ?)"
            " on conflict do update set at = excluded.at, by = excluded.by",
            (case_id, event["at"], by),
        )
        connection.execute("update review_case set reviewed = 1 where case_id = ?", (case_id,))


def row_of(case: Told, judged_by: tuple[dict, bool]) -> dict:
    """Make the row of a real case; judged_by: the protocol, and whether it is the case's own."""
    summary = case.summary
    folded = fold_entries(case.entries, case.anomalies)
    table, is_own = judged_by
    decision = folded["decision"]
    facts = facts_of(folded, table)
    referred = decision is not None and decision["decision"] == "refer"
    return {
        **{name: summary[name] for name in ("case_id", "post", "device_id", "opened_at")},
        "month": month_of(summary["opened_at"]),
        "protocol": summary["protocol"],
        "judged": int(is_own),
        "closed": int(folded["closed"] is not None),
        "not_started": int(referred and not facts["attempted"]),
        **facts,
    }


def month_of(at: int) -> int:
    """Give the calendar month in UTC of a wall time in ms: 202611; 0 for nonsense."""
    try:
        moment = datetime.fromtimestamp(at / 1000, UTC)
    except (ValueError, OverflowError, OSError):
        return NO_MONTH
    return moment.year * 100 + moment.month


def _read(connection: sqlite3.Connection, case_id: str) -> sqlite3.Row | None:
    return connection.execute(
        "select * from review_case where case_id = ?", (case_id,)
    ).fetchone()


def _sums(row: dict, sign: int) -> list[dict]:
    """What a row adds to its months, or takes away."""
    sums = dict.fromkeys(SUMS, 0)
    sums |= {"cases": sign, "births": sign * row["attempted"]}
    sums |= {name: sign * row[name] for name in ("not_started", "closed")}
    for name in COUNTED if row["attempted"] else ():
        if row[name] is not None:
            sums[f"{name}_{'yes' if row[name] else 'no'}"] = sign
    keys = {"month": row["month"], "protocol": row["protocol"]}
    return [
        {"whole": 0, "post": row["post"], **keys, **sums},
        {"whole": 1, "post": "", **keys, **sums},
    ]


def _speaks_for_review(connection: sqlite3.Connection, device_id: str) -> bool:
    sender = device.read(connection, device_id) or {}
    return sender.get("state") == device.STATION or sender.get("kind") in ("station", "hub")


def is_behind(connection: sqlite3.Connection) -> bool:
    """Tell whether real cases are held and none has its row, as after an older version."""
    has = "select exists (select 1 from {} limit 1)"
    real = "case_summary where mode = 'real'"
    return bool(connection.execute(has.format(real)).fetchone()[0]) and not (
        connection.execute(has.format("review_case")).fetchone()[0]
    )



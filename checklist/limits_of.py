"""The stricter limits of a post: drafted by one person, signed by another, numbered.

A signed set goes down in the outbox of its station.
"""

import sqlite3

from checklist import outbox, trail
from checklist.core.tighten import tighten
from checklist.errors import ChecklistError
from checklist.post_protocol import named
from checklist.station import Identity
from checklist.store import SqliteStore
from checklist.tables import protocol_in_force


def in_force(connection: sqlite3.Connection, station_id: str) -> dict | None:
    """Give the newest set that was signed for a station, or None."""
    return next(iter(history(connection, station_id, size=1)), None)


def history(
    connection: sqlite3.Connection, station_id: str, *, before: int | None = None, size: int = 20
) -> list[dict]:
    """List the signed sets of a station, newest first, below a number."""
    rows = connection.execute(
        "select * from post_limits where station_id = ? and number < ? order by number desc limit ?",
        (station_id, 2**62 if before is None else before, size),
    )
    return [dict(row) for row in rows]


def posts(connection: sqlite3.Connection, *, skip: int = 0, size: int = 100) -> list[dict]:
    """List the stations that report here, by name: {station_id, name, number, waits}.

    number: of the set in force, or None; waits: whether a draft waits for its second person.
    """
    rows = connection.execute(
        "select device_id as station_id, name,"
        " (select max(number) from post_limits where station_id = device_id) as number,"
        " exists (select 1 from post_limits where station_id = device_id and number is null"
        "  and dropped_at is null) as waits"
        " from device where kind in ('station', 'hub') and state = 'admitted'"
        " order by name, device_id limit ? offset ?",
        (size, skip),
    )
    return [dict(row) for row in rows]


def draft(connection: sqlite3.Connection, station_id: str) -> dict | None:
    """Give the draft that waits for its second person, or None."""
    row = connection.execute(
        "select * from post_limits where station_id = ? and number is null and dropped_at is null",
        (station_id,),
    ).fetchone()
    return dict(row) if row else None


def propose(
    connection: sqlite3.Connection, station_id: str, post: str, changes: str, by: str, now: int
) -> None:
    """Draft a set in place of the draft before; "" goes back to the shipped limits.

    Raises limits_refused with where and why.
    """
    base, table = protocol_in_force()
    tighten(table, changes)
    _drop(connection, station_id, now)
    connection.execute(
        "insert into post_limits (station_id, post, base, changes, digest, made_by, made_at)"
        " values (?, ?, ?, ?, ?, ?, ?)",
        (station_id, post, base, changes, named(base, changes), by, now),
    )
    trail.note(connection, by, "limits_drafted", f"{post}: {changes}", now)


def drop(connection: sqlite3.Connection, station_id: str, by: str, now: int) -> None:
    """Throw a draft away; raises not_found."""
    found = draft(connection, station_id)
    if found is None:
        raise ChecklistError("not_found", station=station_id)
    _drop(connection, station_id, now)
    trail.note(connection, by, "limits_dropped", f"{found['post']}: {found['changes']}", now)


def sign(
    store: SqliteStore, identity: Identity, station_id: str, limits_no: int, by: str, now: int
) -> int:
    """Put a draft in force and send it down; gives its number.

    Raises second_needed unless an account signs that did not make it, not_found when
    the draft is another one by now, limits_refused when the protocol has moved on.
    """
    connection = store.connection
    found = draft(connection, station_id)
    if found is None or found["limits_no"] != limits_no:
        raise ChecklistError("not_found", limits=limits_no)
    if not by or not found["made_by"] or by == found["made_by"]:
        raise ChecklistError("second_needed", made_by=found["made_by"])
    if found["base"] != protocol_in_force()[0]:
        raise ChecklistError("limits_refused", where="base", why="unknown")
    last = in_force(connection, station_id)
    number = last["number"] + 1 if last else 1
    facts = {
        "post": found["post"], "number": number, "base": found["base"],
        "by": found["made_by"], "signed_by": by,
    }
    if found["changes"]:
        facts["changes"] = found["changes"]
    log = outbox.outbox_for(store, identity, station_id, now)
    outbox.say(store, identity, log, "limits_set", facts, now)
    connection.execute(
        "update post_limits set number = ?, signed_by = ?, signed_at = ? where limits_no = ?",
        (number, by, now, limits_no),
    )
    trail.note(connection, by, "limits_set", f"{found['post']}: {number}: {found['changes']}", now)
    return number


def _drop(connection: sqlite3.Connection, station_id: str, now: int) -> None:
    connection.execute(
        "update post_limits set dropped_at = ? where station_id = ? and number is null"
        " and dropped_at is null",
        (now, station_id),
    )

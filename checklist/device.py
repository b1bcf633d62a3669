"""Who may send: a device asks, a person admits it, a person retires it.

A device is known by its public key alone; no secret of it is ever kept here.
"""

import sqlite3

from checklist import keys
from checklist.errors import ChecklistError

WAITING, ADMITTED, RETIRED, STATION = "waiting", "admitted", "retired", "station"
# Known only because a station vouches for it, or because the hub speaks through it.
RELAYED = "relayed"
# What a device is: a browser, a station that reports here, or a hub that speaks down.
TABLET, POST, HUB = "tablet", "station", "hub"
LONGEST_NAME = 60
# Anyone who reaches the station may ask; the list a person reads must stay readable.
MOST_WAITING = 200


def ask(
    connection: sqlite3.Connection,
    public_key: str,
    name: str,
    now: int,
    *,
    trusted: bool,
    first_only: bool = True,
    kind: str = TABLET,
    has_place: bool = False,
) -> tuple[str, str]:
    """Write down that a device wants to send; gives (device, state).

    A trusted device, one that runs on the station's own machine, is admitted at
    once if it is the very first, or at any time unless first_only; every other
    waits for a person, as does every station. Asking again changes nothing; one
    that was known only through a station is now known by itself. Raises waiting_full, unless
    it has_place: a code was made for it.
    """
    device_id = keys.device_id(public_key)
    known = read(connection, device_id)
    if known and known["state"] != RELAYED:
        return device_id, known["state"]
    if not has_place and count(connection, WAITING) >= MOST_WAITING:
        raise ChecklistError("waiting_full", max=MOST_WAITING)
    admitted = trusted and kind == TABLET and (not first_only or _is_first(connection))
    state = ADMITTED if admitted else WAITING
    if known:
        _change(
            connection, "state = :state, kind = :kind, asked_at = :now",
            {"state": state, "kind": kind, "now": now, "device": device_id},
        )
    else:
        add(connection, public_key, name, state, now, kind=kind)
    return device_id, state


def add(
    connection: sqlite3.Connection,
    public_key: str,
    name: str,
    state: str,
    now: int,
    *,
    kind: str = TABLET,
    via: str = "",
) -> str:
    """Insert a device; gives its id. via: the station that vouches for it, if one does."""
    device_id = keys.device_id(public_key)
    connection.execute(
        "insert into device (device_id, public_key, name, state, asked_at, settled_at, kind, via)"
        " values (?, ?, ?, ?, ?, ?, ?, ?)",
        (
            device_id, public_key, name[:LONGEST_NAME], state, now,
            None if state == WAITING else now, kind, via,
        ),
    )
    return device_id


def read(connection: sqlite3.Connection, device_id: str) -> dict | None:
    """Give the row of a device."""
    row = connection.execute(
        "select * from device where device_id = ?", (device_id,)
    ).fetchone()
    return dict(row) if row else None


def known(connection: sqlite3.Connection, device_id: str) -> dict:
    """Give the row of a device; raises device_unknown."""
    row = read(connection, device_id)
    if row is None:
        raise ChecklistError("device_unknown", device=device_id)
    return row


def sending(connection: sqlite3.Connection, device_id: str) -> dict:
    """Give the row of a device that may send; raises device_unknown, _waiting or _retired."""
    row = known(connection, device_id)
    if row["state"] == RELAYED:
        # Whoever comes by itself must ask by itself; this word makes a tablet do so.
        raise ChecklistError("device_unknown", device=device_id)
    if row["state"] in (WAITING, RETIRED):
        raise ChecklistError(f"device_{row['state']}", device=device_id)
    return row


def count(connection: sqlite3.Connection, state: str) -> int:
    """Count the devices in a state."""
    return connection.execute(
        "select count(*) from device where state = ?", (state,)
    ).fetchone()[0]


def everyone(connection: sqlite3.Connection, *, skip: int = 0, size: int = 100) -> list[dict]:
    """List some of the devices that ask or send, those who wait first."""
    rows = connection.execute(
        "select device_id, name, state, kind, via, asked_at,"
        " (select max(received_at) from batch"
        "  where batch.device_id = device.device_id) as heard_at"
        " from device where state <> ? and kind <> ?"
        " order by case state when ? then 0 when ? then 1 when ? then 3 else 2 end,"
        " asked_at desc, device_id limit ? offset ?",
        (STATION, HUB, WAITING, ADMITTED, RELAYED, size, skip),
    )
    return [dict(row) for row in rows]


def settle(connection: sqlite3.Connection, device_id: str, state: str, now: int) -> None:
    """Admit or retire a device; raises not_found."""
    _change(
        connection, "state = :state, settled_at = :now",
        {"state": state, "now": now, "device": device_id},
    )


def rename(connection: sqlite3.Connection, device_id: str, name: str) -> None:
    """Give a device the name that people call it by; raises not_found."""
    _change(connection, "name = :name", {"name": name[:LONGEST_NAME], "device": device_id})


def _is_first(connection: sqlite3.Connection) -> bool:
    # A retired device shows that a person looks after the list already.
    return connection.execute(
        "select 1 from device where kind = ? and state in (?, ?) limit 1",
        (TABLET, ADMITTED, RETIRED),
    ).fetchone() is None


def _change(connection: sqlite3.Connection, change: str, values: dict) -> None:
    done = connection.execute(
        f"update device set {change} where device_id = :device and state <> '{STATION}'", values
    )
    if done.rowcount == 0:
        raise ChecklistError("not_found", device=values["device"])

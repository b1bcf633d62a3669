"""The hub of this station: where it is, by which key it is known, how the last session went.

One row, or none. Knows no message; what the hub holds is in relay_state.py.
"""

import json
import sqlite3

from checklist import device, keys
from checklist.errors import ChecklistError


def read(connection: sqlite3.Connection) -> dict | None:
    """Give the hub of this station, or None while it has none."""
    row = connection.execute("select * from peer order by peer_no limit 1").fetchone()
    return dict(row) if row else None


def join(
    connection: sqlite3.Connection, *, url: str, public_key: str, name: str, authority: str,
    size: int, now: int,
) -> str:
    """Keep the hub of this station; gives its id. What was agreed with another goes.

    authority: path of a file of certificates to trust instead of the system's, or "".
    Raises hub_wrong when the key is this station's own or of one that reports here,
    for then each would be the other's hub.
    """
    hub_id = keys.device_id(public_key)
    known = device.read(connection, hub_id)
    if known is None:
        device.add(connection, public_key, name, device.RELAYED, now, kind=device.HUB)
    elif known["kind"] != device.HUB:
        raise ChecklistError("hub_wrong", why="it reports to this station")
    for table in ("peer", "hub_leaf", "introduced"):
        connection.execute(f"delete from {table}")
    connection.execute(
        "insert into peer (url, hub_id, public_key, name, authority, joined_at, told, size)"
        " values (?, ?, ?, ?, ?, ?, '', ?)",
        (url, hub_id, public_key, name, authority, now, size),
    )
    return hub_id


def leave(connection: sqlite3.Connection) -> dict:
    """Report to no hub any more; gives the one that was left, or raises hub_missing.

    What it said stays, and so does all that was recorded. Files are not sealed to it any more.
    """
    hub = read(connection)
    if hub is None:
        raise ChecklistError("hub_missing")
    for table in ("peer", "hub_leaf", "introduced"):
        connection.execute(f"delete from {table}")
    connection.execute("delete from trusted where hub_id = ?", (hub["hub_id"],))
    return hub


def tag(connection: sqlite3.Connection) -> str:
    """Give the tag that the hub's heads have if nothing is there but what we believe.

    Both sides count it over the same list, so a session in which all is well
    ends with a few hundred bytes instead of a list of every log.
    """
    row = connection.execute("select told from peer limit 1").fetchone()
    if row is None or not row["told"]:
        return ""
    leaves = connection.execute(
        "select log, seq, hash from hub_leaf where down = 0 order by log, seq, hash"
    )
    ends = [[leaf["log"], leaf["seq"], leaf["hash"].hex()] for leaf in leaves]
    return keys.digest(json.dumps(json.loads(row["told"]) | {"leaves": ends}))


def note(
    connection: sqlite3.Connection, now: int, failure: str = "", *, size: int | None = None
) -> None:
    """Write down how a session went: failure is an error code, or "" when all is there."""
    connection.execute(
        "update peer set tried_at = :now, failure = :failure,"
        " synced_at = case when :failure = '' then :now else synced_at end,"
        " size = coalesce(:size, size)",
        {"now": now, "failure": failure, "size": size},
    )

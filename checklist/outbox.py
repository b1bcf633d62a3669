"""What a station or hub says downward, as events signed with its own key.

The station's own log goes to its tablets; a hub keeps one more log for each
station it serves. What came down from above is passed on as it is.
"""

import secrets
import sqlite3
import time
from typing import TYPE_CHECKING

from checklist import keys, stored
from checklist.core.event import problems, seal
from checklist.errors import ChecklistError
from checklist.sender import sign
from checklist.store import SqliteStore
from checklist.sync import Leaf, genesis, prove, receive
from checklist.tables import protocol_in_force

if TYPE_CHECKING:
    from checklist.station import Identity

# One run of this program, as a page run is on a tablet.
BOOT = secrets.token_hex(4)


def outbox_for(store: SqliteStore, identity: "Identity", station_id: str, now: int) -> str:
    """Give the log in which this hub speaks to a station, beginning one if there is none.

    "" means the tablets that report here directly: the station's own log. After a
    restored backup the log may have two ends; then a new one is begun, for two
    histories under one number cannot be told apart.
    """
    if station_id in ("", identity.station_id):
        return identity.log
    row = store.connection.execute(
        "select log from outbox_log where station_id = ? order by made_at desc, rowid desc limit 1",
        (station_id,),
    ).fetchone()
    if row and len(store.leaves(row["log"])) <= 1:
        return row["log"]
    log = secrets.token_hex(16)
    store.connection.execute(
        "insert into outbox_log (log, station_id, made_at) values (?, ?, ?)",
        (log, station_id, now),
    )
    return log


def say(
    store: SqliteStore, identity: "Identity", log: str, kind: str, facts: dict, now: int, case: str = ""
) -> Leaf:
    """Write one event into an outbox; raises event_malformed when its facts are refused."""
    end = stored.end(store.connection, log)
    seq = end[1] + 1 if end else 1
    event = {
        "log": log, "seq": seq, "case": case, "kind": kind, "at": now,
        "boot": BOOT, "tick": int(time.monotonic() * 1000), "ago": 0,
        "protocol": protocol_in_force()[0], "facts": facts,
    }
    if refused := problems(event):
        raise ChecklistError("event_malformed", why=", ".join(refused))
    prev = bytes.fromhex(end[2]) if end else genesis(log)
    lines = [seal(event)]
    header = sign(identity.private_key, log, seq, prev, lines)
    batch = prove(header, lines, keys.public_key_of(identity.private_key))
    receive(store, batch, now)
    return log, seq, batch.hashes[-1].hex()


def logs_for(connection: sqlite3.Connection, identity: "Identity", station_id: str = "") -> list[str]:
    """List the logs that go down to a station, or with "" to the tablets that report here.

    Its own first, then what came down to this station from above.
    """
    own = [identity.log]
    if not station_id:
        own += [row["log"] for row in connection.execute("select log from own_log order by left_at, log")]
    else:
        own = [
            row["log"] for row in connection.execute(
                "select log from outbox_log where station_id = ? order by made_at, log",
                (station_id,),
            )
        ]
    passed = connection.execute("select log from passed_log order by log")
    return own + [row["log"] for row in passed]


def renew_outboxes(connection: sqlite3.Connection, own: str, fresh: str, now: int) -> None:
    """Begin a new log for each station and, as fresh, for the tablets here; the old ones stay.

    What was said of packs counts as said: whoever heard more after the backup keeps it.
    """
    logs = {own: fresh}
    rows = connection.execute("select station_id, log from outbox_log order by made_at, rowid").fetchall()
    for station_id, log in {row["station_id"]: row["log"] for row in rows}.items():
        logs[log] = secrets.token_hex(16)
        connection.execute(
            "insert into outbox_log (log, station_id, made_at) values (?, ?, ?)",
            (logs[log], station_id, now),
        )
    for log, begun in logs.items():
        connection.execute(
            "insert into pack_said (log, tag, digest) select ?, tag, digest from pack_said where log = ?",
            (begun, log),
        )


def ends(connection: sqlite3.Connection, logs: list[str]) -> list[Leaf]:
    """List the furthest end of each log that holds anything."""
    found = (stored.end(connection, log) for log in logs)
    return [leaf for leaf in found if leaf]


def proofs(connection: sqlite3.Connection, leaves: list[Leaf]) -> dict[str, dict]:
    """Give {log: {header, key}} by which a reader proves each log whole, up to its end.

    A chain covers all before its end, so the one signature there covers the log.
    """
    found = {}
    for leaf in leaves:
        header = stored.proof(connection, leaf)
        row = header and connection.execute(
            "select public_key from device where device_id = ?", (header.device,)
        ).fetchone()
        if row:
            found[leaf[0]] = {"header": header.line(), "key": row["public_key"]}
    return found

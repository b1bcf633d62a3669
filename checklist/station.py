"""What this station says of itself: its key, and its settings as signed events.

What it says goes down to the tablets in the station's own log, the outbox, which they
pull with the same code that sends theirs up.
"""

import secrets
import sqlite3
from dataclasses import asdict, dataclass, fields

from checklist import device, keys
from checklist.core.event import parse
from checklist.errors import ChecklistError
from checklist.outbox import BOOT, renew_outboxes, say
from checklist.store import SqliteStore
from checklist.sync import Leaf

__all__ = ["BOOT", "Identity", "Post", "found", "outbox", "renew", "reset_pin", "set_post", "settings"]
OUTER_SAME_CONTRACTION_S = 30


@dataclass(frozen=True)
class Post:
    """The settings of a post: altitude in metres, pause within one pull in seconds."""

    post: str = ""
    altitude_m: int | None = None
    gauge_unit: str = "kpa"
    same_contraction_s: int = OUTER_SAME_CONTRACTION_S
    language: str = "en"

    def facts(self) -> dict:
        """Give the facts of a post_set event; what is not known is left out."""
        return {name: fact for name, fact in asdict(self).items() if fact not in (None, "")}


@dataclass(frozen=True)
class Identity:
    """Who this station is: its id, key, own log, and which life of the journal this is."""

    station_id: str
    private_key: str
    log: str
    incarnation: str


def found(store: SqliteStore, now: int) -> Identity:
    """Give the station's identity, making it the first time."""
    row = store.connection.execute("select * from station").fetchone()
    if row is None:
        _make(store.connection, now)
        return found(store, now)
    return Identity(**{field.name: row[field.name] for field in fields(Identity)})


def outbox(store: SqliteStore, identity: Identity) -> Leaf | None:
    """Give the end of the station's own log, or None while it is empty."""
    return next(iter(store.leaves(identity.log)), None)


def settings(connection: sqlite3.Connection, identity: Identity) -> Post | None:
    """Read the settings in force, or None while nobody has set any."""
    row = connection.execute(
        "select line from event indexed by event_set_post"
        " where log_no = (select log_no from log where log = ?)"
        " and case_id = '' and json_extract(line, '$.kind') = 'post_set'"
        " order by seq desc limit 1",
        (identity.log,),
    ).fetchone()
    if row is None:
        return None
    facts = parse(row["line"])["facts"]
    return Post(**{f.name: facts[f.name] for f in fields(Post) if f.name in facts})


def set_post(store: SqliteStore, identity: Identity, post: Post, now: int) -> Leaf:
    """Write new settings into the outbox; raises event_malformed when one is refused."""
    return say(store, identity, identity.log, "post_set", post.facts(), now)


def reset_pin(store: SqliteStore, identity: Identity, device_id: str, now: int) -> Leaf:
    """Tell a tablet to let go of its PIN; raises not_found."""
    row = device.read(store.connection, device_id)
    if row is None or row["state"] == device.STATION:
        raise ChecklistError("not_found", device=device_id)
    return say(store, identity, identity.log, "pin_reset", {"device": device_id}, now)


def renew(store: SqliteStore, identity: Identity, now: int) -> Identity:
    """Begin another life of the journal, after it was put back from a backup.

    What this station said after the backup is not known here, and two histories under one
    number cannot be told apart: so it goes on in new logs, in which what is set is said again.
    """
    connection = store.connection
    connection.execute("insert into own_log (log, left_at) values (?, ?)", (identity.log, now))
    connection.execute(
        "update station set incarnation = ?, log = ?", (secrets.token_hex(16), secrets.token_hex(16))
    )
    fresh = found(store, now)
    renew_outboxes(connection, identity.log, fresh.log, now)
    for kind in ("post_set", "limits_set"):
        if facts := _last_said(connection, identity.log, kind):
            say(store, fresh, fresh.log, kind, facts, now)
    return fresh


def _last_said(connection: sqlite3.Connection, log: str, kind: str) -> dict | None:
    row = connection.execute(
        "select line from event indexed by event_said join log using (log_no)"
        " where case_id = '' and json_extract(line, '$.kind') = ? and log = ?"
        " order by seq desc limit 1",
        (kind, log),
    ).fetchone()
    return parse(row["line"])["facts"] if row else None


def _make(connection: sqlite3.Connection, now: int) -> None:
    private_key = keys.new_private_key()
    station_id = device.add(
        connection, keys.public_key_of(private_key), "", device.STATION, now
    )
    connection.execute(
        "insert into station (station_id, private_key, log, incarnation, made_at)"
        " values (?, ?, ?, ?, ?)",
        (station_id, private_key, secrets.token_hex(16), secrets.token_hex(16), now),
    )

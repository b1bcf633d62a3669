"""What this station says of itself: its key, and its settings as signed events.

What it says goes down to the tablets in the station's own log, the outbox, which they
pull with the same code that sends theirs up.
"""

import secrets
import sqlite3
import time
from dataclasses import asdict, dataclass, fields

from checklist import device, keys
from checklist.core.event import parse, problems, seal
from checklist.errors import ChecklistError
from checklist.sender import sign
from checklist.store import SqliteStore
from checklist.sync import Leaf, genesis, prove, receive
from checklist.tables import protocol_in_force

OUTER_SAME_CONTRACTION_S = 30
# One run of this program, as a page run is on a tablet.
BOOT = secrets.token_hex(4)


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
    rows = connection.execute(
        "select line from event join log using (log_no) where log = ? order by seq desc",
        (identity.log,),
    )
    said = (parse(row["line"]) for row in rows)
    facts = next((event["facts"] for event in said if event["kind"] == "post_set"), None)
    if facts is None:
        return None
    return Post(**{f.name: facts[f.name] for f in fields(Post) if f.name in facts})


def set_post(store: SqliteStore, identity: Identity, post: Post, now: int) -> Leaf:
    """Write new settings into the outbox; raises event_malformed when one is refused."""
    return _say(store, identity, "post_set", post.facts(), now)


def reset_pin(store: SqliteStore, identity: Identity, device_id: str, now: int) -> Leaf:
    """Tell a tablet to let go of its PIN; raises not_found."""
    row = device.read(store.connection, device_id)
    if row is None or row["state"] == device.STATION:
        raise ChecklistError("not_found", device=device_id)
    return _say(store, identity, "pin_reset", {"device": device_id}, now)


def _say(store: SqliteStore, identity: Identity, kind: str, facts: dict, now: int) -> Leaf:
    end = outbox(store, identity)
    seq = end[1] + 1 if end else 1
    event = {
        "log": identity.log, "seq": seq, "case": "", "kind": kind, "at": now,
        "boot": BOOT, "tick": int(time.monotonic() * 1000), "ago": 0,
        "protocol": protocol_in_force()[0], "facts": facts,
    }
    if refused := problems(event):
        raise ChecklistError("event_malformed", why=", ".join(refused))
    prev = bytes.fromhex(end[2]) if end else genesis(identity.log)
    lines = [seal(event)]
    header = sign(identity.private_key, identity.log, seq, prev, lines)
    batch = prove(header, lines, keys.public_key_of(identity.private_key))
    return receive(store, batch, now).leaves[0]


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

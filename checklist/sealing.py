"""The key that files for a hub are sealed to: made by the hub, vouched for, trusted below.

The public half travels as a statement signed with the hub's own key, so whoever
knows the hub knows the seal. Knows no file and no request.
"""

import hashlib
import json
import sqlite3

from checklist import keys, peer
from checklist.errors import ChecklistError
from checklist.station import Identity
from checklist.store import SqliteStore

VERSION = 1
GROUP_LETTERS = 4
FINGERPRINT_LETTERS = 20


def found(store: SqliteStore, identity: Identity, now: int) -> dict:
    """Give this station's own statement, making the pair of keys the first time."""
    known = own(store.connection)
    if known is None:
        private_key = keys.new_private_key()
        known = _state(identity, keys.public_key_of(private_key), now)
        store.connection.execute(
            "insert into sealing (private_key, statement) values (?, ?)",
            (private_key, json.dumps(known)),
        )
    return known


def own(connection: sqlite3.Connection) -> dict | None:
    """Give this station's own statement {sealing, hub, key, seal, made_at, signature}, if made."""
    row = connection.execute("select statement from sealing order by sealing_no limit 1").fetchone()
    return json.loads(row["statement"]) if row else None


def private_key(connection: sqlite3.Connection) -> str:
    """Give the private half of this station's own pair; raises sealing_missing."""
    row = connection.execute("select private_key from sealing order by sealing_no limit 1").fetchone()
    if row is None:
        raise ChecklistError("sealing_missing")
    return row["private_key"]


def read(text: bytes) -> dict:
    """Read a statement and prove its signature; raises stick_malformed or signature_wrong."""
    try:
        said = json.loads(text)
    except (ValueError, RecursionError):
        raise ChecklistError("stick_malformed", why="no statement of a hub") from None
    return proven(said)


def proven(said: object) -> dict:
    """Give a statement whose signature is right; raises as read does."""
    if not isinstance(said, dict) or said.get("sealing") != VERSION:
        raise ChecklistError("stick_malformed", why="no statement of a hub")
    texts = ("hub", "key", "seal", "signature")
    if not all(isinstance(said.get(name), str) for name in texts) or type(said.get("made_at")) is not int:
        raise ChecklistError("stick_malformed", why="a statement without its parts")
    keys.read_public_key(said["seal"])
    if keys.device_id(said["key"]) != said["hub"]:
        raise ChecklistError("signature_wrong", hub=said["hub"][:32])
    if not keys.is_signed(said["key"], _message(said), said["signature"]):
        raise ChecklistError("signature_wrong", hub=said["hub"])
    return said


def trust(connection: sqlite3.Connection, said: dict, now: int) -> None:
    """Take a proven statement for that of this station's hub, in place of any before.

    Raises hub_wrong when this station has joined another hub.
    """
    hub = peer.read(connection)
    if hub and hub["hub_id"] != said["hub"]:
        raise ChecklistError("hub_wrong", hub=said["hub"])
    connection.execute("delete from trusted where hub_id <> ?", (said["hub"],))
    connection.execute(
        "insert into trusted (hub_id, public_key, statement, trusted_at, receipt_at)"
        " values (?, ?, ?, ?, 0) on conflict (hub_id) do update set"
        " statement = excluded.statement, trusted_at = excluded.trusted_at",
        (said["hub"], said["key"], json.dumps(said), now),
    )


def of_hub(connection: sqlite3.Connection) -> dict | None:
    """Give the statement of this station's hub: as the hub itself told it, or as a person trusted it."""
    hub = peer.read(connection)
    if hub and hub["told"]:
        try:
            said = proven(json.loads(hub["told"]).get("sealing"))
        except ChecklistError:
            said = None
        if said and said["key"] == hub["public_key"]:
            return said
    row = connection.execute("select hub_id, statement from trusted limit 1").fetchone()
    if row is None or (hub and hub["hub_id"] != row["hub_id"]):
        return None
    return json.loads(row["statement"])


def told_down(connection: sqlite3.Connection, *, to_station: bool) -> dict | None:
    """Give the statement that goes down: a hub's own to its stations, the hub's to the tablets.

    Where no level is above, the tablets get this station's own.
    """
    above = None if to_station else of_hub(connection)
    return above or own(connection)


def fingerprint(seal: str) -> str:
    """Spell a key for two people on the telephone: groups of four hexadecimal digits."""
    digits = hashlib.sha256(keys.decode(seal, keys.POINT_BYTES)).hexdigest()[:FINGERPRINT_LETTERS]
    return grouped(digits)


def grouped(digits: str) -> str:
    """Part digits into groups of four."""
    return " ".join(
        digits[at : at + GROUP_LETTERS] for at in range(0, len(digits), GROUP_LETTERS)
    )


def _state(identity: Identity, seal: str, now: int) -> dict:
    said = {
        "sealing": VERSION, "hub": identity.station_id,
        "key": keys.public_key_of(identity.private_key), "seal": seal, "made_at": now,
    }
    return said | {"signature": keys.sign(identity.private_key, _message(said))}


def _message(said: dict) -> str:
    return f"sealing/{VERSION}\n{said['hub']}\n{said['seal']}\n{said['made_at']}"

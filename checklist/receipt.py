"""What a hub says it holds, signed, as a small file that goes back on the stick.

The station believes it as it believes the hub's own answer: a hint that decides
what need not be sent again, and what may be let go. Knows no file.
"""

import json
import sqlite3

from checklist import device, keys, relay_state, relayed, sealing, stored, trail
from checklist.errors import ChecklistError
from checklist.station import Identity
from checklist.store import SqliteStore
from checklist.sync import HASH_LETTERS, ID_LETTERS

VERSION = 1
ENDING = ".receipt"
# Each end of a log takes some 110 bytes; a station with this many has other worries.
LARGEST = 8 * 1024 * 1024


def make(connection: sqlite3.Connection, identity: Identity, to: str, now: int) -> bytes:
    """Write a receipt for a station or tablet that sent; raises device_unknown."""
    if device.known(connection, to)["kind"] == device.POST:
        leaves = relayed.leaves(connection, to)
    else:
        leaves = stored.leaves_of_device(connection, to)
    said = {
        "receipt": VERSION, "hub": identity.station_id,
        "key": keys.public_key_of(identity.private_key), "to": to, "at": now,
        "leaves": [list(leaf) for leaf in leaves],
    }
    return json.dumps(said | {"signature": keys.sign(identity.private_key, _message(said))}).encode()


def looks_like_one(beginning: bytes) -> bool:
    """Tell a receipt from a stick file by its first bytes."""
    return beginning.lstrip().startswith(b'{"receipt"')


def take(store: SqliteStore, identity: Identity, text: bytes, now: int, who: str = "") -> int:
    """Believe a receipt of this station's hub; gives of how many logs, 0 for an old one.

    Raises stick_malformed, stick_newer, stick_foreign, sealing_missing or signature_wrong,
    and then nothing has changed.
    """
    said, connection = _read(text), store.connection
    hub = sealing.of_hub(connection)
    if hub is None:
        raise ChecklistError("sealing_missing")
    if said["to"] != identity.station_id or said["key"] != hub["key"]:
        raise ChecklistError("stick_foreign", hub=said["hub"])
    if not keys.is_signed(said["key"], _message(said), said["signature"]):
        raise ChecklistError("signature_wrong", hub=said["hub"])
    sealing.trust(connection, hub, now)
    row = connection.execute("select receipt_at from trusted").fetchone()
    if said["at"] <= row["receipt_at"]:
        return 0
    told: dict[str, list] = {}
    for leaf in said["leaves"]:
        told.setdefault(leaf[0], []).append(leaf)
    relay_state.on_reply(
        connection, [{"log": log, "leaves": leaves} for log, leaves in told.items()]
    )
    connection.execute("update trusted set receipt_at = ?", (said["at"],))
    trail.note(connection, who, "receipt_imported", said["hub"], now)
    return len(told)


def _read(text: bytes) -> dict:
    try:
        said = json.loads(text)
    except (ValueError, RecursionError):
        raise ChecklistError("stick_malformed", why="no receipt") from None
    if not isinstance(said, dict) or type(said.get("receipt")) is not int:
        raise ChecklistError("stick_malformed", why="no receipt")
    if said["receipt"] > VERSION:
        raise ChecklistError("stick_newer", version=said["receipt"])
    texts = ("hub", "key", "to", "signature")
    if not all(isinstance(said.get(name), str) for name in texts) or type(said.get("at")) is not int:
        raise ChecklistError("stick_malformed", why="a receipt without its parts")
    if not isinstance(said.get("leaves"), list) or not all(map(_is_leaf, said["leaves"])):
        raise ChecklistError("stick_malformed", why="an end of a log")
    return said


def _is_leaf(leaf: object) -> bool:
    digits = frozenset("0123456789abcdef")
    return (
        isinstance(leaf, list) and len(leaf) == 3 and type(leaf[1]) is int and leaf[1] >= 1
        and all(
            isinstance(text, str) and len(text) == letters and digits.issuperset(text)
            for text, letters in ((leaf[0], ID_LETTERS), (leaf[2], HASH_LETTERS))
        )
    )


def _message(said: dict) -> str:
    ends = "\n".join(f"{log} {seq} {digest}" for log, seq, digest in said["leaves"])
    return f"receipt/{VERSION}\n{said['hub']}\n{said['to']}\n{said['at']}\n{keys.digest(ends)}"

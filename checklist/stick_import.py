"""Take in a file from a memory stick: first prove the whole of it, then store it.

A file of which any part is bad changes nothing. Stored again it changes nothing
either, so files come in any order and as often as one likes.
"""

import json
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import BinaryIO

from checklist import device, keys, relayed, sealing, stick, stick_export, stored, trail
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.station import Identity
from checklist.stick_export import BATCHES, DEVICES, MANIFEST
from checklist.store import SqliteStore
from checklist.stored import Signed
from checklist.sync import Batch, genesis, prove, receive

SENDERS = (device.TABLET, device.POST)
KINDS = (*SENDERS, device.HUB)
FINGERPRINT_LETTERS = 20
Told = Callable[[int], None]


@dataclass
class Checked:
    """What a whole file says: who made it, for which devices it vouches, how much it holds."""

    sender: str = ""
    key: str = ""
    kind: str = ""
    made_at: int = 0
    demo: bool = False
    batches: int = 0
    events: int = 0
    devices: dict[str, dict] = field(default_factory=dict)


@dataclass(frozen=True)
class Taken:
    """What came of a file: events that were new, and those of devices retired here."""

    sender: str
    events: int
    stored: int
    kept_back: int


def take(
    journal: Journal, identity: Identity, source: BinaryIO, now: int, *,
    who: str = "", admit: bool = False, demo: bool = False, told: Told = lambda _: None,
) -> Taken:
    """Prove a file and store it; told hears of bytes, twice as many as the file has.

    admit: let a sender in that is not known here yet; demo: whether births here are
    invented, as they then must be in the file. Raises stick_malformed, _newer,
    _foreign, _damaged, _gap or _sender, signature_wrong, log_foreign and the like,
    and then nothing has changed.
    """
    source.seek(0)
    checked = check(journal, identity, source, told)
    if checked.demo != demo:
        raise ChecklistError("stick_foreign", demo=checked.demo)
    _admit(journal, identity, checked, who, admit, now)
    source.seek(0)
    label = stick.read_label(source)
    new, kept_back = 0, 0
    for kind, body, _ in _parts(journal, label, source, told):
        if kind == BATCHES:
            more, held = _store(journal, checked, stored.part(body), now)
            new, kept_back = new + more, kept_back + held
    target = f"{checked.sender} {new}"
    journal.write(lambda store: trail.note(store.connection, who, "stick_imported", target, now))
    return Taken(checked.sender, checked.events, new, kept_back)


def check(journal: Journal, identity: Identity, source: BinaryIO, told: Told) -> Checked:
    """Prove every signature, chain and place of a file; raises as take does."""
    label = stick.read_label(source)
    if label.hub_id != identity.station_id:
        raise ChecklistError("stick_foreign", hub=label.hub_id)
    found, digest = Checked(), stick_export.start(label)
    store, seen = SqliteStore(journal.reader), set()
    for kind, body, piece in _parts(journal, label, source, told):
        if found.key:
            raise ChecklistError("stick_damaged", why="something follows the manifest")
        if kind == MANIFEST:
            _sign_off(found, body, digest.hex())
        elif kind == DEVICES:
            found.devices |= _named(body)
        elif kind == BATCHES:
            for signed in stored.part(body):
                _prove(store, found, signed, seen)
        else:
            raise ChecklistError("stick_newer", part=kind[:20])
        digest = stick_export.following(digest, piece)
    if not found.key:
        raise ChecklistError("stick_damaged", why="no manifest")
    return found


def _parts(
    journal: Journal, label: stick.Label, source: BinaryIO, told: Told
) -> Iterator[tuple[str, bytes, bytes]]:
    private_key = sealing.private_key(journal.reader)
    before = 0
    for piece in stick.read(source, label, private_key):
        told(source.tell() - before)
        before = source.tell()
        kind, _, body = piece.partition(b"\n")
        yield kind.decode("ascii", "replace"), body, piece


def _named(body: bytes) -> dict[str, dict]:
    found = {}
    for line in body.split(b"\n")[:-1]:
        said = _object(line)
        if not all(isinstance(said.get(name), str) for name in ("key", "name", "state", "kind")):
            raise ChecklistError("stick_damaged", why="a device")
        keys.read_public_key(said["key"])
        if said["state"] not in relayed.STATES or said["kind"] not in KINDS:
            raise ChecklistError("stick_newer", state=said["state"][:20], kind=said["kind"][:20])
        found[keys.device_id(said["key"])] = said
    return found


def _sign_off(found: Checked, body: bytes, digest: str) -> None:
    """Read what the sender signed and hold the file against it."""
    said = _object(body)
    if said.get("stick") != stick_export.VERSION:
        raise ChecklistError("stick_newer", version=str(said.get("stick"))[:6])
    key, kind = said.get("key"), said.get("kind")
    types = {"made_at": int, "demo": bool, "key": str}
    if kind not in SENDERS or any(type(said.get(name)) is not one for name, one in types.items()):
        raise ChecklistError("stick_damaged", why="manifest")
    if (said.get("digest"), said.get("batches"), said.get("events")) != (
        digest, found.batches, found.events
    ):
        raise ChecklistError("stick_damaged", why="not what was signed for")
    if not keys.is_signed(key, stick_export.message(said), str(said.get("signature"))):
        raise ChecklistError("signature_wrong", why="manifest")
    found.key, found.kind, found.made_at, found.demo = key, kind, said["made_at"], said["demo"]
    found.sender = keys.device_id(key)
    if kind == device.TABLET and set(found.devices) - {found.sender}:
        raise ChecklistError("log_foreign", device=found.sender)


def _prove(store: SqliteStore, found: Checked, signed: Signed, seen: set) -> None:
    header, lines = signed
    known = found.devices.get(header.device)
    if known is None:
        raise ChecklistError("device_unknown", device=header.device)
    batch = prove(header, lines, known["key"])
    if store.owner(header.log) not in (None, header.device):
        raise ChecklistError("log_foreign", log=header.log)
    if not _hangs(store, batch, seen):
        raise ChecklistError("stick_gap", log=header.log, seq=header.seq)
    seen.update((header.log, digest) for digest in batch.hashes)
    found.batches += 1
    found.events += header.n


def _hangs(store: SqliteStore, batch: Batch, seen: set) -> bool:
    header, prev = batch.header, bytes.fromhex(batch.header.prev)
    if header.seq == 1:
        return prev == genesis(header.log)
    return (header.log, prev) in seen or store.has(header.log, header.seq - 1, prev)


def _admit(
    journal: Journal, identity: Identity, checked: Checked, who: str, admit: bool, now: int
) -> None:
    """Let the sender in, or refuse it; then note for whom it vouches."""
    row = device.read(journal.reader, checked.sender)
    state = row["state"] if row else ""
    if state == device.RETIRED:
        raise ChecklistError("device_retired", device=checked.sender)
    if row and state != device.RELAYED and row["kind"] != checked.kind:
        raise ChecklistError("log_foreign", device=checked.sender)
    known = state == device.ADMITTED or (
        state == device.RELAYED and checked.kind == row["kind"] == device.TABLET
    )
    if not known and not (admit and state != device.STATION):
        raise ChecklistError(
            "stick_sender", fingerprint=sealing.grouped(checked.sender[:FINGERPRINT_LETTERS])
        )

    def keep(store: SqliteStore) -> None:
        if not known:
            _let_in(store.connection, checked, row, now)
            trail.note(store.connection, who, "device_admitted", checked.sender, now)
        if checked.kind == device.POST:
            relayed.introduce(store, checked.sender, list(checked.devices.values()), now)

    journal.write(keep)


def _let_in(connection: sqlite3.Connection, checked: Checked, row: dict | None, now: int) -> None:
    if row is None:
        device.add(connection, checked.key, "", device.ADMITTED, now, kind=checked.kind)
    else:
        connection.execute(
            "update device set state = ?, kind = ?, settled_at = ? where device_id = ?",
            (device.ADMITTED, checked.kind, now, checked.sender),
        )


def _store(
    journal: Journal, checked: Checked, signed: list[Signed], now: int
) -> tuple[int, int]:
    """Store a piece; gives how many events were new, and how many stay out."""
    if checked.kind == device.TABLET:
        batches = [prove(header, lines, checked.key) for header, lines in signed]
        return journal.write(
            lambda store: sum(receive(store, batch, now).stored for batch in batches)
        ), 0
    new, kept_back = 0, 0
    outcomes = relayed.take(journal, checked.sender, signed, now)
    for (header, _), outcome in zip(signed, outcomes, strict=True):
        new += outcome.get("stored", 0)
        if outcome.get("code") == "device_retired":
            kept_back += header.n
        elif "code" in outcome and outcome["code"] != "unknown_prev":
            raise ChecklistError("stick_damaged", why=outcome["code"])
    return new, kept_back


def _object(line: bytes) -> dict:
    try:
        said = json.loads(line)
    except (ValueError, RecursionError):
        raise ChecklistError("stick_damaged", why="not JSON") from None
    if not isinstance(said, dict):
        raise ChecklistError("stick_damaged", why="not an object")
    return said

"""Gather what goes up by file: the devices, their signed batches, and what the sender signs for.

Batches go as they were stored, so the hub proves each against the key of the device
that made it. Knows no file.
"""

import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator

from checklist import device, keys, relay, relay_state, stored
from checklist.station import Identity
from checklist.stick import AIM_BYTES, Label
from checklist.stored import Signed

DEVICES, BATCHES, MANIFEST = "devices", "batches", "manifest"
VERSION = 1
# A header line is some 500 bytes beside its events.
HEADER_BYTES = 500


def logs(connection: sqlite3.Connection, *, everything: bool) -> list[str]:
    """List the logs to send: those with an end that the hub did not acknowledge, or all.

    What came down from the hub is never sent back.
    """
    if not everything:
        return [owed.log for owed in relay_state.lacking(connection)]
    rows = connection.execute(
        "select log from log where log not in (select log from passed_log) order by log_no"
    )
    return [row["log"] for row in rows]


def gather(
    connection: sqlite3.Connection, identity: Identity, label: Label, *,
    everything: bool, now: int, demo: bool = False, told: Callable[[int], None] = lambda _: None,
) -> Iterator[bytes]:
    """Give the pieces of a file, the one that the station signs last; told hears of events.

    demo: every birth in it is invented, and no hub of real births must take it in.
    """
    wanted = logs(connection, everything=everything)
    digest, batches, events = start(label), 0, 0
    for piece in _devices(connection, wanted):
        digest = following(digest, piece)
        yield piece
    for load in _loads(connection, wanted, everything):
        piece = part_of(BATCHES, stored.write(load).decode())
        digest = following(digest, piece)
        batches += len(load)
        count = sum(header.n for header, _ in load)
        events += count
        told(count)
        yield piece
    said = {
        "batches": batches, "events": events, "demo": demo, "made_at": now, "digest": digest.hex(),
    }
    yield part_of(MANIFEST, json.dumps({
        "stick": VERSION, "kind": device.POST, "key": keys.public_key_of(identity.private_key),
        **said, "signature": keys.sign(identity.private_key, message(said)),
    }) + "\n")


def count(connection: sqlite3.Connection, *, everything: bool) -> int:
    """Count about how many events a file would hold, for a bar."""
    if everything:
        return connection.execute("select count(*) from event").fetchone()[0]
    return relay_state.waiting(connection)["count"]


def start(label: Label) -> bytes:
    """Give the digest before the first piece; it names the file."""
    return hashlib.sha256(label.line).digest()


def following(digest: bytes, piece: bytes) -> bytes:
    """Give the digest after one more piece."""
    return hashlib.sha256(digest + piece).digest()


def part_of(kind: str, text: str) -> bytes:
    """Write a piece: a line with its kind, then its lines."""
    return f"{kind}\n{text}".encode()


def message(said: dict) -> str:
    """Give the text that the sender signs."""
    told = [said["digest"], said["batches"], said["events"], int(said["demo"]), said["made_at"]]
    return "\n".join([f"stick/{VERSION}", *map(str, told)])


def _devices(connection: sqlite3.Connection, wanted: list[str]) -> Iterator[bytes]:
    rows = connection.execute(
        "select distinct device.device_id, public_key, name, state, kind from device"
        " join log using (device_id) where log in (select value from json_each(?))"
        " order by device_id",
        (json.dumps(wanted),),
    )
    lines = (json.dumps(_vouched(row)) + "\n" for row in rows)
    yield from (part_of(DEVICES, "".join(load)) for load in _heaped(lines, len))


def _vouched(row: sqlite3.Row) -> dict:
    kind = device.POST if row["state"] == device.STATION else row["kind"]
    return {"key": row["public_key"], "name": row["name"], "state": row["state"], "kind": kind}


def _loads(
    connection: sqlite3.Connection, wanted: list[str], everything: bool
) -> Iterator[list[Signed]]:
    def batches() -> Iterator[Signed]:
        for log in wanted:
            if everything:
                yield from (signed for _, signed in stored.after(connection, log, 0))
            else:
                yield from relay.next_batches(connection, log)

    yield from _heaped(batches(), _weight)


def _weight(signed: Signed) -> int:
    return HEADER_BYTES + sum(len(line.encode()) + 1 for line in signed[1])


def _heaped(things: Iterable, weigh: Callable) -> Iterator[list]:
    """Gather things into heaps of about the size that a piece aims at."""
    heap, weight = [], 0
    for thing in things:
        heap.append(thing)
        weight += weigh(thing)
        if weight >= AIM_BYTES:
            yield heap
            heap, weight = [], 0
    if heap:
        yield heap

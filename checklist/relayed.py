"""The hub's side of a relay: for whom a station vouches, and what it brings.

Every batch is proven against the key of the device that signed it; the station
only vouches for who that device is. Knows no request.
"""

import hashlib
import sqlite3
from dataclasses import asdict

from checklist import device, keys, outbox, stored
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.station import Identity
from checklist.store import SqliteStore
from checklist.stored import Signed
from checklist.sync import Batch, Leaf, prove, receive

# A row of what is asked; more than a whole district has.
MOST_DEVICES = 50_000
STATES = (device.WAITING, device.ADMITTED, device.RETIRED, device.RELAYED, device.STATION)
KINDS = (device.TABLET, device.POST, device.HUB)
# These concern the one batch; whatever else happens concerns the hub.
_OF_ONE_BATCH = frozenset({
    "signature_wrong", "chain_mismatch", "head_mismatch", "event_malformed", "log_foreign",
    "unknown_prev", "device_unknown", "device_retired", "device_malformed",
})


def relaying(connection: sqlite3.Connection, station_id: str) -> dict:
    """Give the row of a station that may relay; raises as device.sending does."""
    row = device.sending(connection, station_id)
    if row["kind"] != device.POST:
        raise ChecklistError("log_foreign", device=station_id)
    return row


def introduce(
    store: SqliteStore, station_id: str, devices: list[dict], now: int
) -> dict[str, str]:
    """Note for which devices {key, name, state, kind} a station vouches; gives {device: state here}.

    What is known here of a device already is never changed by it. Raises
    device_malformed, or waiting_full when one station names too many.
    """
    connection = store.connection
    answers = {}
    for told in devices:
        device_id = keys.device_id(told["key"])
        if told["state"] not in STATES or told["kind"] not in KINDS:
            raise ChecklistError("device_malformed", why="state or kind")
        keys.read_public_key(told["key"])
        known = device.read(connection, device_id)
        if known is None:
            device.add(
                connection, told["key"], told["name"], device.RELAYED, now,
                kind=told["kind"], via=station_id,
            )
        connection.execute(
            "insert into relayed_device (station_id, device_id, state) values (?, ?, ?)"
            " on conflict do update set state = excluded.state",
            (station_id, device_id, told["state"]),
        )
        answers[device_id] = known["state"] if known else device.RELAYED
    if _count(connection, station_id) > MOST_DEVICES:
        raise ChecklistError("waiting_full", max=MOST_DEVICES)
    return answers


def take(journal: Journal, station_id: str, signed: list[Signed], now: int) -> list[dict]:
    """Admit the batches that a station brings; gives one outcome for each, in order.

    {log, leaves, stored, forked}, or {log, code, …facts} for a batch that was
    refused; one refused holds up no other. When this returns all is durable.
    Leaves are the ends of what this very station has brought.
    """
    proven = [_proven(journal.reader, station_id, header, lines) for header, lines in signed]

    def keep(store: SqliteStore) -> list[dict]:
        return [
            _refusal(store, station_id, batch_of[0].log, batch)
            if isinstance(batch, ChecklistError)
            else _admit(store, station_id, batch, now)
            for batch_of, batch in zip(signed, proven, strict=True)
        ]

    return journal.write(keep)


def leaves(connection: sqlite3.Connection, station_id: str) -> list[Leaf]:
    """List the ends of all that a station has brought, in a fixed order."""
    rows = connection.execute(
        "select log, relayed_leaf.seq, hash from relayed_leaf join log using (log_no)"
        " where station_id = ? order by log, relayed_leaf.seq, hash",
        (station_id,),
    )
    return [(row["log"], row["seq"], row["hash"].hex()) for row in rows]


def readable(
    connection: sqlite3.Connection, identity: Identity, station_id: str, log: str,
    *, after: int, skip: int, largest: int,
) -> tuple[list[Signed], int]:
    """Give some stored batches of a log to a station, and where to go on (0: no more).

    An outbox of the station whole; any other log as far as the station has brought
    it itself, so that it gets back what it lost and reads no other's. Raises
    not_found, which also hides what it may not read.
    """
    if log in outbox.logs_for(connection, identity, station_id):
        reach = None
    elif not (reach := _reach_of(connection, station_id, log)):
        raise ChecklistError("not_found", log=log)
    given, weight, last = [], 0, skip
    for number, signed in stored.after(connection, log, after, skip=skip):
        header, lines = signed
        if reach is None or header.seq + header.n - 1 <= reach:
            weight += sum(len(line.encode()) + 1 for line in lines) + len(header.line())
            if given and weight > largest:
                return given, last
            given.append(signed)
        last = number
    return given, 0


def message(path: str, body: bytes) -> str:
    """Give the text that a station signs for a body that it posts."""
    return f"post/1\n{path}\n{hashlib.sha256(body).hexdigest()}"


def _reach_of(connection: sqlite3.Connection, station_id: str, log: str) -> int:
    return connection.execute(
        "select coalesce(max(relayed_leaf.seq), 0) from relayed_leaf join log using (log_no)"
        " where station_id = ? and log = ?",
        (station_id, log),
    ).fetchone()[0]


def _proven(
    reader: sqlite3.Connection, station_id: str, header, lines: list[str]
) -> Batch | ChecklistError:
    try:
        return prove(header, lines, _vouched(reader, station_id, header.device)["public_key"])
    except ChecklistError as error:
        if error.code not in _OF_ONE_BATCH:
            raise
        return error


def _vouched(reader: sqlite3.Connection, station_id: str, device_id: str) -> dict:
    row = device.known(reader, device_id)
    if row["state"] == device.RETIRED:
        raise ChecklistError("device_retired", device=device_id)
    vouched = device_id == station_id or reader.execute(
        "select 1 from relayed_device where station_id = ? and device_id = ?",
        (station_id, device_id),
    ).fetchone()
    if not vouched:
        raise ChecklistError("device_unknown", device=device_id)
    return row


def _admit(store: SqliteStore, station_id: str, batch: Batch, now: int) -> dict:
    log = batch.header.log
    is_new = store.owner(log) is None
    try:
        reply = receive(store, batch, now)
    except ChecklistError as error:
        return _refusal(store, station_id, log, error)
    if is_new:
        store.connection.execute("update log set via = ? where log = ?", (station_id, log))
    _reach(store.connection, station_id, batch)
    return asdict(reply) | {"log": log, "leaves": _leaves_of(store.connection, station_id, log)}


def _refusal(store: SqliteStore, station_id: str, log: str, error: ChecklistError) -> dict:
    told = {name: fact for name, fact in error.facts.items() if name != "leaves"}
    ends = _leaves_of(store.connection, station_id, log)
    return told | {"log": log, "code": error.code, "leaves": ends}


def _leaves_of(connection: sqlite3.Connection, station_id: str, log: str) -> list[Leaf]:
    rows = connection.execute(
        "select relayed_leaf.seq, hash from relayed_leaf join log using (log_no)"
        " where station_id = ? and log = ? order by relayed_leaf.seq, hash",
        (station_id, log),
    )
    return [(log, row["seq"], row["hash"].hex()) for row in rows]


def _reach(connection: sqlite3.Connection, station_id: str, batch: Batch) -> None:
    """Move the end that a station has brought, or add one where it brings another branch."""
    (log_no,) = connection.execute(
        "select log_no from log where log = ?", (batch.header.log,)
    ).fetchone()
    top = (batch.header.seq + batch.header.n - 1, batch.hashes[-1])
    rows = connection.execute(
        "select seq, hash from relayed_leaf where station_id = ? and log_no = ?",
        (station_id, log_no),
    ).fetchall()
    if any(_is_before(connection, log_no, top, (row["seq"], row["hash"])) for row in rows):
        return
    before = [
        row["hash"] for row in rows
        if _is_before(connection, log_no, (row["seq"], row["hash"]), top)
    ]
    connection.executemany(
        "delete from relayed_leaf where station_id = ? and log_no = ? and hash = ?",
        [(station_id, log_no, digest) for digest in before],
    )
    connection.execute(
        "insert into relayed_leaf (station_id, log_no, seq, hash) values (?, ?, ?, ?)",
        (station_id, log_no, *top),
    )


def _is_before(
    connection: sqlite3.Connection, log_no: int, older: tuple[int, bytes], newer: tuple[int, bytes]
) -> bool:
    return stored.leads_to(connection, log_no, older, newer)


def _count(connection: sqlite3.Connection, station_id: str) -> int:
    return connection.execute(
        "select count(*) from relayed_device where station_id = ?", (station_id,)
    ).fetchone()[0]

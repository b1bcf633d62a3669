"""What a station and its hub owe each other next, in any order and after any loss.

Knows no network and no clock: a session speaks to a Hub, whose every call is one
message that may be lost, cut or repeated. What the hub said before is only a hint;
its own answer decides. Batches go up as they were stored, so the hub proves each
against the key of the device that signed it.
"""

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from checklist import device, keys, pack_relay, peer, stored
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.relay_state import (
    Owed,
    ends_of,
    hear,
    is_progress,
    lacking,
    on_reply,
    strangers,
)
from checklist.store import SqliteStore
from checklist.stored import Signed
from checklist.sync import Leaf, prove, receive

MOST_ROUNDS = 6
# A key, a name and a state are at most 400 bytes, so these fit the hub's bound by far.
MOST_AT_ONCE = 100
# Bytes before compression. About 16 KB and 64 KB as gzip, and never above the hub's own bound.
SIZES = {"smallest": 8 * 1024, "first": 80 * 1024, "largest": 224 * 1024}


class Pulled(NamedTuple):
    """One answer to a pull: batches, the key that signed them, where to go on (0: no more)."""

    signed: list[Signed]
    key: str
    following: int


class Hub(Protocol):
    """What a session asks of a hub; over HTTP in upstream.py, by plain calls in tests."""

    def heads(self, tag: str) -> dict | None:
        """Give what the hub tells this station, or None when that has this tag."""

    def introduce(self, devices: list[dict]) -> dict[str, str]:
        """Vouch for devices {key, name, state, kind}; gives the hub's word on each by its id."""

    def push(self, body: bytes) -> list[dict]:
        """Hand over batches, written by stored.write; gives one outcome for each."""

    def pull(self, log: str, after: int, skip: int) -> Pulled:
        """Ask for the batches of a log that reach past a place."""


@dataclass
class Report:
    """What one session did; settled when the hub holds all that may go there."""

    sent: int = 0
    fetched: int = 0
    settled: bool = False
    refused: dict[str, str] = field(default_factory=dict)
    packs: pack_relay.Report = field(default_factory=pack_relay.Report)


def exchange(
    journal: Journal, hub: Hub, now: int, size: int = SIZES["first"],
    told: Callable[[Report], None] = lambda report: None,
) -> Report:
    """Hold one session: hear, fetch what is lacking here, send what is lacking there.

    told hears of every step that moved something. Every session ends with a comparison of all ends. Raises what the hub's calls
    raise, with all that was agreed before it kept.
    """
    report = Report()
    for _ in range(MOST_ROUNDS):
        heads = hub.heads(peer.tag(journal.reader))
        if heads is not None:
            journal.write(lambda store, heads=heads: hear(store.connection, heads))
        report.refused.clear()
        moved = fetch(journal, hub, report, now)
        moved += send(journal, hub, report, size, told)
        if moved == 0:
            break
    report.settled = not (lacking(journal.reader) or wanted(journal.reader) or report.refused)
    return report


def fetch(journal: Journal, hub: Hub, report: Report, now: int) -> int:
    """Take what the hub holds for this station and the station lacks; gives how many events.

    That is the hub's outbox, and, after this journal was restored from a backup,
    whatever this station had sent and has lost.
    """
    before = report.fetched
    for log, down in wanted(journal.reader):
        try:
            report.fetched += _fill(journal, hub, log, down, now)
        except ChecklistError as error:
            if error.code not in _OF_ONE_LOG:
                raise
            report.refused[log] = error.code
    return report.fetched - before


def wanted(reader: sqlite3.Connection) -> list[tuple[str, bool]]:
    """List (log, comes down as an outbox) of which the hub told an end that is not held here."""
    rows = reader.execute(
        "select distinct hub_leaf.log, max(down) as down from hub_leaf"
        " left join log using (log)"
        " left join event on event.log_no = log.log_no"
        "  and event.seq = hub_leaf.seq and event.hash = hub_leaf.hash"
        " left join let_go on let_go.log_no = log.log_no"
        "  and let_go.seq = hub_leaf.seq and let_go.hash = hub_leaf.hash"
        " where event.event_no is null and let_go.seq is null group by hub_leaf.log"
    )
    return [(row["log"], bool(row["down"])) for row in rows]


def send(
    journal: Journal, hub: Hub, report: Report, size: int, heard: Callable[[Report], None]
) -> int:
    """Send what the hub lacks, newest logs first; gives how many batches moved something.

    A refusal moves something when it tells what to do next time: go back, or vouch anew.
    """
    owed = lacking(journal.reader)
    _introduce(journal, hub, owed)
    blocked = report.refused
    moved = 0
    for load in _loads(journal.reader, lacking(journal.reader), size, blocked):
        outcomes = hub.push(stored.write(load))
        moved += sum(is_progress(journal.reader, told) for told in outcomes)
        report.sent += sum(told.get("stored", 0) for told in outcomes)
        blocked.update({told["log"]: told["code"] for told in outcomes if "code" in told})
        journal.write(lambda store, told=outcomes: on_reply(store.connection, told))
        heard(report)
    return moved


def next_batches(reader: sqlite3.Connection, log: str) -> Iterator[Signed]:
    """Give the stored batches of a log that the hub lacks, each after what it hangs on.

    Of a fork both branches go. What the hub said it holds counts only where it
    lies on our own chain.
    """
    mine = ends_of(reader, log)
    held = [leaf for leaf in _told(reader, log) if _has(reader, leaf)]
    if len(mine) <= 1:
        place = max((seq for _, seq, _ in held), default=0)
        yield from (signed for _, signed in stored.after(reader, log, place))
        return
    covered = _covered(reader, log, held)
    for _, signed in stored.after(reader, log, 0):
        if signed[0].head not in covered:
            yield signed


def take(journal: Journal, pulled: Pulled, log: str, down: bool, now: int) -> int:
    """Admit pulled batches as any others; gives how many events were new.

    An outbox must be signed by a hub, never in the name of a tablet; the rest by
    whoever owns the log here already. Raises what prove and receive raise.
    """
    proven = []
    for header, lines in pulled.signed:
        if header.log != log or header.device != keys.device_id(pulled.key):
            raise ChecklistError("log_foreign", log=log)
        proven.append(prove(header, lines, pulled.key))

    def keep(store) -> int:
        kind = device.HUB if down else device.TABLET
        _know(store.connection, pulled.key, kind, now)
        if down:
            store.connection.execute("insert or ignore into passed_log (log) values (?)", (log,))
        return sum(receive(store, batch, now).stored for batch in proven)

    return journal.write(keep) if proven else 0


_OF_ONE_LOG = frozenset({
    "unknown_prev", "log_foreign", "chain_mismatch", "head_mismatch", "event_malformed",
    "signature_wrong", "not_found", "device_malformed",
})


def _fill(journal: Journal, hub: Hub, log: str, down: bool, now: int) -> int:
    """Pull what follows our end; where the histories part below it only the whole log joins."""
    place = max((leaf[1] for leaf in ends_of(journal.reader, log)), default=0)
    try:
        count = _pull(journal, hub, log, place, down, now)
        if place == 0 or (log, down) not in wanted(journal.reader):
            return count
    except ChecklistError as error:
        if error.code != "unknown_prev" or place == 0:
            raise
    return _pull(journal, hub, log, 0, down, now)


def _pull(journal: Journal, hub: Hub, log: str, place: int, down: bool, now: int) -> int:
    count, skip = 0, 0
    while True:
        pulled = hub.pull(log, place, skip)
        count += take(journal, pulled, log, down, now)
        if pulled.following <= skip:
            return count
        skip = pulled.following


def _introduce(journal: Journal, hub: Hub, owed: list[Owed]) -> None:
    unknown = strangers(journal.reader, {log.device_id for log in owed})
    for start in range(0, len(unknown), MOST_AT_ONCE):
        part = unknown[start : start + MOST_AT_ONCE]
        answers = hub.introduce([
            {
                "key": one["public_key"], "name": one["name"], "state": one["state"],
                "kind": device.POST if one["state"] == device.STATION else one["kind"],
            }
            for one in part
        ])
        journal.write(
            lambda store, part=part, said=answers: store.connection.executemany(
                "insert or replace into introduced (device_id, name, state, answer)"
                " values (?, ?, ?, ?)",
                [(one["device_id"], one["name"], one["state"], said.get(one["device_id"], ""))
                 for one in part],
            )
        )


def _loads(
    reader: sqlite3.Connection, owed: list[Owed], size: int, blocked: dict[str, str]
) -> Iterator[list[Signed]]:
    load: list[Signed] = []
    weight = 0
    for log in owed:
        for signed in next_batches(reader, log.log):
            if log.log in blocked:
                break
            heavy = sum(len(line.encode()) + 1 for line in signed[1]) + 500
            if load and weight + heavy > size:
                yield load
                load, weight = [], 0
                if log.log in blocked:
                    break
            load.append(signed)
            weight += heavy
    if load:
        yield load


def _know(connection: sqlite3.Connection, public_key: str, kind: str, now: int) -> None:
    known = device.read(connection, keys.device_id(public_key))
    if known is None:
        device.add(connection, public_key, "", device.RELAYED, now, kind=kind)
    elif kind == device.HUB and known["kind"] != device.HUB:
        raise ChecklistError("log_foreign", device=known["device_id"])


def _told(reader: sqlite3.Connection, log: str) -> list[Leaf]:
    rows = reader.execute("select seq, hash from hub_leaf where log = ?", (log,))
    return [(log, row["seq"], row["hash"].hex()) for row in rows]


def _has(reader: sqlite3.Connection, leaf: Leaf) -> bool:
    log, seq, digest = leaf
    return SqliteStore(reader).has(log, seq, bytes.fromhex(digest))


def _covered(reader: sqlite3.Connection, log: str, ends: list[Leaf]) -> set[str]:
    (log_no,) = reader.execute("select log_no from log where log = ?", (log,)).fetchone()
    return {
        digest.hex()
        for _, seq, end in ends
        for _, digest, _ in stored.walk_back(reader, log_no, seq, bytes.fromhex(end), 1)
    }

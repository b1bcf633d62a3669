"""A tablet of the simulator: the rules of static/sync.js, batch.js and device.js in Python.

Every rule here stands in one of those files too; a change is made in both. Only the
sizes of batches are smaller, so that short logs already need several.
"""

import copy
import hashlib
from collections.abc import Generator
from dataclasses import dataclass, field

from checklist import keys
from checklist.core.event import seal
from checklist.errors import ChecklistError
from checklist.sync import Header, chain, genesis, link
from tests.simulator.downward import Held, Inbox, receive_all
from tests.simulator.node import Request

SIZES = {"smallest": 250, "first": 500, "largest": 1500}
MOST_REWINDS = 3
OF_ONE_LOG = {
    "chain_mismatch", "head_mismatch", "event_malformed", "log_foreign", "unknown_prev",
}

# A number and a hash; one that a station acknowledged also has the ends it named.
Place = tuple[int, str] | tuple[int, str, list]
Exchange = Generator[Request, object, None]


@dataclass
class Cursor:
    """What was agreed with one station: a hint, never the truth."""

    logs: dict[str, Place] = field(default_factory=dict)
    outboxes: dict[str, Held] = field(default_factory=dict)
    incarnation: str | None = None
    size: int = SIZES["first"]


@dataclass
class Disk:
    """What survives a crash: lines and their hashes by log, cursors, and what came down."""

    log: str = ""
    logs: dict[str, list[str]] = field(default_factory=dict)
    hashes: dict[str, list[str]] = field(default_factory=dict)
    cursors: dict[str, Cursor] = field(default_factory=dict)
    inbox: Inbox = field(default_factory=Inbox)


class Tablet:
    """One device; nothing here looks inside a station."""

    def __init__(self, name: str, private_key: str, told) -> None:
        self.name, self.private_key, self.told = name, private_key, told
        self.public_key = keys.public_key_of(private_key)
        self.device_id = keys.device_id(self.public_key)
        self.disk = Disk()
        self.pending: list[tuple[str, str]] = []
        self.backup: tuple[str, Disk] | None = None
        self.made = 0
        self.begin("first", 0)
        self.flush()

    # What a finger does.

    def write(self, kind: str, case: str, at: int, **facts: object) -> None:
        """Seal one more event; it is shown as pending until it is durable."""
        self._append(self.next_log(), kind, case, at, facts)

    def next_log(self) -> str:
        """Give the log that is open, durable or not."""
        return self._open if self._open else self.disk.log

    def begin(self, why: str, at: int) -> None:
        """Begin a new log, after any doubt about the one before."""
        self.made += 1
        told = f"{self.name}/{self.made}/{self.told.count()}"
        self._open = hashlib.sha256(told.encode()).hexdigest()[:32]
        self._append(self._open, "log_opened", "", at, {"device": self.device_id, "why": why})

    def doubt(self, log: str) -> None:
        """Begin a new log because a station holds another history of this one."""
        if log == self.next_log():
            self.begin("fork", 0)

    def flush(self) -> None:
        """Make durable what is pending."""
        for log, line in self.pending:
            lines = self.disk.logs.setdefault(log, [])
            marks = self.disk.hashes.setdefault(log, [])
            prev = bytes.fromhex(marks[-1]) if marks else genesis(log)
            lines.append(line)
            marks.append(link(prev, line).hex())
            self.disk.log = log
        self.pending = []
        self._open = ""

    def crash(self) -> None:
        """Lose what is not durable."""
        self.pending = []
        self._open = ""

    def save(self) -> None:
        """Make a backup of the whole tablet."""
        self.backup = (self.private_key, copy.deepcopy(self.disk))

    def restore(self, backup: tuple[str, Disk]) -> None:
        """Become what a backup, or another tablet, was."""
        self.crash()
        self.private_key, self.disk = backup[0], copy.deepcopy(backup[1])
        self.public_key = keys.public_key_of(self.private_key)
        self.device_id = keys.device_id(self.public_key)

    # What static/sync.js does.

    def exchange(self, station: str) -> Exchange:
        """Exchange once with a station; yields requests, is sent answers or errors."""
        cursor = self.cursor(station)
        failure = yield from self._send_all(cursor)
        heads = yield Request("heads", self.device_id)
        if self._rewind(cursor, heads):
            failure = yield from self._send_all(cursor)
        missed = yield from receive_all(
            self.disk.inbox, cursor.outboxes, heads, self.device_id
        )
        cursor.incarnation = heads["incarnation"]
        if failure or missed:
            raise failure or missed

    def cursor(self, station: str) -> Cursor:
        """Give what was agreed with a station."""
        return self.disk.cursors.setdefault(station, Cursor())

    def tips(self) -> list[tuple[str, int]]:
        """List every log with its last durable number."""
        return [(log, len(lines)) for log, lines in self.disk.logs.items()]

    def lines(self, log: str, after: int) -> list[str]:
        """Read the durable lines of a log after a place."""
        return self.disk.logs[log][after:]

    def _send_all(self, cursor: Cursor) -> Generator:
        failure = None
        for log, last in self.tips():
            try:
                yield from self._send_log(cursor, log, last)
            except ChecklistError as error:
                if error.code not in OF_ONE_LOG:
                    raise
                failure = error
        return failure

    def _send_log(self, cursor: Cursor, log: str, last: int) -> Generator:
        place = cursor.logs.get(log, beginning(log))
        rewinds = 0
        while place[0] < last:
            body, reached = self.batch(log, place, cursor.size)
            try:
                reply = yield Request("batch", self.device_id, log, body)
            except ChecklistError as error:
                if error.code != "unknown_prev" or rewinds >= MOST_REWINDS:
                    self._smaller(cursor, error)
                    raise
                rewinds += 1
                place = self.last_shared(log, error.facts["leaves"])
                continue
            if reply.forked:
                self.doubt(log)
            place = (*reached, ends_of(log, reply.leaves))
            self.agree(cursor, log, place)
            cursor.size = min(cursor.size * 2, SIZES["largest"])

    def agree(self, cursor: Cursor, log: str, place: Place) -> None:
        """Remember how far a station has a log."""
        cursor.logs[log] = place

    def _smaller(self, cursor: Cursor, error: ChecklistError) -> None:
        if error.code in ("station_unreachable", "batch_too_big"):
            cursor.size = max(cursor.size // 2, SIZES["smallest"])

    def batch(self, log: str, place: Place, size: int) -> tuple[bytes, Place]:
        """Make the batch that follows a place, and say where it ends."""
        lines = fitting(self.lines(log, place[0]), size)
        head = chain(bytes.fromhex(place[1]), lines)[-1].hex()
        header = Header(log, place[0] + 1, len(lines), place[1], head, self.device_id, "")
        signature = keys.sign(self.private_key, header.message)
        first = Header(**{**vars(header), "signature": signature}).line()
        body = "".join(f"{line}\n" for line in [first, *lines]).encode()
        return body, (place[0] + len(lines), head)

    def last_shared(self, log: str, leaves: list) -> Place:
        """Find the last of some places that lies on our own chain."""
        marks = self.disk.hashes.get(log, [])
        shared = beginning(log)
        for name, seq, digest in leaves:
            ours = name == log and seq <= len(marks) and marks[seq - 1] == digest
            if ours and seq > shared[0]:
                shared = (seq, digest)
        return shared

    def _rewind(self, cursor: Cursor, heads: dict) -> bool:
        restored = cursor.incarnation not in (None, heads["incarnation"])
        changed = False
        for log, mine in list(cursor.logs.items()):
            theirs = [leaf for leaf in heads["leaves"] if leaf[0] == log]
            if any(leaf[1:] == mine[:2] for leaf in theirs):
                continue
            if any(leaf[1] >= mine[0] for leaf in theirs):
                self.doubt(log)
            if not restored and mine[2:] == (ends_of(log, theirs),):
                continue
            self.agree(cursor, log, self.last_shared(log, theirs))
            changed = True
        return changed

    def read_down(self, station: str) -> dict[str, list[str]]:
        """Give the lines that a station and the hubs behind it have sent down, by log."""
        return self.disk.inbox.read(self.cursor(station).outboxes)

    def _append(self, log: str, kind: str, case: str, at: int, facts: dict) -> None:
        waiting = [line for name, line in self.pending if name == log]
        seq = len(self.disk.logs.get(log, [])) + len(waiting) + 1
        event = {
            "log": log, "seq": seq, "case": case, "kind": kind, "at": max(at, 0), "boot": "",
            "tick": self.told.count(), "ago": 0, "protocol": "", "facts": facts,
        }
        line = seal(event)
        self.pending.append((log, line))
        prev = self.disk.hashes.get(log, [])[-1:]
        start = bytes.fromhex(prev[0]) if prev else genesis(log)
        self.told.happened(log, seq, chain(start, [*waiting, line])[-1].hex(), line)


def beginning(log: str) -> Place:
    """Give the place before the first line of a log."""
    return 0, genesis(log).hex()


def ends_of(log: str, leaves: list) -> list:
    """Give the ends of a log, in whatever order a station lists them."""
    return sorted(tuple(leaf) for leaf in leaves if leaf[0] == log)


def fitting(lines: list[str], size: int) -> list[str]:
    """Give the lines that fit into a size in letters, but at least one."""
    total = 0
    for count, line in enumerate(lines):
        total += len(line) + 1
        if total > size:
            return lines[: max(1, count)]
    return lines

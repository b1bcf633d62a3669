"""A station or hub of the simulator: the real intake, store and journal on a file in memory.

What is committed survives a crash, what is not is gone; a backup is a copy of the file.
"""

import sqlite3
from functools import cache
from typing import NamedTuple

from checklist import device, intake, keys, outbox, station
from checklist.errors import ChecklistError
from checklist.heads import tell
from checklist.journal import Journal
from checklist.schema import migrate
from checklist.store import SqliteStore


class Crashed(Exception):
    """The program died here; whoever waited for its answer hears nothing."""


class Request(NamedTuple):
    """What a client asks, by name, with whatever of the rest belongs to it."""

    what: str
    sender: str
    log: str = ""
    body: bytes = b""
    encoding: str = ""
    after: int = 0
    skip: int = 0


class MemoryJournal(Journal):
    """The real journal without file and thread: one connection that reads and writes."""

    def __init__(self, blob: bytes) -> None:
        self._connection = open_copy(blob)
        self.dies = ""

    @property
    def reader(self) -> sqlite3.Connection:
        """Give the one connection."""
        return self._connection

    def write(self, work):
        """Do work in one transaction as the writer does; may be told to die in it."""
        dies, self.dies = self.dies, ""
        self.reader.execute("begin immediate")
        try:
            store = SqliteStore(self.reader)
            result = work(store)
            store.finish()
            if dies == "before commit":
                raise Crashed
        except BaseException:
            self.reader.execute("rollback")
            raise
        self.reader.execute("commit")
        if dies == "after commit":
            raise Crashed
        return result

    def copy(self) -> bytes:
        """Give the file as it lies on the disk."""
        return self.reader.serialize()

    def close(self) -> None:
        """Forget the file."""
        self.reader.close()


def open_copy(blob: bytes) -> sqlite3.Connection:
    """Open a copy of a file, as schema.connect opens one."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.deserialize(blob)
    connection.row_factory = sqlite3.Row
    connection.execute("pragma foreign_keys = on")
    return connection


@cache
def empty_file(name: str) -> bytes:
    """Make the file of a new station once a run; its random names are made plain ones."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.row_factory = sqlite3.Row
    migrate(connection)
    station.found(SqliteStore(connection), 0)
    number = name.encode().hex()
    connection.execute(
        "update station set log = ?, incarnation = ?",
        (number.rjust(32, "f"), number.rjust(32, "e")),
    )
    return connection.serialize()


class Node:
    """One station, hub or parent hub."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.backup: bytes | None = None
        self.open(empty_file(name))

    def open(self, blob: bytes) -> None:
        """Start on a file; what ran before is gone."""
        self.journal = MemoryJournal(blob)
        self.identity = station.found(SqliteStore(self.journal.reader), 0)

    def crash(self) -> None:
        """End without tidying up, and start again on what was committed."""
        # An open transaction is not in the copy that a new process would read.
        if self.journal.reader.in_transaction:
            self.journal.reader.execute("rollback")
        self.open(self.journal.copy())

    def save(self) -> None:
        """Make a backup."""
        self.backup = self.journal.copy()

    def admit(self, public_key: str, kind: str = device.TABLET) -> None:
        """Let a device or station in, as a person does; once is enough."""
        self.journal.write(lambda store: _admit(store.connection, public_key, kind))

    def answer(self, request: Request, now: int) -> object:
        """Answer a tablet as web/exchange_api.py does, without its http; raises ChecklistError."""
        if request.what == "batch":
            return intake.take(self.journal, request.body, request.encoding, now, request.log)
        if request.what == "heads":
            return self.heads(request.sender, now)
        return self.events(request)

    def heads(self, sender: str, now: int) -> dict:
        """Tell a device what is held of its logs, and where the outbox ends."""
        caller = device.sending(self.journal.reader, sender)
        return tell(self.journal.reader, self.identity, caller, demo=False) | {"time": now}

    def events(self, request: Request) -> tuple[list[str], str]:
        """Give lines of the outbox or of the sender's own log, and the hash after them."""
        down = request.log in outbox.logs_for(self.journal.reader, self.identity)
        if self.journal.owner(request.log) != request.sender and not down:
            raise ChecklistError("log_foreign", log=request.log)
        lines, last = self.journal.lines_after(request.log, request.after, furthest=down)
        return lines, last.hex() if last else ""

    def say(self, post: str, now: int) -> None:
        """Write settings into the outbox."""
        said = station.Post(post=post)
        self.journal.write(
            lambda store: station.set_post(store, self.identity, said, now)
        )

    def renew(self) -> None:
        """Begin another life of the journal, as a person does who put a backup back."""
        self.identity = self.journal.write(lambda store: station.renew(store, self.identity, 0))

    def says_to(self, station_id: str) -> list[tuple[str, int, str]]:
        """List the ends of what goes down to a station, or with "" to the tablets here."""
        reader = self.journal.reader
        return outbox.ends(reader, outbox.logs_for(reader, self.identity, station_id))

    def own_logs(self) -> set[str]:
        """List the logs in which this node itself speaks."""
        rows = self.journal.reader.execute("select log from outbox_log union all select log from own_log")
        return {self.identity.log, *(row["log"] for row in rows)}

    def held(self) -> dict[str, tuple[str, int, str]]:
        """Give everything that is stored: {hash: (log, seq, line)}."""
        rows = self.journal.reader.execute(
            "select log, seq, hash, line from event join log using (log_no)"
        )
        return {row["hash"].hex(): (row["log"], row["seq"], row["line"]) for row in rows}


def _admit(connection: sqlite3.Connection, public_key: str, kind: str) -> None:
    known = device.read(connection, keys.device_id(public_key))
    if known is None:
        device.add(connection, public_key, "", device.ADMITTED, 0, kind=kind)
    elif known["state"] == device.RELAYED:
        device.settle(connection, known["device_id"], device.ADMITTED, 0)

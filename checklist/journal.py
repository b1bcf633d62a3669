"""The station's journal: one SQLite file of events that are only ever added.

Opens the file, hands out readers, and passes every change through one writer.
"""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TypeVar

from checklist import stored, summary
from checklist.errors import ChecklistError
from checklist.schema import connect, migrate
from checklist.store import SqliteStore
from checklist.sync import Leaf, genesis, link
from checklist.writer import Writer, explain

LINES_IN_ONE_ANSWER = 1000

Result = TypeVar("Result")


class Journal:
    """An open journal; safe to use from many threads."""

    def __init__(self, path: Path, writing: sqlite3.Connection) -> None:
        self.path = path
        self._writer = Writer(writing)
        self._mine = threading.local()
        self._readers: list[sqlite3.Connection] = []

    @classmethod
    def open(cls, path: Path) -> "Journal":
        """Open or make a journal; raises data_unwritable or journal_damaged."""
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            # Made before it is opened: the files beside it take over who may read them.
            path.touch(mode=0o600)
            writing = connect(path)
        except (OSError, sqlite3.Error) as error:
            raise _cannot_open(path, error) from error
        try:
            migrate(writing)
            summary.catch_up(writing)
        except (OSError, sqlite3.Error) as error:
            writing.close()
            raise _cannot_open(path, error) from error
        return cls(path, writing)

    def write(self, work: Callable[[SqliteStore], Result]) -> Result:
        """Do work on the store in one transaction; returns once it is durable."""
        def whole(connection: sqlite3.Connection) -> Result:
            store = SqliteStore(connection)
            result = work(store)
            store.finish()
            return result

        return self._writer.run(whole)

    @property
    def reader(self) -> sqlite3.Connection:
        """Give this thread's reading connection."""
        if not hasattr(self._mine, "reader"):
            self._mine.reader = connect(self.path, read_only=True)
            self._readers.append(self._mine.reader)
        return self._mine.reader

    def close(self) -> None:
        """Finish what waits to be written and close every connection."""
        self._writer.close()
        for reader in self._readers:
            reader.close()

    def leaves_of_device(self, device_id: str) -> list[Leaf]:
        """List the ends of every log that a device owns, in a fixed order."""
        return stored.leaves_of_device(self.reader, device_id)

    def owner(self, log: str) -> str | None:
        """Give the device that a log is bound to."""
        return SqliteStore(self.reader).owner(log)

    def lines_after(
        self, log: str, seq: int, *, furthest: bool = False
    ) -> tuple[list[str], bytes | None]:
        """Read up to 1,000 lines of a log after a place, and the hash after the last.

        Where the log forks, the branch that came first is followed, or the one
        that reaches furthest.
        """
        ends = SqliteStore(self.reader).leaves(log) if furthest else []
        if len(ends) > 1:
            return self._towards(ends[0], seq)
        lines: list[str] = []
        last = self._hash_at(log, seq)
        if last is None:
            return [], None
        for place, digest, line in self._after(log, seq):
            if place == seq + len(lines) + 1 and link(last, line) == digest:
                lines.append(line)
                last = digest
            if len(lines) == LINES_IN_ONE_ANSWER:
                break
        return lines, last

    def lines_of_case(self, case_id: str) -> list[str]:
        """Read the lines of one case in the order they were stored."""
        rows = self.reader.execute(
            "select line from event where case_id = ? order by event_no", (case_id,)
        )
        return [row["line"] for row in rows]

    def _towards(self, end: Leaf, seq: int) -> tuple[list[str], bytes | None]:
        log, last, digest = end
        if seq >= last:
            return [], None
        (log_no,) = self.reader.execute("select log_no from log where log = ?", (log,)).fetchone()
        places = stored.walk_back(self.reader, log_no, last, bytes.fromhex(digest), seq + 1)
        given = places[:LINES_IN_ONE_ANSWER]
        return [line for _, _, line in given], given[-1][1]

    def _hash_at(self, log: str, seq: int) -> bytes | None:
        if seq == 0:
            return genesis(log)
        row = self.reader.execute(
            "select hash from event join log using (log_no)"
            " where log = ? and seq = ? order by event_no limit 1",
            (log, seq),
        ).fetchone()
        return row["hash"] if row else None

    def _after(self, log: str, seq: int) -> Iterator[tuple[int, bytes, str]]:
        row = self.reader.execute("select log_no from log where log = ?", (log,)).fetchone()
        if row is None:
            return
        yield from self.reader.execute(
            "select seq, hash, line from event where log_no = ? and seq > ?"
            " order by seq, event_no",
            (row["log_no"], seq),
        )


def _cannot_open(path: Path, error: Exception) -> Exception:
    if isinstance(error, sqlite3.DatabaseError) and not isinstance(
        error, sqlite3.OperationalError
    ):
        return explain(error)
    return ChecklistError("data_unwritable", folder=str(path.parent), why=str(error))

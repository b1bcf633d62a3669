"""One thread that writes, and commits together what waits together.

Two writers at once would make SQLite wait in its own busy loop, which was
measured to spoil the slowest answers; a queue and one commit for all that wait
costs one flush of the disk where each alone would cost its own.
"""

import queue
import sqlite3
from collections.abc import Callable
from concurrent.futures import Future
from threading import Thread
from typing import Any, NamedTuple, TypeVar

from checklist.errors import ChecklistError

LARGEST_GROUP = 64

Result = TypeVar("Result")

_MEANING = {
    sqlite3.SQLITE_FULL: "disk_full",
    sqlite3.SQLITE_IOERR: "disk_full",
    sqlite3.SQLITE_BUSY: "journal_busy",
    sqlite3.SQLITE_LOCKED: "journal_busy",
    sqlite3.SQLITE_CORRUPT: "journal_damaged",
    sqlite3.SQLITE_NOTADB: "journal_damaged",
    sqlite3.SQLITE_READONLY: "journal_refused",
    sqlite3.SQLITE_CANTOPEN: "journal_refused",
}


def explain(error: sqlite3.Error) -> Exception:
    """Turn what SQLite says into our error where a caller can act on it."""
    # The low byte is the family; the rest says which call of the disk failed.
    family = getattr(error, "sqlite_errorcode", 0) & 0xFF
    code = _MEANING.get(family)
    return ChecklistError(code, why=str(error)) if code else error


class _Job(NamedTuple):
    work: Callable[[sqlite3.Connection], Any]
    promise: Future


class Writer:
    """Runs work on the one writing connection, each piece whole or not at all."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._jobs: queue.SimpleQueue[_Job | None] = queue.SimpleQueue()
        self._thread = Thread(target=self._serve, name="writer", daemon=True)
        self._thread.start()

    def run(self, work: Callable[[sqlite3.Connection], Result]) -> Result:
        """Do the work in a transaction; returns once it is durable.

        The work may be done a second time when a neighbour in its group fails,
        so it must depend on nothing but the connection.
        """
        job = _Job(work, Future())
        self._jobs.put(job)
        return job.promise.result()

    def close(self) -> None:
        """Finish what waits, then close the connection."""
        self._jobs.put(None)
        self._thread.join()
        self._connection.close()

    def _serve(self) -> None:
        while (job := self._jobs.get()) is not None:
            group = [job]
            last = False
            while len(group) < LARGEST_GROUP and not last and not self._jobs.empty():
                waiting = self._jobs.get()
                last = waiting is None
                if waiting is not None:
                    group.append(waiting)
            self._commit(group)
            if last:
                return

    def _commit(self, group: list[_Job]) -> None:
        try:
            self._connection.execute("begin immediate")
            outcomes = [self._attempt(job.work) for job in group]
            self._connection.execute("commit")
        except sqlite3.Error as error:
            self._undo()
            self._fail_or_part(group, error)
            return
        for job, (result, refusal) in zip(group, outcomes, strict=True):
            if refusal is None:
                job.promise.set_result(result)
            else:
                job.promise.set_exception(refusal)

    def _attempt(self, work: Callable) -> tuple[Any, Exception | None]:
        self._connection.execute("savepoint piece")
        try:
            result = work(self._connection)
        except sqlite3.Error:
            raise
        except Exception as refusal:  # belongs to the caller of run, never to its neighbours
            self._connection.execute("rollback to piece")
            self._connection.execute("release piece")
            return None, refusal
        self._connection.execute("release piece")
        return result, None

    def _undo(self) -> None:
        # A full disk may have rolled the transaction back already.
        if self._connection.in_transaction:
            self._connection.execute("rollback")

    def _fail_or_part(self, group: list[_Job], error: sqlite3.Error) -> None:
        if len(group) == 1:
            group[0].promise.set_exception(explain(error))
            return
        for job in group:
            self._commit([job])

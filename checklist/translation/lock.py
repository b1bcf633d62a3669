"""Let one worker at a time change a language, in however many processes they run.

SQLite's own lock is borrowed: it works alike on every system and goes with its owner,
also when that one is killed.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from checklist.errors import ChecklistError

WAIT_S = 30


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock at a path while the context lasts; raises journal_busy, data_unwritable."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=WAIT_S, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        raise ChecklistError("data_unwritable", path=str(path), why=str(error)) from None
    try:
        try:
            connection.execute("begin exclusive")
        except sqlite3.OperationalError as error:
            code = "journal_busy" if "locked" in str(error) else "data_unwritable"
            raise ChecklistError(code, path=str(path), why=str(error)) from None
        yield
    finally:
        connection.close()

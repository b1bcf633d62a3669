"""Slow down whoever guesses: each wrong password makes the next wait longer.

Kept in the journal's file, so a restart forgives nothing. Nobody is locked out
for good: that would let a stranger keep an account's owner away.
"""

import sqlite3

from checklist import keys

# Common practice, no source: tries before the first wait. An address may be a whole hospital's.
FREE = {"account": 3, "address": 20}
FIRST_WAIT_MS = 1000
LONGEST_WAIT_MS = 15 * 60 * 1000
FORGOTTEN_MS = 24 * 60 * 60 * 1000

Subjects = dict[str, str]


def subjects(name: str, address: str) -> Subjects:
    """Name what is slowed down, {kind: subject}; of an account that may not exist no name is kept."""
    folded = " ".join(name.split()).casefold()
    return {"account": f"account:{keys.digest(folded)[:32]}", "address": f"address:{address}"}


def begin(connection: sqlite3.Connection, who: Subjects, now: int) -> int:
    """Count one more try and give 0, or give how many ms it must wait and count nothing.

    Counted before the password is looked at, so that tries side by side count too.
    """
    connection.execute("delete from attempt where last_at < ?", (now - FORGOTTEN_MS,))
    wait = max(_wait(connection, kind, subject, now) for kind, subject in who.items())
    if wait == 0:
        connection.executemany(
            "insert into attempt (subject, failed, last_at) values (?, 1, ?) on conflict (subject)"
            " do update set failed = failed + 1, last_at = excluded.last_at",
            [(subject, now) for subject in who.values()],
        )
    return wait


def right(connection: sqlite3.Connection, who: Subjects) -> None:
    """Forgive the account its tries; the address only this one, or one's own account would free it."""
    connection.execute("delete from attempt where subject = ?", (who["account"],))
    connection.execute(
        "update attempt set failed = max(failed - 1, 0) where subject = ?", (who["address"],)
    )


def _wait(connection: sqlite3.Connection, kind: str, subject: str, now: int) -> int:
    row = connection.execute("select * from attempt where subject = ?", (subject,)).fetchone()
    if row is None or row["failed"] < FREE[kind]:
        return 0
    # Past twenty doublings the longest wait is long reached.
    asked = FIRST_WAIT_MS * 2 ** min(row["failed"] - FREE[kind], 20)
    # A clock that was set back must not make the wait longer than it is.
    passed = max(now - row["last_at"], 0)
    return max(min(asked, LONGEST_WAIT_MS) - passed, 0)

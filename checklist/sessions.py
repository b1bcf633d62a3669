"""Where accounts are signed in: random tokens, kept here only as their SHA-256.

A session ends when it is idle for too long, when its day is over, when its
account is closed or its password changed, or when a person ends it.
"""

import secrets
import sqlite3

from checklist import keys

MINUTE_MS = 60_000
# OWASP ASVS 5.0, 7.3.1 and 7.3.2 ask for both; the lengths are common practice, no source.
IDLE_MS = 20 * MINUTE_MS
WHOLE_MS = 12 * 60 * MINUTE_MS
# Written down at most this often, or every page would cost a flush of the disk.
TOUCH_MS = MINUTE_MS
TOKEN_BYTES = 32


def begin(connection: sqlite3.Connection, account_no: int, address: str, now: int) -> str:
    """Sign an account in; gives the token, 256 random bits, for the cookie."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    connection.execute("delete from session where seen_at < ?", (now - WHOLE_MS,))
    connection.execute(
        "insert into session (token, account_no, began_at, seen_at, address) values (?, ?, ?, ?, ?)",
        (keys.digest(token), account_no, now, now, address),
    )
    return token


def find(connection: sqlite3.Connection, token: str, now: int) -> dict | None:
    """Give the session of a token with its account, or None when it has ended."""
    row = connection.execute(
        "select session.*, name, roles from session join account using (account_no)"
        " where token = ? and closed_at is null",
        (keys.digest(token),),
    ).fetchone()
    if row is None or now - row["seen_at"] >= IDLE_MS or now - row["began_at"] >= WHOLE_MS:
        return None
    return {**dict(row), "roles": tuple(row["roles"].split())}


def touch(connection: sqlite3.Connection, session: dict, now: int) -> None:
    """Write down that a session was used."""
    connection.execute(
        "update session set seen_at = ? where token = ?", (now, session["token"])
    )


def of_account(connection: sqlite3.Connection, account_no: int, now: int) -> list[dict]:
    """List where an account is signed in, the latest first."""
    rows = connection.execute(
        "select token, began_at, seen_at, address from session"
        " where account_no = ? and seen_at > ? and began_at > ? order by seen_at desc",
        (account_no, now - IDLE_MS, now - WHOLE_MS),
    )
    return [dict(row) for row in rows]


def end(connection: sqlite3.Connection, stored: str) -> None:
    """End one session, by its token as it is stored."""
    connection.execute("delete from session where token = ?", (stored,))


def end_all(connection: sqlite3.Connection, account_no: int, *, but: str = "") -> None:
    """End every session of an account but one, by its token as it is stored."""
    connection.execute(
        "delete from session where account_no = ? and token <> ?", (account_no, but)
    )

"""Accounts: who may sign in, in which roles, and the one-time links that open them.

A password is chosen by whoever opens the link and by nobody else; here it is
only ever seen as what argon2id makes of it.
"""

import secrets
import sqlite3

from checklist import keys, sessions, trail
from checklist.errors import ChecklistError

LEAD, SUPERVISOR, KEEPER = ROLES = ("lead", "supervisor", "keeper")
LONGEST_NAME = 60
# Common practice, no source: long enough to be handed over, too short to be forgotten open.
LINK_MS = 24 * 60 * 60 * 1000
LINK_BYTES = 32


def any_at_all(connection: sqlite3.Connection) -> bool:
    """Tell whether there is or was any account: then this machine alone is no key any more."""
    return connection.execute("select 1 from account limit 1").fetchone() is not None


def add(connection: sqlite3.Connection, name: str, roles: tuple[str, ...], by: str, now: int) -> str:
    """Make an account that waits for its password; gives the token of its link.

    Raises account_malformed for a name or role that is none, account_taken.
    """
    name = " ".join(name.split())
    if not 0 < len(name) <= LONGEST_NAME or not name.isprintable():
        raise ChecklistError("account_malformed", why="name")
    if not roles or not set(roles) <= set(ROLES):
        raise ChecklistError("account_malformed", why="role")
    try:
        account_no = connection.execute(
            "insert into account (name, folded, roles, password, made_by, made_at)"
            " values (?, ?, ?, '', ?, ?)",
            (name, name.casefold(), " ".join(r for r in ROLES if r in roles), by, now),
        ).lastrowid
    except sqlite3.IntegrityError:
        raise ChecklistError("account_taken", name=name) from None
    trail.note(connection, by, "account_made", f"{name}: {', '.join(roles)}", now)
    return _link(connection, account_no, now)


def new_link(connection: sqlite3.Connection, account_no: int, by: str, now: int) -> str:
    """Give an account a new one-time link; older ones, its sessions and its second factor end."""
    row = read(connection, account_no)
    connection.execute("update account set second = '' where account_no = ?", (account_no,))
    connection.execute("delete from link where account_no = ?", (account_no,))
    sessions.end_all(connection, account_no)
    trail.note(connection, by, "link_made", row["name"], now)
    return _link(connection, account_no, now)


def first_link(connection: sqlite3.Connection, now: int) -> str | None:
    """Give the link by which the first account is made, or None when there is one."""
    if any_at_all(connection):
        return None
    connection.execute("delete from link")
    return _link(connection, None, now)


def opened_by(connection: sqlite3.Connection, token: str, now: int) -> dict | None:
    """Give the account that a link opens; None for the first one; raises link_unknown."""
    row = connection.execute(
        "select link.account_no, name, closed_at, account.account_no is null as is_first"
        " from link left join account using (account_no) where token = ? and ends_at > ?",
        (keys.digest(token), now),
    ).fetchone()
    if row is None or row["closed_at"] is not None or (row["is_first"] and any_at_all(connection)):
        raise ChecklistError("link_unknown")
    return None if row["is_first"] else dict(row)


def use_link(connection: sqlite3.Connection, token: str, name: str, password: str, now: int) -> int:
    """Set the password of the account that a link opens, and void the link.

    name: of the first account, which gets every role; password: as hashed. Gives the
    account's number; raises link_unknown, account_malformed.
    """
    account = opened_by(connection, token, now)
    if account is None:
        add(connection, name, ROLES, "", now)
        account = by_name(connection, name)
    connection.execute("delete from link where account_no is null or account_no = ?",
                       (account["account_no"],))
    set_password(connection, account["account_no"], password, now)
    return account["account_no"]


def set_password(connection: sqlite3.Connection, account_no: int, password: str, now: int) -> None:
    """Take a new password, as hashed, into use; every session of the account ends."""
    row = read(connection, account_no)
    connection.execute(
        "update account set password = ? where account_no = ?", (password, account_no)
    )
    sessions.end_all(connection, account_no)
    trail.note(connection, row["name"], "password_set", row["name"], now)


def close(connection: sqlite3.Connection, account_no: int, by: str, now: int) -> None:
    """Close an account for good; what it did stays. Raises not_found, account_last."""
    row = read(connection, account_no)
    others = connection.execute(
        "select count(*) from account where closed_at is null and account_no <> ?"
        " and ' ' || roles || ' ' like '% keeper %'",
        (account_no,),
    ).fetchone()[0]
    if KEEPER in row["roles"] and others == 0:
        raise ChecklistError("account_last", name=row["name"])
    connection.execute("update account set closed_at = ? where account_no = ?", (now, account_no))
    connection.execute("delete from link where account_no = ?", (account_no,))
    sessions.end_all(connection, account_no)
    trail.note(connection, by, "account_closed", row["name"], now)


def read(connection: sqlite3.Connection, account_no: int) -> dict:
    """Give an account that is not closed; raises not_found."""
    row = connection.execute(
        "select * from account where account_no = ? and closed_at is null", (account_no,)
    ).fetchone()
    if row is None:
        raise ChecklistError("not_found", account=account_no)
    return {**dict(row), "roles": tuple(row["roles"].split())}


def by_name(connection: sqlite3.Connection, name: str) -> dict | None:
    """Give the account of a name that is not closed, however its letters are written."""
    row = connection.execute(
        "select account_no from account where folded = ? and closed_at is null",
        (" ".join(name.split()).casefold(),),
    ).fetchone()
    return read(connection, row["account_no"]) if row else None


def everyone(connection: sqlite3.Connection, *, skip: int = 0, size: int = 100) -> list[dict]:
    """List accounts, the open ones first, by name."""
    rows = connection.execute(
        "select account_no, name, roles, password <> '' as is_open, made_by, made_at, closed_at,"
        " (select max(seen_at) from session where session.account_no = account.account_no) as seen_at"
        " from account order by closed_at is not null, folded limit ? offset ?",
        (size, skip),
    )
    return [{**dict(row), "roles": tuple(row["roles"].split())} for row in rows]


def _link(connection: sqlite3.Connection, account_no: int | None, now: int) -> str:
    token = secrets.token_urlsafe(LINK_BYTES)
    connection.execute(
        "insert into link (token, account_no, ends_at) values (?, ?, ?)",
        (keys.digest(token), account_no, now + LINK_MS),
    )
    return token

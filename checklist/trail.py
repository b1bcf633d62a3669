"""Who did what: a list that is only ever added to, chained like a log.

A row that was changed or taken out of the middle breaks the chain after it. Rows
cut off at the end leave no gap: only a copy kept elsewhere can show those.
"""

import json
import sqlite3
from collections.abc import Iterator

from checklist.sync import genesis, link

LONGEST_TARGET = 200
_START = genesis("trail")


def note(connection: sqlite3.Connection, who: str, what: str, target: str, at: int) -> None:
    """Write down that somebody did something, in the transaction that does it.

    who: name of the account, "" for a person at the machine itself; what: a short
    word like "limits_set", said by the words ``trail.what.<what>``; target: what it
    was done to; at: wall ms.
    """
    last = connection.execute("select hash from trail order by trail_no desc limit 1").fetchone()
    target = target[:LONGEST_TARGET]
    digest = link(last["hash"] if last else _START, _line(who, what, target, at))
    connection.execute(
        "insert into trail (who, what, target, at, hash) values (?, ?, ?, ?, ?)",
        (who, what, target, at, digest),
    )


def page(connection: sqlite3.Connection, *, before: int | None = None, size: int = 50) -> list[dict]:
    """List what was done, newest first, older than the last row of the page before."""
    rows = connection.execute(
        "select trail_no, who, what, target, at from trail where trail_no < ?"
        " order by trail_no desc limit ?",
        (2**62 if before is None else before, size),
    )
    return [dict(row) for row in rows]


def find_damage(connection: sqlite3.Connection) -> Iterator[str]:
    """Name every row that does not follow what is before it."""
    prev, number = _START, 0
    for row in connection.execute("select * from trail order by trail_no"):
        number += 1
        if row["trail_no"] != number:
            yield f"trail: nothing between {number - 1} and {row['trail_no']}"
            number = row["trail_no"]
        if link(prev, _line(row["who"], row["what"], row["target"], row["at"])) != row["hash"]:
            yield f"trail: row {number} does not follow what is before it"
        prev = row["hash"]


def _line(who: str, what: str, target: str, at: int) -> str:
    return json.dumps([who, what, target, at], ensure_ascii=False, separators=(",", ":"))

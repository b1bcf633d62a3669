"""Find the protocol that a digest names: a shipped one, or one made stricter for a post.

A digest proves by itself which limits it names, whoever set them. Knows no account
and no draft.
"""

import sqlite3
from functools import lru_cache

from checklist.core.event import parse
from checklist.core.tighten import digest_text, tighten
from checklist.errors import ChecklistError
from checklist.tables import digest, protocol_in_force, protocols


def protocol_for(connection: sqlite3.Connection, name: str) -> tuple[dict, bool]:
    """Give the protocol of a digest, shipped or of a post, and whether it is known here.

    What is not known here is judged by the newest release, and must be said to be.
    """
    shipped = protocols().get(name)
    if shipped:
        return shipped, True
    row = connection.execute(
        "select base, changes from post_limits where digest = ? limit 1", (name,)
    ).fetchone()
    base, changes = (row["base"], row["changes"]) if row else _said(connection, name)
    try:
        return _tightened(base, changes), True
    except ChecklistError:
        return protocol_in_force()[1], False


def named(base: str, changes: str) -> str:
    """Name the protocol that changes make of a base; without any it is the base itself."""
    return digest(digest_text(base, changes).encode()) if changes else base


def _said(connection: sqlite3.Connection, name: str) -> tuple[str, str]:
    """Look among all that was set anywhere; the digest itself proves which set it names."""
    rows = connection.execute(
        "select line from event indexed by event_said"
        " where case_id = '' and json_extract(line, '$.kind') = 'limits_set'"
    )
    for row in rows:
        facts = parse(row["line"])["facts"]
        base, changes = facts.get("base"), facts.get("changes", "")
        if isinstance(base, str) and isinstance(changes, str) and named(base, changes) == name:
            return base, changes
    return "", ""


@lru_cache(maxsize=4096)
def _tightened(base: str, changes: str) -> dict:
    table = protocols().get(base)
    if table is None:
        raise ChecklistError("protocol_unknown", protocol=base)
    return tighten(table, changes)

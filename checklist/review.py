"""Ask for what a review shows: births to talk over, births in order, sums of months.

Every question reaches into an index and reads no more rows than it gives, or than there
are months and posts. Knows no page.
"""

import sqlite3
from dataclasses import dataclass

from checklist.review_facts import SENTINEL
from checklist.review_rows import SUMS

# Beyond so many the exact number helps nobody.
MOST_COUNTED = 1000
BIRTHS_LOOKED_BACK = 500


@dataclass(frozen=True)
class Scope:
    """Which births are looked at: one post or all, one protocol or all, months 202601 to 202611."""

    first_month: int
    last_month: int
    post: str | None = None
    protocol: str | None = None

    @property
    def _narrow(self) -> tuple[list[str], dict]:
        # With a post given, its index leads and the protocol is looked at row by row.
        wanted, values = [], {}
        if self.post is not None:
            wanted, values = ["post = :post"], {"post": self.post}
        if self.protocol is not None:
            name = "protocol" if self.post is None else "+protocol"
            wanted.append(f"{name} = :protocol")
            values["protocol"] = self.protocol
        return wanted, values


def to_talk(
    connection: sqlite3.Connection,
    scope: Scope,
    *,
    talk: int,
    reviewed: bool,
    before: tuple[int, str] | None = None,
    size: int = 20,
) -> list[dict]:
    """List births with a reason to talk, newest first, whenever they were.

    talk: 1 for a reason, 2 for one that cannot wait; before: (opened_at, case_id) of the
    last one of the page before.
    """
    wanted, values = scope._narrow
    wanted = [*wanted, "reviewed = :reviewed", "talk = :talk"]
    if before:
        wanted.append("(opened_at, case_id) < (:at, :case)")
        values |= {"at": before[0], "case": before[1]}
    rows = connection.execute(
        "select review_case.*, label from review_case left join case_summary using (case_id)"
        f" where case_id in (select case_id from review_case where {' and '.join(wanted)} and talk > 0"
        " order by opened_at desc, case_id desc limit :size)"
        " order by review_case.opened_at desc, case_id desc",
        {**values, "reviewed": int(reviewed), "talk": talk, "size": size},
    )
    return [dict(row) for row in rows]


def count_open(connection: sqlite3.Connection, scope: Scope) -> int:
    """Count the births still to be talked over, up to MOST_COUNTED."""
    wanted, values = scope._narrow
    where = " and ".join([*wanted, "reviewed = 0", f"talk between 1 and {SENTINEL}"])
    return connection.execute(
        f"select count(*) from (select 1 from review_case where {where} and talk > 0 limit :most)",
        {**values, "most": MOST_COUNTED},
    ).fetchone()[0]


def births(
    connection: sqlite3.Connection, scope: Scope, size: int = BIRTHS_LOOKED_BACK
) -> list[dict]:
    """List the last births in which a cup was used, newest first, whenever they were."""
    wanted, values = scope._narrow
    rows = connection.execute(
        f"select * from review_case where {' and '.join([*wanted, 'attempted = 1'])}"
        " order by opened_at desc, case_id desc limit :size",
        {**values, "size": size},
    )
    return [dict(row) for row in rows]


def read(connection: sqlite3.Connection, case_id: str) -> dict | None:
    """Give the row of one real case."""
    row = connection.execute("select * from review_case where case_id = ?", (case_id,)).fetchone()
    return dict(row) if row else None


def months(connection: sqlite3.Connection, scope: Scope) -> list[dict]:
    """Give the sums of each month, oldest first, and under which protocols its births ran."""
    return _sums(connection, scope, "month", *_of_posts(scope))


def posts(connection: sqlite3.Connection, scope: Scope) -> list[dict]:
    """Give the sums of each post over the period, by name."""
    return _sums(connection, scope, "post", "whole = 0", {})


def protocols(connection: sqlite3.Connection, scope: Scope) -> list[dict]:
    """Give the sums of each protocol over the period."""
    return _sums(connection, scope, "protocol", *_of_posts(scope))


def whole(rows: list[dict]) -> dict:
    """Add sums up."""
    return {name: sum(row[name] for row in rows) for name in SUMS}


def devices(
    connection: sqlite3.Connection, *, skip: int = 0, size: int = 50
) -> list[dict]:
    """List the tablets that send, those not heard for longest first.

    post: of its last birth; ends: how many logs of it have split.
    """
    rows = connection.execute(
        "select device_id, name, state, heard_at,"
        " (select post from review_case where review_case.device_id = heard.device_id"
        "  order by opened_at desc limit 1) as post,"
        " (select count(*) from log where log.device_id = heard.device_id and"
        "  (select count(*) from leaf where leaf.log_no = log.log_no) > 1) as forks"
        " from (select device_id, name, state, (select max(received_at) from batch"
        "   where batch.device_id = device.device_id) as heard_at"
        "  from device where kind = 'tablet' and state in ('admitted', 'relayed')"
        "  order by heard_at, device_id limit :size offset :skip) as heard"
        " order by heard_at, device_id",
        {"size": size, "skip": skip},
    )
    return [dict(row) for row in rows]


def _of_posts(scope: Scope) -> tuple[str, dict]:
    if scope.post is None:
        return "whole = 1", {}
    return "whole = 0 and post = :post", {"post": scope.post}


def _sums(
    connection: sqlite3.Connection, scope: Scope, by: str, where: str, values: dict
) -> list[dict]:
    wanted = [where, "month between :first and :last"]
    if scope.protocol is not None:
        wanted.append("protocol = :protocol")
    sums = ", ".join(f"sum({name}) as {name}" for name in SUMS)
    rows = connection.execute(
        f"select {by}, {sums} from review_month where {' and '.join(wanted)}"
        f" group by {by} having sum(cases) > 0 order by {by}",
        {
            **values, "first": scope.first_month, "last": scope.last_month,
            "protocol": scope.protocol,
        },
    )
    return [dict(row) for row in rows]

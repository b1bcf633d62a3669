"""Let births go by a rule: older than so long, and held by the level above.

A run names every line before it takes it out, and keeps each line's hash with the
one before it: the chain still holds, and what is sent again is known again. All of
a birth goes, its rows in the lists too; the sums of its month stay, for they tell
of no single birth. Knows no command and no page.
"""

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from checklist import device, peer, sealing, trail
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.store import SqliteStore
from checklist.sync import genesis, link

DAY_MS = 24 * 60 * 60 * 1000
# A slip of a key must not empty a journal.
LEAST_DAYS = 90
CASES_AT_ONCE = 200
_LISTS = ("case_summary", "review_case", "review_mark")
Told = Callable[[int], None]


@dataclass(frozen=True)
class Plan:
    """What a rule would let go: births, their events, and older births that must stay."""

    cases: list[str]
    events: int
    unheld: int


def plan(connection: sqlite3.Connection, before: int, *, said_alone: bool) -> Plan:
    """Find the births whose last entry was made and received before a moment (wall ms).

    said_alone: the keeper's word that no level above will ever hold them; it counts
    only where there is none. Raises retention_unheld without a level above or that word.
    """
    above = has_level_above(connection)
    if not above and not said_alone:
        raise ChecklistError("retention_unheld")
    old = [case_id for case_id in _old(connection, before) if _received(connection, case_id) < before]
    held = _Held(connection)
    cases = [case_id for case_id in old if not above or held.case(case_id)]
    events = sum(len(_events(connection, case_id)) for case_id in cases)
    return Plan(cases, events, len(old) - len(cases))


def run(
    journal: Journal, before: int, now: int, *,
    said_alone: bool, who: str = "", told: Told = lambda _: None,
) -> Plan:
    """Let go what the rule finds now, some births in each transaction; raises as plan does."""
    found = plan(journal.reader, before, said_alone=said_alone)
    if not found.cases:
        return found
    run_no = journal.write(lambda store: _begin(store, before, said_alone, now))
    cases, events = [], 0
    for start in range(0, len(found.cases), CASES_AT_ONCE):
        part = found.cases[start : start + CASES_AT_ONCE]
        gone, count = journal.write(lambda store, part=part: _let_go(store, run_no, part, before))
        cases, events = cases + gone, events + count
        told(len(part))
    target = f"{len(cases)} {events} {before}"
    journal.write(lambda store: trail.note(store.connection, who, "let_go", target, now))
    return Plan(cases, events, found.unheld + len(found.cases) - len(cases))


def has_level_above(connection: sqlite3.Connection) -> bool:
    """Tell whether this station reports to a hub, by network or by file."""
    return peer.read(connection) is not None or sealing.of_hub(connection) is not None


class _Held:
    """Which events the level above said it holds, log by log."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._reaches: dict[int, int] = {}

    def case(self, case_id: str) -> bool:
        """Tell whether every event of a birth is held above."""
        return all(
            row["seq"] <= self._reach(row["log_no"]) for row in _events(self._connection, case_id)
        )

    def _reach(self, log_no: int) -> int:
        if log_no not in self._reaches:
            self._reaches[log_no] = _reach(self._connection, log_no)
        return self._reaches[log_no]


def _reach(connection: sqlite3.Connection, log_no: int) -> int:
    """Give up to where a log is held above; of a forked log only the whole counts."""
    ends = connection.execute(
        "select leaf.seq, hub_leaf.hash is not null as held from leaf join log using (log_no)"
        " left join hub_leaf on hub_leaf.log = log.log and hub_leaf.hash = leaf.hash"
        "  and hub_leaf.down = 0 where log_no = ?",
        (log_no,),
    ).fetchall()
    if len(ends) > 1:
        return max(row["seq"] for row in ends) if all(row["held"] for row in ends) else 0
    # Both tables are asked, since the end that the hub named may itself be let go.
    return connection.execute(
        "select coalesce(max(hub_leaf.seq), 0) from hub_leaf join log using (log)"
        " where log_no = ? and down = 0 and ("
        "  exists (select 1 from event where event.log_no = log.log_no"
        "   and event.seq = hub_leaf.seq and event.hash = hub_leaf.hash)"
        "  or exists (select 1 from let_go where let_go.log_no = log.log_no"
        "   and let_go.seq = hub_leaf.seq and let_go.hash = hub_leaf.hash))",
        (log_no,),
    ).fetchone()[0]


def _old(connection: sqlite3.Connection, before: int) -> Iterator[str]:
    rows = connection.execute(
        "select case_id from case_summary where last_at < ? union all"
        # What came late for a birth that was let go has no row in the list any more.
        " select distinct case_id from event where case_id in (select case_id from let_go)",
        (before,),
    )
    return (row["case_id"] for row in rows)


def _received(connection: sqlite3.Connection, case_id: str) -> int:
    """Give when the last event of a birth came in; a tablet's clock alone may be years behind."""
    return connection.execute(
        "select max(received_at) from event join batch on batch.log_no = event.log_no"
        " and event.seq between batch.seq and batch.seq + batch.n - 1 where case_id = ?",
        (case_id,),
    ).fetchone()[0]


def _events(connection: sqlite3.Connection, case_id: str) -> list[sqlite3.Row]:
    # What a station or hub said of a birth stands in a log that others still read.
    return connection.execute(
        "select event.*, log.log from event join log using (log_no) join device using (device_id)"
        " where case_id = ? and device.kind = ? and device.state <> ? order by log_no, seq",
        (case_id, device.TABLET, device.STATION),
    ).fetchall()


def _begin(store: SqliteStore, before: int, said_alone: bool, now: int) -> int:
    return store.connection.execute(
        "insert into retention_run (before, said_alone, cases, events, at, open)"
        " values (?, ?, 0, 0, ?, 0)",
        (before, int(said_alone), now),
    ).lastrowid


def _let_go(
    store: SqliteStore, run_no: int, wanted: list[str], before: int
) -> tuple[list[str], int]:
    """Take out what may still go: meanwhile an event may have come in that nobody else holds."""
    connection, held = store.connection, _Held(store.connection)
    above = has_level_above(connection)
    cases = [
        case_id for case_id in wanted
        if _received(connection, case_id) < before and (not above or held.case(case_id))
    ]
    # What is let go must not linger in the free pages of the file.
    connection.execute("pragma secure_delete = on")
    connection.execute("update retention_run set open = 1 where run_no = ?", (run_no,))
    events = 0
    for case_id in cases:
        rows = _events(connection, case_id)
        connection.executemany(
            "insert into let_go (log_no, seq, hash, prev, case_id, run_no) values (?, ?, ?, ?, ?, ?)",
            [
                (row["log_no"], row["seq"], row["hash"], _parent(connection, row), case_id, run_no)
                for row in rows
            ],
        )
        connection.executemany(
            "delete from event where event_no = ?", [(row["event_no"],) for row in rows]
        )
        for table in _LISTS:
            connection.execute(f"delete from {table} where case_id = ?", (case_id,))
        events += len(rows)
    connection.execute(
        "update retention_run set open = 0, cases = cases + ?, events = events + ?"
        " where run_no = ?",
        (len(cases), events, run_no),
    )
    return cases, events


def _parent(connection: sqlite3.Connection, row: sqlite3.Row) -> bytes:
    """Give the hash that an event follows; raises log_torn."""
    if row["seq"] == 1:
        return genesis(row["log"])
    before = connection.execute(
        "select hash from event where log_no = :log and seq = :seq"
        " union select hash from let_go where log_no = :log and seq = :seq",
        {"log": row["log_no"], "seq": row["seq"] - 1},
    )
    for (digest,) in before:
        if link(digest, row["line"]) == row["hash"]:
            return digest
    raise ChecklistError("log_torn", log=row["log"], seq=row["seq"])

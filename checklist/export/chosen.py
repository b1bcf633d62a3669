"""Which cases an export holds, read one at a time however many there are.

The choice is fixed when the reader opens: events that arrive later are left out, so
that several passes over the same cases agree without one long read transaction,
which a slow download would otherwise stretch for as long as it likes.
"""

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from checklist.core.case import fold
from checklist.schema import connect

_LINES = (
    "select line, device_id from event join log using (log_no)"
    " where case_id = ? and event_no <= ? order by event_no"
)
EARLIEST, LATEST = -(2**53), 2**53


@dataclass(frozen=True)
class Filter:
    """Which cases: of one post or of all (None), opened from since to before until (ms)."""

    post: str | None = None
    since: int = EARLIEST
    until: int = LATEST
    case_id: str | None = None

    @classmethod
    def of_days(
        cls, post: str | None, first: date | None, last: date | None, case_id: str | None = None
    ) -> "Filter":
        """Choose by whole days in UTC, first and last included; None leaves a side open."""
        # The calendar ends; a day after its last one is no day.
        until = _ms(last + timedelta(days=1)) if last and last < date.max else LATEST
        return cls(post, _ms(first) if first else EARLIEST, until, case_id)

    def __str__(self) -> str:
        """Say the choice in one line, for the list of who did what."""
        told = {"post": self.post, "case": self.case_id}
        told["from"] = None if self.since == EARLIEST else self.since
        told["to"] = None if self.until == LATEST else self.until
        return " ".join(f"{name}={said}" for name, said in told.items() if said is not None) or "all"


def _ms(day: date) -> int:
    return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()) * 1000


@dataclass(frozen=True)
class Held:
    """One case as held: its id, the device that told it first, its lines as they came,
    the events in them, and the fold of these.
    """

    case_id: str
    device: str
    lines: list[str]
    events: list[dict]
    case: dict


def count(connection: sqlite3.Connection, chosen: Filter) -> int:
    """Count the cases that a choice holds, by their summaries."""
    query = f"select count(*) {_from(chosen)}"
    return connection.execute(query, asdict(chosen)).fetchone()[0]


def _from(chosen: Filter) -> str:
    """Write the choice so that an index answers it: what is not asked for stands nowhere."""
    asked = ["mode = 'real'", "opened_at >= :since", "opened_at < :until"]
    if chosen.post is not None:
        asked.append("post = :post")
    if chosen.case_id is not None:
        asked.append("case_id = :case_id")
    return f"from case_summary where {' and '.join(asked)}"


class Reader:
    """Reads the chosen cases of one journal, as often as wanted; close it afterwards."""

    def __init__(self, path: Path, chosen: Filter) -> None:
        self._connection = connect(path)
        try:
            self._last = self._one("select coalesce(max(event_no), 0) from event")
            self._connection.execute(
                f"create temp table chosen as select case_id {_from(chosen)}"
                " order by opened_at, case_id",
                asdict(chosen),
            )
            self.count: int = self._one("select count(*) from chosen")
        except sqlite3.Error:
            self.close()
            raise

    def cases(self) -> Iterator[Held]:
        """Give every chosen case that is real by its own events, oldest first."""
        for row in self._connection.execute("select case_id from chosen order by rowid"):
            held = self._read(row["case_id"])
            # The summary may lag behind a correction; the events decide.
            if held is not None and held.case["mode"] != "practice":
                yield held

    def close(self) -> None:
        """Let go of the journal."""
        self._connection.close()

    def _read(self, case_id: str) -> Held | None:
        rows = self._connection.execute(_LINES, (case_id, self._last)).fetchall()
        if not rows:
            return None
        lines = [row["line"] for row in rows]
        events = [json.loads(line) for line in lines]
        return Held(case_id, rows[0]["device_id"], lines, events, fold(events))

    def _one(self, query: str) -> int:
        return self._connection.execute(query).fetchone()[0]

"""The journal as one exchange sees it, inside one transaction.

Inserts events and never touches one again. Knows no request and no key.
"""

import json
import sqlite3

from checklist import review_rows, summary
from checklist.sync import Batch, Leaf

_NEW_EVENT = (
    "insert into event (log_no, seq, hash, case_id, line) values (?, ?, ?, ?, ?)"
)


class SqliteStore:
    """Answers and changes that one writing connection makes for an exchange.

    Whoever ends the transaction calls finish before it commits.
    """

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection
        # A relay brings many batches of one birth at once: its rows are made from all of them, once.
        self._touched: summary.Held = {}

    def finish(self) -> None:
        """Write the rows of every case to which something was added."""
        touched, self._touched = self._touched, {}
        summary.refresh(self.connection, touched)

    def owner(self, log: str) -> str | None:
        """Give the device that a log is bound to."""
        row = self._one("select device_id from log where log = ?", log)
        return row["device_id"] if row else None

    def has(self, log: str, seq: int, digest: bytes) -> bool:
        """Tell whether an event is held, or was held and let go."""
        return any(
            self._one(
                f"select 1 from {table} join log using (log_no)"
                " where log = ? and seq = ? and hash = ?",
                log, seq, digest,
            )
            for table in ("event", "let_go")
        )

    def count_known(self, log: str, seq: int, hashes: list[bytes]) -> int:
        """Count how many events at the start of a batch are held already.

        What is held is closed under "previous", so the known ones of a chain
        always come first. What was let go is known too, so it never comes back.
        """
        rows = self.connection.execute(
            "select seq, hash from event join log using (log_no)"
            " where log = :log and seq between :first and :last union all"
            " select seq, hash from let_go join log using (log_no)"
            " where log = :log and seq between :first and :last",
            {"log": log, "first": seq, "last": seq + len(hashes) - 1},
        )
        held = {(row["seq"], row["hash"]) for row in rows}
        return sum((seq + step, digest) in held for step, digest in enumerate(hashes))

    def leaves(self, log: str) -> list[Leaf]:
        """List the ends of a log; more than one is a fork."""
        rows = self.connection.execute(
            "select seq, hash from leaf join log using (log_no) where log = ?"
            " order by seq desc, leaf_no",
            (log,),
        )
        return [(log, row["seq"], row["hash"].hex()) for row in rows]

    def add(self, batch: Batch, known: int, now: int) -> None:
        """Store what follows the known part of a batch, and its signed header."""
        log_no = self._bind(batch.header.log, batch.header.device)
        listed = self._listed(batch.events[known:])
        summary.gather(self.connection, self._touched, listed, batch.header.device)
        self.connection.executemany(
            _NEW_EVENT,
            [
                (log_no, event["seq"], digest, event["case"], line)
                for event, digest, line in zip(
                    batch.events[known:], batch.hashes[known:], batch.lines[known:], strict=True
                )
            ],
        )
        self._move_leaf(log_no, batch, known)
        self._keep_header(log_no, batch, now)
        review_rows.mark(self.connection, listed, batch.header.device)

    def _listed(self, events: list[dict]) -> list[dict]:
        """Leave out what comes late for a case that was let go.

        It is kept, but a row made from the rest would tell of another birth, and
        the sums of its month count it already.
        """
        gone = self.connection.execute(
            "select distinct case_id from let_go where case_id in (select value from json_each(?))",
            (json.dumps(sorted({event["case"] for event in events})),),
        )
        cases = {row["case_id"] for row in gone}
        return [event for event in events if event["case"] not in cases]

    def _bind(self, log: str, device: str) -> int:
        self.connection.execute(
            "insert into log (log, device_id) values (?, ?) on conflict (log) do nothing",
            (log, device),
        )
        return self._one("select log_no from log where log = ?", log)["log_no"]

    def _move_leaf(self, log_no: int, batch: Batch, known: int) -> None:
        # Where the new part hangs on a leaf, that leaf grows; where it hangs
        # inside the chain, the old leaf stays and this is one more.
        grown = batch.hashes[known - 1] if known else bytes.fromhex(batch.header.prev)
        moved = self.connection.execute(
            "update leaf set seq = ?, hash = ? where log_no = ? and hash = ?",
            (batch.events[-1]["seq"], batch.hashes[-1], log_no, grown),
        )
        if moved.rowcount == 0:
            self.connection.execute(
                "insert into leaf (log_no, seq, hash) values (?, ?, ?)",
                (log_no, batch.events[-1]["seq"], batch.hashes[-1]),
            )

    def _keep_header(self, log_no: int, batch: Batch, now: int) -> None:
        header = batch.header
        self.connection.execute(
            "insert into batch (log_no, seq, n, prev, head, device_id, signature, received_at)"
            " values (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                log_no, header.seq, header.n, bytes.fromhex(header.prev),
                bytes.fromhex(header.head), header.device, header.signature, now,
            ),
        )

    def _one(self, query: str, *values: object) -> sqlite3.Row | None:
        return self.connection.execute(query, values).fetchone()

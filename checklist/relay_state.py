"""What this station believes its hub to hold; the hub's next answer corrects it.

Only SQL over the tables of the hub; knows no message.
"""

import json
import sqlite3
from typing import NamedTuple

from checklist.sync import Leaf

RETIRED = "retired"


class Owed(NamedTuple):
    """A log with an end that the hub does not hold."""

    log: str
    device_id: str
    seq: int


def hear(connection: sqlite3.Connection, told: dict) -> None:
    """Keep what the hub says it holds and says; every belief from before goes."""
    connection.execute("delete from hub_leaf")
    rows = [(*_row(leaf), 0) for leaf in told.get("leaves", ())]
    rows += [(*_row(leaf), 1) for leaf in told.get("outboxes", ())]
    connection.executemany(
        "insert or ignore into hub_leaf (log, seq, hash, down) values (?, ?, ?, ?)", rows
    )
    kept = {name: value for name, value in told.items() if name != "time"} | {"leaves": []}
    connection.execute("update peer set told = ?", (json.dumps(kept),))


def lacking(connection: sqlite3.Connection) -> list[Owed]:
    """List the logs with an end that the hub lacks, newest first.

    Logs of devices that the hub has retired are left out: it would refuse them.
    """
    rows = connection.execute(
        "select log.log, device_id, max(leaf.seq) as seq from leaf join log using (log_no)"
        " left join hub_leaf on hub_leaf.log = log.log and hub_leaf.hash = leaf.hash"
        " left join introduced using (device_id)"
        " where hub_leaf.hash is null and coalesce(introduced.answer, '') <> ?"
        " group by log_no order by log_no desc",
        (RETIRED,),
    )
    return [Owed(*row) for row in rows]


def ends_of(connection: sqlite3.Connection, log: str) -> list[Leaf]:
    """List the ends of a log that are held here."""
    rows = connection.execute(
        "select seq, hash from leaf join log using (log_no) where log = ? order by seq desc",
        (log,),
    )
    return [(log, row["seq"], row["hash"].hex()) for row in rows]


def strangers(connection: sqlite3.Connection, device_ids: set[str]) -> list[sqlite3.Row]:
    """List the devices that the hub must hear of: new, renamed, settled otherwise.

    Those that the hub has retired are named each time, since it may think again.
    """
    rows = connection.execute(
        "select device.* from device left join introduced using (device_id)"
        " where introduced.device_id is null or introduced.name <> device.name"
        " or introduced.state <> device.state or introduced.answer = ?",
        (RETIRED,),
    ).fetchall()
    retired = _retired(connection)
    return [row for row in rows if row["device_id"] in device_ids | retired]


def on_reply(connection: sqlite3.Connection, outcomes: list[dict]) -> None:
    """Learn from what the hub made of each batch: what it holds, and whom it does not know."""
    for told in outcomes:
        code = told.get("code")
        if code is None or code == "unknown_prev":
            _believe(connection, told["log"], told["leaves"])
        elif code == "device_unknown":
            connection.execute(
                "delete from introduced where device_id = (select device_id from log where log = ?)",
                (told["log"],),
            )
        elif code == "device_retired":
            connection.execute(
                "update introduced set answer = ?"
                " where device_id = (select device_id from log where log = ?)",
                (RETIRED, told["log"]),
            )


def is_progress(connection: sqlite3.Connection, told: dict) -> bool:
    """Tell whether an outcome, not yet learnt from, changes what would be sent next.

    A hub that again and again misses what comes before, and says of its ends what
    we know already, would get the same batches for ever.
    """
    if told.get("code") != "unknown_prev":
        return told.get("code") in (None, "device_unknown")
    rows = connection.execute(
        "select seq, hash from hub_leaf where log = ? and down = 0", (told["log"],)
    )
    return {(row["seq"], row["hash"]) for row in rows} != {
        _row(leaf)[1:] for leaf in told["leaves"]
    }


def waiting(connection: sqlite3.Connection) -> dict:
    """Tell how many events the hub lacks and since when the oldest waits (wall ms, or None).

    Events of devices that the hub has retired are counted apart.
    """
    rows = connection.execute(
        "select log_no, max(leaf.seq) as seq, coalesce(introduced.answer, '') as answer,"
        " coalesce((select max(h.seq) from hub_leaf h where h.log = log.log), 0) as held"
        " from leaf join log using (log_no)"
        " left join hub_leaf on hub_leaf.log = log.log and hub_leaf.hash = leaf.hash"
        " left join introduced using (device_id)"
        " where hub_leaf.hash is null group by log_no"
    ).fetchall()
    open_rows = [row for row in rows if row["answer"] != RETIRED]
    since = [_arrived(connection, row["log_no"], row["held"]) for row in open_rows]
    return {
        "count": sum(max(row["seq"] - row["held"], 1) for row in open_rows),
        "since": min((at for at in since if at is not None), default=None),
        "kept_back": sum(
            max(row["seq"] - row["held"], 1) for row in rows if row["answer"] == RETIRED
        ),
    }


def held_for(connection: sqlite3.Connection, device_id: str) -> list[Leaf]:
    """List up to where the hub holds the logs of a device, as it last said."""
    rows = connection.execute(
        "select hub_leaf.log, seq, hash from log join hub_leaf using (log)"
        " where device_id = ? and down = 0 order by hub_leaf.log, seq, hash",
        (device_id,),
    )
    return [(row["log"], row["seq"], row["hash"].hex()) for row in rows]


def _believe(connection: sqlite3.Connection, log: str, leaves: list) -> None:
    connection.execute("delete from hub_leaf where log = ? and down = 0", (log,))
    connection.executemany(
        "insert or ignore into hub_leaf (log, seq, hash, down) values (?, ?, ?, 0)",
        [_row(leaf) for leaf in leaves],
    )


def _row(leaf: list) -> tuple[str, int, bytes]:
    log, seq, digest = leaf
    return log, seq, bytes.fromhex(digest)


def _arrived(connection: sqlite3.Connection, log_no: int, held: int) -> int | None:
    return connection.execute(
        "select min(received_at) from batch where log_no = ? and seq + n - 1 > ?", (log_no, held)
    ).fetchone()[0]


def _retired(connection: sqlite3.Connection) -> set[str]:
    rows = connection.execute("select device_id from introduced where answer = ?", (RETIRED,))
    return {row["device_id"] for row in rows}

"""Look through a whole journal for anything that is not as it must be.

Reads only. Because a hash covers everything before it, a chain whose every end
was signed is proven whole.
"""

import sqlite3
from collections.abc import Callable, Iterator

from checklist import keys, packs, trail
from checklist.core.event import parse
from checklist.errors import ChecklistError
from checklist.sync import Header, genesis, link

Told = Callable[[int], None]


def find_damage(reader: sqlite3.Connection, told: Told) -> Iterator[str]:
    """Name everything wrong, one line each; told hears how many events were looked at."""
    yield from _file(reader)
    logs = reader.execute(
        "select log_no, log, device_id, public_key from log left join device using (device_id)"
    ).fetchall()
    for log in logs:
        yield from _log(reader, log, told)
    yield from _summaries(reader)
    yield from trail.find_damage(reader)
    yield from packs.find_damage(reader)


def _file(reader: sqlite3.Connection) -> Iterator[str]:
    for (said,) in reader.execute("pragma quick_check"):
        if said != "ok":
            yield f"file: {said}"
    for row in reader.execute("pragma foreign_key_check"):
        yield f"table {row['table']}: row {row['rowid']} points at a missing {row['parent']}"


def _log(reader: sqlite3.Connection, log: sqlite3.Row, told: Told) -> Iterator[str]:
    start = genesis(log["log"])
    parents, here, place = {start}, set(), 1
    ends: set[tuple[int, bytes]] = set()
    rows = reader.execute(
        "select seq, hash, case_id, line, null as prev from event where log_no = :log union all"
        " select seq, hash, case_id, null, prev from let_go where log_no = :log order by seq",
        {"log": log["log_no"]},
    )
    for row in rows:
        told(1)
        if row["seq"] != place:
            ends |= {(place, digest) for digest in here}
            parents, here = here, set()
            if row["seq"] != place + 1:
                yield f"log {log['log']}: nothing between {place} and {row['seq']}"
            place = row["seq"]
        parent = next((one for one in parents if _follows(row, one)), None)
        if parent is None:
            yield f"log {log['log']}: event {place} does not follow what is before it"
        ends.discard((place - 1, parent))
        here.add(row["hash"])
        if row["line"] is not None:
            yield from _line(log["log"], row)
    ends |= {(place, digest) for digest in here}
    yield from _ends(reader, log, ends)
    yield from _signatures(reader, log)


def _follows(row: sqlite3.Row, parent: bytes) -> bool:
    """Tell whether an event follows another; of one that was let go only the note of it is left."""
    if row["line"] is None:
        return row["prev"] == parent
    return link(parent, row["line"]) == row["hash"]


def _line(log: str, row: sqlite3.Row) -> Iterator[str]:
    try:
        event = parse(row["line"])
    except ChecklistError as error:
        yield f"log {log}: event {row['seq']} cannot be read: {error}"
        return
    if (event["log"], event["seq"], event["case"]) != (log, row["seq"], row["case_id"]):
        yield f"log {log}: event {row['seq']} is filed at a wrong place"


def _ends(
    reader: sqlite3.Connection, log: sqlite3.Row, ends: set[tuple[int, bytes]]
) -> Iterator[str]:
    said = reader.execute("select seq, hash from leaf where log_no = ?", (log["log_no"],))
    if {(row["seq"], row["hash"]) for row in said} != ends:
        yield f"log {log['log']}: the list of its ends is wrong"
    for seq, digest in ends:
        signed = reader.execute(
            "select 1 from batch where log_no = ? and head = ? and seq + n - 1 = ?",
            (log["log_no"], digest, seq),
        ).fetchone()
        if signed is None:
            yield f"log {log['log']}: the end at {seq} was signed by nobody"


def _signatures(reader: sqlite3.Connection, log: sqlite3.Row) -> Iterator[str]:
    rows = reader.execute("select * from batch where log_no = ?", (log["log_no"],))
    for row in rows:
        header = Header(
            log["log"], row["seq"], row["n"], row["prev"].hex(), row["head"].hex(),
            row["device_id"], row["signature"],
        )
        owned = row["device_id"] == log["device_id"] and log["public_key"]
        if not owned or not keys.is_signed(log["public_key"], header.message, header.signature):
            yield f"log {log['log']}: the batch at {row['seq']} has a wrong signature"


def _summaries(reader: sqlite3.Connection) -> Iterator[str]:
    odd = reader.execute(
        "select case_id from event where case_id <> ''"
        " except select case_id from case_summary except select case_id from let_go"
    )
    for row in odd:
        yield f"case {row['case_id']}: missing from the list of cases"
    odd = reader.execute(
        "select case_id from case_summary except select case_id from event"
    )
    for row in odd:
        yield f"case {row['case_id']}: in the list of cases without any event"

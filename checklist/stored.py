"""Read batches as they were stored: the header that was signed and its lines, byte for byte.

Whoever relays hands on what the device signed, so the reader at the far end trusts
the device and nobody between. Knows no request and no key.
"""

import sqlite3
from collections.abc import Iterable, Iterator

from checklist.errors import ChecklistError
from checklist.sync import Header, Leaf, link, read_header

Signed = tuple[Header, list[str]]
# The line is None where it was let go; its hash is still known.
Place = tuple[int, bytes, str | None]


def write(signed: Iterable[Signed]) -> bytes:
    """Write batches one after the other, as they travel before compression."""
    return "".join(
        f"{line}\n" for header, lines in signed for line in [header.line(), *lines]
    ).encode()


def part(body: bytes) -> list[Signed]:
    """Part what write made; raises batch_malformed."""
    try:
        text = body.decode()
    except UnicodeDecodeError:
        raise ChecklistError("batch_malformed", why="not UTF-8") from None
    if not text.endswith("\n"):
        raise ChecklistError("batch_malformed", why="cut off")
    rows, found, at = text[:-1].split("\n"), [], 0
    while at < len(rows):
        header = read_header(rows[at])
        lines = rows[at + 1 : at + 1 + header.n]
        if len(lines) != header.n:
            raise ChecklistError("batch_malformed", why="number of lines")
        found.append((header, lines))
        at += 1 + header.n
    return found


def read(connection: sqlite3.Connection, row: sqlite3.Row) -> Signed | None:
    """Read the lines of one row of the table of batches, joined with its log.

    None when a line of it was let go: it cannot be handed on any more.
    """
    header = Header(
        row["log"], row["seq"], row["n"], row["prev"].hex(), row["head"].hex(),
        row["device_id"], row["signature"],
    )
    places = walk_back(connection, row["log_no"], row["seq"] + row["n"] - 1, row["head"], row["seq"])
    lines = [line for _, _, line in places]
    return None if None in lines else (header, lines)


def after(
    connection: sqlite3.Connection, log: str, seq: int, *, skip: int = 0
) -> Iterator[tuple[int, Signed]]:
    """Give (number, batch) of every stored batch of a log that reaches past seq.

    In the order in which they were admitted, so what a batch hangs on always comes
    before it; skip is the number of the last one that is not wanted.
    """
    rows = connection.execute(
        "select batch.*, log from batch join log using (log_no)"
        " where log = ? and batch_no > ? and batch.seq + n - 1 > ? order by batch_no",
        (log, skip, seq),
    ).fetchall()
    for row in rows:
        if signed := read(connection, row):
            yield row["batch_no"], signed


def walk_back(
    connection: sqlite3.Connection, log_no: int, seq: int, digest: bytes, down_to: int
) -> list[Place]:
    """Give the events from down_to up to one event, along its own branch.

    Raises log_torn when what is held does not reach that far.
    """
    rows = connection.execute(
        "select seq, hash, line, null as prev from event"
        " where log_no = :log and seq between :low and :high union all"
        " select seq, hash, null, prev from let_go"
        " where log_no = :log and seq between :low and :high order by seq desc",
        {"log": log_no, "low": down_to, "high": seq},
    )
    found: list[Place] = []
    prev = b""
    # The next one down is the one whose hash goes on to the last line found.
    for row in rows:
        place = (row["seq"], row["hash"], row["line"])
        if not found:
            fits = row["seq"] == seq and row["hash"] == digest
        else:
            above = found[-1]
            follows = prev == row["hash"] if above[2] is None else link(row["hash"], above[2]) == above[1]
            fits = row["seq"] == above[0] - 1 and follows
        if fits:
            found.append(place)
            prev = row["prev"]
    if len(found) != seq - down_to + 1:
        raise ChecklistError("log_torn", log_no=log_no, seq=seq)
    return found[::-1]


def leads_to(
    connection: sqlite3.Connection, log_no: int, older: tuple[int, bytes], newer: tuple[int, bytes]
) -> bool:
    """Tell whether one held event comes before another on the same branch, or is it."""
    if older[0] > newer[0]:
        return False
    return walk_back(connection, log_no, *newer, older[0])[0][1] == older[1]


def leaves_of_device(connection: sqlite3.Connection, device_id: str) -> list[Leaf]:
    """List the ends of every log that a device owns, in a fixed order."""
    rows = connection.execute(
        "select log, seq, hash from leaf join log using (log_no)"
        " where device_id = ? order by log, seq, hash",
        (device_id,),
    )
    return [(row["log"], row["seq"], row["hash"].hex()) for row in rows]


def end(connection: sqlite3.Connection, log: str) -> Leaf | None:
    """Give the end of a log that reaches furthest, or None while it is empty."""
    row = connection.execute(
        "select seq, hash from leaf join log using (log_no) where log = ?"
        " order by seq desc, leaf_no limit 1",
        (log,),
    ).fetchone()
    return (log, row["seq"], row["hash"].hex()) if row else None


def proof(connection: sqlite3.Connection, leaf: Leaf) -> Header | None:
    """Give the signed header that ends at a leaf: with the chain it proves all before it."""
    log, seq, digest = leaf
    row = connection.execute(
        "select batch.*, log from batch join log using (log_no)"
        " where log = ? and head = ? and batch.seq + n - 1 = ? limit 1",
        (log, bytes.fromhex(digest), seq),
    ).fetchone()
    if row is None:
        return None
    return Header(
        log, row["seq"], row["n"], row["prev"].hex(), digest, row["device_id"], row["signature"]
    )

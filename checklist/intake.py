"""Take one batch as it arrives, from a request or a file, to a durable reply.

Knows sizes, compression and who may send; knows no Flask.
"""

import zlib

from checklist import device, relayed
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.stored import part
from checklist.sync import Reply, prove, receive, split

LARGEST_PACKED = 64 * 1024
LARGEST_BATCH = 256 * 1024
# 16 more than the window asks zlib for a gzip head and its check sum.
_GZIP = 16 + zlib.MAX_WBITS


def take(
    journal: Journal, body: bytes, encoding: str, now: int, log: str | None = None
) -> Reply:
    """Admit a batch; when this returns it is durable.

    body: as sent; encoding: "gzip" or ""; now: wall ms; log: the log that the
    address names, if any. Raises what sync and device raise, batch_too_big,
    encoding_unknown, and journal errors with nothing half written.
    """
    header, lines = split(unpack(body, encoding))
    if log not in (None, header.log):
        raise ChecklistError("batch_malformed", why="log is not that of the address")
    sender = device.sending(journal.reader, header.device)
    batch = prove(header, lines, sender["public_key"])
    return journal.write(lambda store: receive(store, batch, now))


def take_relayed(
    journal: Journal, station_id: str, body: bytes, encoding: str, now: int
) -> list[dict]:
    """Admit the batches that a station brings in one body; gives an outcome for each.

    The bounds are those of one batch. Raises as take does when the body as a
    whole, or the station, is refused.
    """
    relayed.relaying(journal.reader, station_id)
    return relayed.take(journal, station_id, part(unpack(body, encoding)), now)


def unpack(body: bytes, encoding: str) -> bytes:
    """Undo the compression of a batch, never past the size that is allowed."""
    if encoding in ("", "identity"):
        return _within(body, LARGEST_BATCH)
    if encoding != "gzip":
        raise ChecklistError("encoding_unknown", encoding=encoding[:40])
    unpacker = zlib.decompressobj(_GZIP)
    try:
        text = unpacker.decompress(_within(body, LARGEST_PACKED), LARGEST_BATCH + 1)
    except zlib.error:
        raise ChecklistError("batch_malformed", why="not gzip") from None
    _within(text, LARGEST_BATCH)
    if not unpacker.eof or unpacker.unused_data:
        raise ChecklistError("batch_malformed", why="gzip cut off or overlong")
    return text


def _within(data: bytes, most: int) -> bytes:
    if len(data) > most:
        raise ChecklistError("batch_too_big", max=most)
    return data

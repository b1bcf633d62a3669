"""Cut a log into signed batches, as a device does, for whoever sends from Python.

The station's own settings and invented cases enter the journal this way, through
the same door as everything else. Knows no file and no clock.
"""

from collections.abc import Iterator
from dataclasses import replace

from checklist import keys
from checklist.sync import Header, chain, genesis

MOST_EVENTS = 500


def sign(private_key: str, log: str, seq: int, prev: bytes, lines: list[str]) -> Header:
    """Sign for lines that begin at seq and follow the event with hash prev."""
    head = chain(prev, lines)[-1]
    device_id = keys.device_id(keys.public_key_of(private_key))
    header = Header(log, seq, len(lines), prev.hex(), head.hex(), device_id, "")
    return replace(header, signature=keys.sign(private_key, header.message))


def cut(private_key: str, log: str, lines: list[str]) -> Iterator[bytes]:
    """Write a whole log, from its first event, as batches ready for intake."""
    prev = genesis(log)
    for start in range(0, len(lines), MOST_EVENTS):
        part = lines[start : start + MOST_EVENTS]
        header = sign(private_key, log, start + 1, prev, part)
        yield "".join(f"{line}\n" for line in [header.line(), *part]).encode()
        prev = bytes.fromhex(header.head)

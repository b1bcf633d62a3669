"""One exchange: prove that a batch is what its device signed, then admit it.

Knows no request, file or database: bytes and a store come in, a reply goes out.
A log is a chain of hashes; two hashes at one place are a fork, and both stay.
"""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from checklist.core.event import parse
from checklist.core.kinds import is_whole
from checklist.errors import ChecklistError
from checklist.keys import is_signed

VERSION = 1
ALGORITHM = "ES256"
ID_LETTERS = 32
HASH_LETTERS = 64

Leaf = tuple[str, int, str]


@dataclass(frozen=True)
class Header:
    """The first line of a batch: which n events of a log, between which hashes."""

    log: str
    seq: int
    n: int
    prev: str
    head: str
    device: str
    signature: str

    @property
    def message(self) -> str:
        """Give the text that the device signed."""
        return f"batch/1\n{self.log}\n{self.seq}\n{self.n}\n{self.prev}\n{self.head}"

    def line(self) -> str:
        """Write the header as the first line of a batch."""
        return json.dumps(
            {
                "batch": VERSION, "log": self.log, "seq": self.seq, "n": self.n,
                "prev": self.prev, "head": self.head, "device": self.device,
                "alg": ALGORITHM, "signature": self.signature,
            },
            separators=(",", ":"),
        )


@dataclass(frozen=True)
class Batch:
    """A proven batch: every line with its hash and what it says."""

    header: Header
    lines: list[str]
    hashes: list[bytes]
    events: list[dict]


@dataclass(frozen=True)
class Reply:
    """What is held after a batch: the ends of its log and what was new."""

    leaves: list[Leaf]
    stored: int
    forked: bool
    time: int


class Store(Protocol):
    """What an exchange asks of a journal, inside one transaction."""

    def owner(self, log: str) -> str | None: ...
    def has(self, log: str, seq: int, digest: bytes) -> bool: ...
    def count_known(self, log: str, seq: int, hashes: list[bytes]) -> int: ...
    def leaves(self, log: str) -> list[Leaf]: ...
    def add(self, batch: Batch, known: int, now: int) -> None: ...


def genesis(log: str) -> bytes:
    """Give the hash before the first event of a log."""
    return hashlib.sha256(f"log/1\n{log}".encode()).digest()


def link(prev: bytes, line: str) -> bytes:
    """Give the hash of a line that follows the event with hash prev."""
    return hashlib.sha256(prev + line.encode()).digest()


def chain(prev: bytes, lines: Iterable[str]) -> list[bytes]:
    """Give the hash after each line."""
    hashes = []
    for line in lines:
        prev = link(prev, line)
        hashes.append(prev)
    return hashes


def split(body: bytes) -> tuple[Header, list[str]]:
    """Part an uncompressed batch into header and lines; raises batch_malformed."""
    try:
        text = body.decode()
    except UnicodeDecodeError:
        raise _malformed("not UTF-8") from None
    if not text.endswith("\n"):
        raise _malformed("cut off")
    # Only "\n" parts lines: the letters of a note may hold other separators.
    first, *lines = text[:-1].split("\n")
    header = read_header(first)
    if len(lines) != header.n:
        raise _malformed("number of lines")
    return header, lines


def read_header(line: str) -> Header:
    """Read the first line of a batch; raises batch_malformed."""
    try:
        said = json.loads(line)
    except (ValueError, RecursionError):
        raise _malformed("header is not JSON") from None
    if not isinstance(said, dict):
        raise _malformed("header is not an object")
    for name, fits in _HEADER.items():
        if not fits(said.get(name)):
            raise _malformed(name)
    return Header(**{name: said[name] for name in Header.__dataclass_fields__})


def prove(header: Header, lines: list[str], public_key: str) -> Batch:
    """Check signature, chain and lines of a batch, cheapest refusal first.

    Raises signature_wrong, chain_mismatch, head_mismatch or event_malformed.
    """
    if not is_signed(public_key, header.message, header.signature):
        raise ChecklistError("signature_wrong", log=header.log)
    hashes = chain(bytes.fromhex(header.prev), lines)
    if hashes[-1].hex() != header.head:
        raise ChecklistError("head_mismatch", log=header.log, head=hashes[-1].hex())
    events = [parse(line) for line in lines]
    for place, event in enumerate(events, start=header.seq):
        if event["log"] != header.log or event["seq"] != place:
            raise ChecklistError("chain_mismatch", log=header.log, seq=place)
    return Batch(header, lines, hashes, events)


def receive(store: Store, batch: Batch, now: int) -> Reply:
    """Admit a proven batch; sending it again changes nothing.

    Raises log_foreign when another device owns the log, and unknown_prev with
    the leaves held when nothing stored comes right before the batch.
    """
    header = batch.header
    if store.owner(header.log) not in (None, header.device):
        raise ChecklistError("log_foreign", log=header.log)
    if not _is_anchored(store, header):
        raise ChecklistError("unknown_prev", log=header.log, leaves=store.leaves(header.log))
    known = store.count_known(header.log, header.seq, batch.hashes)
    if known < header.n:
        store.add(batch, known, now)
    leaves = store.leaves(header.log)
    return Reply(leaves, header.n - known, len(leaves) > 1, now)


def _is_anchored(store: Store, header: Header) -> bool:
    prev = bytes.fromhex(header.prev)
    if header.seq == 1:
        return prev == genesis(header.log)
    return store.has(header.log, header.seq - 1, prev)


def _malformed(why: str) -> ChecklistError:
    return ChecklistError("batch_malformed", why=why)


def _is_hex(letters: int):
    digits = frozenset("0123456789abcdef")
    return lambda said: isinstance(said, str) and len(said) == letters and digits.issuperset(said)


_HEADER = {
    "batch": lambda said: is_whole(said) and said == VERSION,
    "log": _is_hex(ID_LETTERS),
    "seq": lambda said: is_whole(said) and said >= 1,
    "n": lambda said: is_whole(said) and said >= 1,
    "prev": _is_hex(HASH_LETTERS),
    "head": _is_hex(HASH_LETTERS),
    "device": _is_hex(ID_LETTERS),
    "alg": lambda said: said == ALGORITHM,
    "signature": lambda said: isinstance(said, str),
}

"""The file that travels on a memory stick: one line in the clear, then sealed pieces.

The line names the format, the hub and the file itself. Every piece is sealed to the
hub with the line, its number and whether it is the last as info, so that a piece that
was moved, left out, or taken from another file does not open. Knows no journal.
"""

import gzip
import io
import os
import secrets
import zlib
from collections.abc import Iterable, Iterator
from typing import BinaryIO, NamedTuple

from checklist import hpke
from checklist.errors import ChecklistError

NAME = "checklist-stick"
VERSION = 1
ENDING = ".stick"
# What one piece may hold, sealed or opened: a tablet must hold it in memory.
LARGEST_PIECE = 8 * 1024 * 1024
# Opened and before compression; small enough that a bar moves.
AIM_BYTES = 2 * 1024 * 1024
LONGEST_LINE = 120
_MORE, _LAST = b"\x00", b"\x01"
_SIZE_BYTES = 4
_GZIP = 16 + zlib.MAX_WBITS


class Label(NamedTuple):
    """The line in the clear: whom the file is sealed to, and which file it is."""

    hub_id: str
    file_id: str

    @property
    def line(self) -> bytes:
        """Write the line as it stands in the file."""
        return f"{NAME} {VERSION} {self.hub_id} {self.file_id}\n".encode()


def new_label(hub_id: str) -> Label:
    """Name a new file for a hub."""
    return Label(hub_id, secrets.token_hex(16))


def write(out: BinaryIO, label: Label, seal: str, pieces: Iterable[bytes]) -> int:
    """Write pieces sealed to a key; gives how many bytes the file has."""
    size = out.write(label.line)
    held: bytes | None = None
    number = 0
    for piece in pieces:
        if held is not None:
            size += _write_piece(out, label, seal, number, held, _MORE)
            number += 1
        held = piece
    return size + _write_piece(out, label, seal, number, held or b"", _LAST)


def read_label(source: BinaryIO) -> Label:
    """Read the first line; raises stick_malformed or stick_newer."""
    line = source.readline(LONGEST_LINE)
    words = line.decode("ascii", "replace").removesuffix("\n").split(" ")
    if not line.endswith(b"\n") or words[0] != NAME or len(words) < 2 or not words[1].isdigit():
        raise ChecklistError("stick_malformed", why="not made by this program")
    if int(words[1]) > VERSION:
        raise ChecklistError("stick_newer", version=words[1][:6])
    if len(words) != 4 or int(words[1]) != VERSION or not all(map(_is_id, words[2:])):
        raise ChecklistError("stick_malformed", why="first line")
    return Label(words[2], words[3])


def read(source: BinaryIO, label: Label, private_key: str) -> Iterator[bytes]:
    """Open the pieces that follow the label, one after the other; raises stick_damaged.

    What is given before the end was reached is not yet known to be whole.
    """
    number = 0
    while True:
        flag, sealed = _read_piece(source)
        plain = hpke.unseal(private_key, sealed, info(label, number, flag))
        yield _unpack(plain)
        if flag == _LAST:
            break
        number += 1
    if source.read(1):
        raise ChecklistError("stick_damaged", why="something follows the end")


def info(label: Label, number: int, flag: bytes) -> bytes:
    """Give what a piece is bound to."""
    return label.line + number.to_bytes(_SIZE_BYTES) + flag


def size_of(source: BinaryIO) -> int:
    """Give how many bytes a file has, leaving it at its beginning."""
    size = source.seek(0, os.SEEK_END)
    source.seek(0, io.SEEK_SET)
    return size


def _write_piece(
    out: BinaryIO, label: Label, seal: str, number: int, piece: bytes, flag: bytes
) -> int:
    packed = gzip.compress(piece, compresslevel=9, mtime=0)
    sealed = hpke.seal(seal, packed, info(label, number, flag))
    return out.write(flag) + out.write(len(sealed).to_bytes(_SIZE_BYTES)) + out.write(sealed)


def _read_piece(source: BinaryIO) -> tuple[bytes, bytes]:
    head = source.read(1 + _SIZE_BYTES)
    if len(head) < 1 + _SIZE_BYTES or head[:1] not in (_MORE, _LAST):
        raise ChecklistError("stick_damaged", why="cut off or altered")
    size = int.from_bytes(head[1:])
    if not hpke.OVERHEAD_BYTES <= size <= LARGEST_PIECE:
        raise ChecklistError("stick_damaged", why="size of a piece")
    sealed = source.read(size)
    if len(sealed) < size:
        raise ChecklistError("stick_damaged", why="cut off")
    return head[:1], sealed


def _unpack(packed: bytes) -> bytes:
    """Undo the compression, never past the size that a piece may have."""
    unpacker = zlib.decompressobj(_GZIP)
    try:
        plain = unpacker.decompress(packed, LARGEST_PIECE + 1)
    except zlib.error:
        raise ChecklistError("stick_damaged", why="not gzip") from None
    if len(plain) > LARGEST_PIECE:
        raise ChecklistError("batch_too_big", max=LARGEST_PIECE)
    if not unpacker.eof or unpacker.unused_data:
        raise ChecklistError("stick_damaged", why="gzip cut off or overlong")
    return plain


def _is_id(word: str) -> bool:
    return len(word) == 32 and frozenset("0123456789abcdef").issuperset(word)

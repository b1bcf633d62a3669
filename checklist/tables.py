"""Find the files that both halves share, and read the tables in them.

In a checkout ``static/`` and ``translations/`` stand beside the package; in an
installed wheel they lie inside it. The bytes read here are the bytes the tablet
keeps, so one digest names a protocol in both places.
"""

import hashlib
import json
from functools import cache
from pathlib import Path

from checklist.core.kinds import use_kinds
from checklist.core.protocol import read_protocol

_PACKAGE = Path(__file__).resolve().parent


def _beside(name: str) -> Path:
    packed = _PACKAGE / f"_{name}"
    return packed if packed.is_dir() else _PACKAGE.parent / name


STATIC = _beside("static")
TRANSLATIONS = _beside("translations")


@cache
def kinds() -> dict[str, dict]:
    """Read the table of kinds and hand it to the core."""
    table = json.loads((STATIC / "core" / "kinds.json").read_text(encoding="utf-8"))
    use_kinds(table)
    return table


def digest(text: bytes) -> str:
    """Name a protocol by its bytes: the first 16 hexadecimal digits of SHA-256."""
    return hashlib.sha256(text).hexdigest()[:16]


@cache
def protocols() -> dict[str, dict]:
    """Read every released protocol: {digest: table}; raises protocol_malformed."""
    found = {}
    for path in sorted((STATIC / "protocols").glob("*.json")):
        text = path.read_bytes()
        found[digest(text)] = read_protocol(text.decode("utf-8"))
    return found


def protocol_in_force() -> tuple[str, dict]:
    """Give the digest and the table of the newest release."""
    return max(protocols().items(), key=lambda row: (row[1]["released"], row[1]["id"]))


kinds()

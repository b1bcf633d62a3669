"""The recorded sentences of a language: which there are to be, and which may be heard.

A clip is one whole sentence with its value spoken. It is bound to the English, the
translation and the values; when any of them changes it falls silent, and the text stays.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.ledger import Ledger
from checklist.translation.source import Entry, src_hash, tgt_hash, values_hash

FOLDER = "voice"
TYPE = "audio/webm"
SPOKEN = "spoken."
MOST_BYTES = 512 * 1024
# Every WebM file begins with the mark of its container.
_WEBM = b"\x1a\x45\xdf\xa3"


@dataclass(frozen=True)
class Clip:
    """One sentence to be heard: its key, its values, and how far its recording is.

    state: "silent", "recorded" or "heard"; digest: SHA-256 of the newest recording, or "".
    """

    key: str
    id: str
    values: Mapping[str, object]
    state: str
    digest: str
    by: str = ""


def clip_key(name: str, values: Mapping[str, object]) -> str:
    """Name a clip: the id, and the values if it has any: "spoken.pull|n=1"."""
    told = "".join(f"|{field}={values[field]}" for field in sorted(values))
    return name + told


def clip_keys(entry: Entry) -> dict[str, dict]:
    """Give what is to be recorded of a sentence: {key: values}."""
    return {clip_key(entry.id, values): dict(values) for values in entry.values or ({},)}


def is_spoken(entry: Entry) -> bool:
    """Tell whether a sentence is one that is heard."""
    return entry.id.startswith(SPOKEN)


def clip_path(folder: Path, digest: str) -> Path:
    """Give the place of a clip in the folder of a language."""
    return folder / FOLDER / f"{digest}.webm"


def read_clip(data: bytes) -> str:
    """Check the bytes of a recording and name them; raises clip_malformed."""
    if not data.startswith(_WEBM):
        raise ChecklistError("clip_malformed", why="no WebM")
    if len(data) > MOST_BYTES:
        raise ChecklistError("clip_malformed", why="too long", bytes=len(data))
    return hashlib.sha256(data).hexdigest()


def clips(entry: Entry, forms: Sequence[str], ledger: Ledger) -> list[Clip]:
    """Give every clip of a sentence with its state, for exactly this text and these values."""
    rows = ledger.of(entry, forms)
    found = []
    for key, values in clip_keys(entry).items():
        state, digest, by, named = "silent", "", "", values_hash(values)
        for row in rows:
            if row["act"] == "withdrawn" and row.get("values") in (None, named):
                state, digest, by = "silent", "", ""
            elif row.get("values") == named and row["act"] == "recorded":
                state, digest, by = "recorded", row["clip"], row["by"]
            elif row.get("values") == named and row["act"] == "heard" and row.get("clip") == digest:
                state = "heard"
        found.append(Clip(key, entry.id, values, state, digest, by))
    return found


def bound(entry: Entry, forms: Sequence[str], clip: Clip) -> dict:
    """Give what a pack says of a clip: its bytes, and what it is bound to."""
    return {
        "clip": clip.digest, "type": TYPE, "values": values_hash(dict(clip.values)),
        "src": src_hash(entry), "tgt": tgt_hash(forms),
    }

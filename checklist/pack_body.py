"""The bytes of a pack of words: read them, refuse what is none, write them without some lines.

The name of a pack is the digest of its bytes. Knows no journal and no network.
"""

import hashlib
import json
import re

from checklist.errors import ChecklistError
from checklist.language import SOURCE

VERSION = 1
# Bytes. Every sentence in a script of three bytes a letter is under half a megabyte.
LARGEST_PACK = 2 * 1024 * 1024
LARGEST_CLIP = 512 * 1024
MOST_CLIPS = 2000
# It stands in addresses, and in the facts of a case.
TAG = re.compile(r"(?=.{2,16}\Z)[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
# Which form goes with 0 to 199, or nothing where there are no forms.
PLURAL = re.compile(r"([0-9]{200})?")
DIGEST = re.compile(r"[0-9a-f]{64}")


def digest(body: bytes) -> str:
    """Name some bytes by their SHA-256."""
    return hashlib.sha256(body).hexdigest()


def read(body: bytes) -> dict:
    """Read a pack; raises pack_malformed with why. The source language has no pack."""
    if len(body) > LARGEST_PACK:
        raise _malformed("too big")
    try:
        pack = json.loads(body)
    except (ValueError, RecursionError):
        raise _malformed("not JSON") from None
    if not isinstance(pack, dict):
        raise _malformed("not an object")
    for name, fits in _SHAPE.items():
        if not fits(pack.get(name)):
            raise _malformed(name)
    return pack


def clips_of(pack: dict) -> list[str]:
    """List the digests of the clips that a pack names, each once."""
    return sorted({clip["clip"] for clip in pack["voice"].values()})


def write(pack: dict) -> bytes:
    """Write a pack, always the same way: keys in order, no spaces."""
    return json.dumps(pack, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def without(pack: dict, ids: set[str], by: str, now: int) -> dict:
    """Give the pack that lacks some lines: their words and their clips are gone, their ids stay told."""
    gone = ids & set(pack["m"])
    return pack | {
        "m": {name: text for name, text in pack["m"].items() if name not in gone},
        "src": {name: source for name, source in pack["src"].items() if name not in gone},
        "voice": {key: clip for key, clip in pack["voice"].items() if key.split("|")[0] not in gone},
        "withdrawn": sorted(gone | set(pack["withdrawn"])),
        "by": by,
        "at": now,
    }


def _malformed(why: str) -> ChecklistError:
    return ChecklistError("pack_malformed", why=why)


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _are_texts(value: object) -> bool:
    return isinstance(value, dict) and all(map(_is_text, value.values()))


def _are_words(value: object) -> bool:
    return isinstance(value, dict) and all(
        _is_text(text) or (isinstance(text, list) and text and all(map(_is_text, text)))
        for text in value.values()
    )


def _are_clips(value: object) -> bool:
    return isinstance(value, dict) and len(value) <= MOST_CLIPS and all(
        isinstance(clip, dict) and clip.get("type") == "audio/webm"
        and _is_text(clip.get("clip")) and DIGEST.fullmatch(clip["clip"])
        for clip in value.values()
    )


_SHAPE = {
    "pack": lambda value: type(value) is int and value == VERSION,
    "tag": lambda value: _is_text(value) and TAG.fullmatch(value) and value != SOURCE,
    "name": lambda value: _is_text(value) and value.strip() != "",
    "english": _is_text,
    "script": _is_text,
    "sample": _is_text,
    "digits": _is_text,
    "fallback": lambda value: isinstance(value, list) and all(map(_is_text, value)),
    "plural": lambda value: _is_text(value) and PLURAL.fullmatch(value),
    "dir": lambda value: value in ("ltr", "rtl"),
    "decimal": lambda value: value in (".", ","),
    "order": lambda value: value in ("nu", "un"),
    "units": _are_texts,
    "m": _are_words,
    "src": _are_texts,
    "voice": _are_clips,
    "withdrawn": lambda value: isinstance(value, list) and all(map(_is_text, value)),
}

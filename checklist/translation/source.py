"""Read the English sentences, and name each text by a hash of what it says.

Approval is bound to these hashes: a letter that changes on either side makes another
text, and nothing that was said of the old one holds for it.
"""

import hashlib
import json
import tomllib
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from checklist.errors import ChecklistError

SOURCE = "en"
DIGITS = 20
# A page asks for the same hashes several times over: those of some ten languages are remembered.
KEPT = 1 << 15
# Pages and stations read the same word files again and again; more than twice as many as there are.
FILES = 128


@dataclass(frozen=True)
class Entry:
    """One English sentence as a translator gets it.

    file: the word file it stands in; plural: the form for several, or None; values: the rows
    of values with which it is spoken.
    """

    id: str
    file: str
    text: str
    plural: str | None
    note: str
    max: int
    safety: bool
    values: tuple[dict, ...] = ()


def read_source(folder: Path) -> dict[str, Entry]:
    """Read translations/en: {id: Entry}, in the order of the files; raises words_missing."""
    found: dict[str, Entry] = {}
    for path in sorted((folder / "words").glob("*.toml")):
        try:
            rows = _rows(path.stem, path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
            raise ChecklistError("words_missing", file=path.name, why=str(error)) from None
        for row in rows:
            if row.id in found:
                raise ChecklistError("words_missing", id=row.id, why="told twice")
            found[row.id] = row
    return found


def src_hash(entry: Entry) -> str:
    """Name the English of a sentence."""
    return src_hash_of(entry.id, entry.text, entry.plural)


@lru_cache(maxsize=KEPT)
def src_hash_of(name: str, text: str, plural: str | None) -> str:
    """Name the English of an id, as it stands now or stood once."""
    return _hash(["src", name, text, plural])


def tgt_hash(forms: Iterable[str]) -> str:
    """Name a translation by all its forms; that of a missing one is the hash of no forms."""
    return _tgt_hash(tuple(forms))


def tidy(text: str) -> str:
    """Spell a text that a person gave in the one way it is kept: NFC, one kind of line end, no blanks at its ends."""
    return unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n")).strip()


@lru_cache(maxsize=KEPT)
def _tgt_hash(forms: tuple[str, ...]) -> str:
    return _hash(["tgt", list(forms)])


def values_hash(values: dict) -> str:
    """Name the values that are spoken within a sentence."""
    return _hash(["values", values])


@lru_cache(maxsize=FILES)
def _rows(file: str, text: str) -> tuple[Entry, ...]:
    """Read the text of a word file; the same text gives the same entries, read once."""
    return tuple(_entry(name, file, row) for name, row in tomllib.loads(text).items())


def _entry(name: str, file: str, row: dict) -> Entry:
    try:
        return Entry(
            name, file, row["text"], row.get("plural"), row.get("note", ""), row.get("max", 0),
            # Unmarked counts as dangerous: a mark that was forgotten must not make it easier.
            row.get("safety", True), tuple(row.get("values", ())),
        )
    except (KeyError, TypeError) as error:
        raise ChecklistError("words_missing", id=name, file=file, why=f"no {error}") from None


def _hash(told: list) -> str:
    text = json.dumps(_composed(told), ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:DIGITS]


def _composed(value: object) -> object:
    """Bring every text in it to one spelling of its letters (NFC)."""
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, dict):
        return {name: _composed(each) for name, each in value.items()}
    return [_composed(each) for each in value] if isinstance(value, list) else value

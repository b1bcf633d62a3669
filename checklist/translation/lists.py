"""Which word files make one list, and whether a list is whole in a language.

A list opens whole in a language or not at all: half a list in one language and half in
another is read wrongly under stress.
"""

import tomllib
from collections.abc import Container, Mapping
from dataclasses import dataclass
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.source import Entry

FILE = "lists.toml"
# Common practice, no source: a list with more lines in another language than this is half and half.
MOST_WITHDRAWN = 5
ENOUGH = ("checked", "approved")


@dataclass(frozen=True)
class WordList:
    """One list: its pages, and the word files whose ids those pages may draw."""

    id: str
    pages: tuple[str, ...]
    files: tuple[str, ...]

    def ids(self, source: Mapping[str, Entry]) -> list[str]:
        """Give the ids of the list, in the order of the source."""
        return [name for name, entry in source.items() if entry.file in self.files]


@dataclass(frozen=True)
class Readiness:
    """Whether a list is whole in a language, and which ids are still missing."""

    ready: bool
    missing: tuple[str, ...]


def read_lists(folder: Path) -> dict[str, WordList]:
    """Read lists.toml of a translations folder: {id: WordList}; raises language_malformed."""
    try:
        rows = tomllib.loads((folder / FILE).read_text(encoding="utf-8"))["list"]
        return {
            row["id"]: WordList(row["id"], tuple(row.get("pages", ())), tuple(row["files"])) for row in rows
        }
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, KeyError, TypeError) as error:
        raise ChecklistError("language_malformed", file=FILE, why=str(error)) from None


def readiness(lists: Mapping[str, WordList], source: Mapping[str, Entry], out: Container[str]) -> dict[str, Readiness]:
    """Say of each list whether it is ready: {list: Readiness}; out are the ids that no pack takes as they are."""
    found = {}
    for name, one in lists.items():
        missing = tuple(each for each in one.ids(source) if each in out)
        found[name] = Readiness(not missing, missing)
    return found


def is_enough(entry: Entry, state: str) -> bool:
    """Tell whether a sentence may be shown in real use: approved, or checked if nobody can be hurt by it."""
    return state == "approved" or (not entry.safety and state in ENOUGH)

"""The room in which languages are worked on: the shipped folders and the post's own.

A language of one's own replaces the shipped one of its tag; the shipped folder is copied
at the first change and never written to.
"""

import shutil
from collections.abc import Callable
from functools import cached_property
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.catalog import FILE as CATALOG
from checklist.translation.folder import Folder
from checklist.translation.ledger import FILE as LEDGER
from checklist.translation.lists import FILE as LISTS
from checklist.translation.lists import WordList, read_lists
from checklist.translation.lock import locked
from checklist.translation.source import SOURCE, Entry, read_source
from checklist.translation.start import new_table
from checklist.translation.table import FILE as TABLE
from checklist.translation.table import TAG, Language, is_pseudo, read_language, write_language

LOCK = ".lock"
# Where a copy is made; deeper than any look for languages goes.
PART = ".part"
# Name of the folder of own work within a data folder.
OWN = "translations"


class Workshop:
    """The languages of a station: shipped ones, and its own work in front of them."""

    def __init__(self, shipped: Path, own: Path) -> None:
        self.shipped, self.own = shipped, own

    @cached_property
    def source(self) -> dict[str, Entry]:
        """Give the English, as shipped."""
        return read_source(self.shipped / SOURCE)

    @cached_property
    def lists(self) -> dict[str, WordList]:
        """Give the lists; none when the folder has no table of them."""
        return read_lists(self.shipped) if (self.shipped / LISTS).is_file() else {}

    def languages(self) -> list[Language]:
        """Give every language but the source, by tag; one's own stands for the shipped one."""
        return [read_language(self.folder_of(tag)) for tag in self.tags()]

    def tags(self) -> list[str]:
        """Give the tag of every language but the source, whether or not its files can be read."""
        found = {path.parent.name for root in (self.shipped, self.own) for path in root.glob(f"*/{TABLE}")}
        return sorted(tag for tag in found - {SOURCE} if TAG.fullmatch(tag))

    def folder_of(self, tag: str) -> Path:
        """Give the folder in which a language stands now; raises language_unknown."""
        # A tag comes from an address: nothing that is not one may become a path.
        if TAG.fullmatch(tag) and tag != SOURCE:
            for root in (self.own, self.shipped):
                if (root / tag / TABLE).is_file():
                    return root / tag
        raise ChecklistError("language_unknown", tag=tag)

    def open(self, tag: str) -> Folder:
        """Open a language to read it and to work on it; raises language_unknown."""
        self.folder_of(tag)
        return Folder(tag, self.source, self.lists, lambda: self.folder_of(tag), self._changing, lambda: locked(self.own / LOCK))

    def add(self, tag: str, language: Language | None = None, by: str = "", at: int = 0) -> Folder:
        """Begin a language with its table, known to any library or not; raises language_taken, language_malformed.

        by, at: who filled the table in and when, so that somebody else approves it.
        """
        if not TAG.fullmatch(tag) or is_pseudo(tag):
            raise ChecklistError("language_malformed", tag=tag, why="no tag of a language")
        if tag == SOURCE or any((root / tag / TABLE).is_file() for root in (self.own, self.shipped)):
            raise ChecklistError("language_taken", tag=tag)
        units = read_language(self.shipped / SOURCE).units
        with locked(self.own / LOCK):
            write_language(self.own / tag, language or new_table(tag, units))
        folder = self.open(tag)
        folder.update()
        if by:
            folder.change_table(by, at)
        return folder

    def _changing(self, tag: str, work: Callable[[Path], object]) -> object:
        """Do a piece of work on a language's own folder, alone; the shipped one is copied first."""
        with locked(self.own / LOCK):
            target = self.own / tag
            if not (target / TABLE).is_file():
                # The copy appears under its name when it is whole; one that was cut off begins anew.
                part = self.own / PART / tag
                shutil.rmtree(part, ignore_errors=True)
                if any((target / each).exists() for each in (LEDGER, CATALOG)):
                    raise ChecklistError("language_malformed", tag=tag, why=f"its {TABLE} is away")
                shutil.rmtree(target, ignore_errors=True)
                shutil.copytree(self.folder_of(tag), part)
                part.rename(target)
            return work(target)

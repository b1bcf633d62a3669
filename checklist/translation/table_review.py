"""The second eye on the table of a language: a wrong decimal mark or unit is wrong in every line.

An approval is a row of the ledger on an entry of its own, bound to all that a pack says of the table.
"""

import json
import unicodedata
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.ledger import UNNAMED, Ledger, folded
from checklist.translation.quantities import one_spaced
from checklist.translation.source import Entry, src_hash, tgt_hash
from checklist.translation.table import Language, write_language

NAME = "language.table"
# What a pack says of it, besides the fallback and the plural forms.
FIELDS = ("tag", "name", "english", "dir", "script", "sample", "decimal", "order", "digits", "units")
_ENTRY = Entry(NAME, "", "The table of a language", None, "", 0, True)


def seen(language: Language) -> str:
    """Name the table as it stands; a page hands this back when it approves."""
    return tgt_hash(_told(language))


def approval(ledger: Ledger, language: Language) -> dict | None:
    """Give the newest row by which somebody other than its author approved exactly this table."""
    rows = ledger.of(_ENTRY, _told(language))
    authors = _authors(rows)
    return next((row for row in reversed(rows) if row["act"] == "approved" and folded(row["by"]) not in authors), None)


def refusal(ledger: Ledger, language: Language, by: str) -> str:
    """Name why a person may not approve the table; empty when they may."""
    if not by.strip() or by.strip() == UNNAMED:
        return "nobody"
    return "writer" if folded(by) in _authors(ledger.of(_ENTRY, _told(language))) else ""


def approving(ledger: Ledger, language: Language, by: str, at: int, was_seen: str) -> dict:
    """Make the row that approves the table as it was seen; raises review_refused."""
    why = refusal(ledger, language, by) or ("changed" if was_seen != seen(language) else "")
    if why:
        raise ChecklistError("review_refused", id=NAME, why=why)
    return _row(language, "approved", by, at)


def change(
    folder: Path, ledger: Ledger, language: Language, changes: Mapping[str, object], by: str, at: int, was_seen: str | None = None
) -> None:
    """Write another table, and by whom if that is known; raises words_changed when it is not as it was seen, language_malformed."""
    if was_seen not in (None, seen(language)):
        raise ChecklistError("words_changed", id=NAME)
    table = replace(language, **changes)
    table = replace(table, units={name: one_spaced(sign) for name, sign in table.units.items()})
    signs = [alike(sign) for sign in table.units.values()]
    if table.units != language.units and len(set(signs)) < len(signs):
        # A reading would not say which of the two it is.
        raise ChecklistError("language_malformed", tag=language.tag, why="units_alike")
    # Other forms in another order would say the words for 15 at 100.
    if table.tag != language.tag or table.plural != language.plural:
        raise ChecklistError("language_malformed", tag=language.tag, why="its tag and plural forms stay")
    if by:
        ledger.add_all([_row(table, "written", by, at)])
    write_language(folder, table)


def alike(sign: str) -> str:
    """Give what two signs have in common that nobody could tell apart in a hurry."""
    return unicodedata.normalize("NFKC", sign).casefold().strip()


def _told(language: Language) -> list[str]:
    told = {name: getattr(language, name) for name in (*FIELDS, "fallback", "plural")}
    return [json.dumps(told, ensure_ascii=False, sort_keys=True)]


def _authors(rows: list[dict]) -> set[str]:
    return {folded(row["by"]) for row in rows if row["act"] == "written"}


def _row(language: Language, act: str, by: str, at: int) -> dict:
    told = {"ctx": NAME, "src": src_hash(_ENTRY), "tgt": seen(language), "act": act, "by": by, "at": at}
    return told | {"how": "person" if act == "written" else "", "note": "", "forms": _told(language)}

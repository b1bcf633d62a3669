"""Take in a file that came back from a translator, row by row, losing nothing.

Every changed text is a draft by whoever brought it, whatever the file says of itself.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from checklist.translation.catalog import Catalog, read_returned
from checklist.translation.packing import Shelf
from checklist.translation.po import unseen
from checklist.translation.source import Entry, tgt_hash, tidy

FATES = ("taken", "same", "changed", "stale", "unknown", "empty", "control")


@dataclass(frozen=True)
class Taken:
    """What became of a file that came back: ids by what was done with them.

    taken: written down; changed: somebody else had changed the text meanwhile, so both are
    kept and the one that stood stays; stale: made from another English, kept in the ledger
    alone; unknown: there is no such id; empty: a form is blank; control: it holds a hidden sign.
    """

    taken: tuple[str, ...]
    same: tuple[str, ...]
    changed: tuple[str, ...]
    stale: tuple[str, ...]
    unknown: tuple[str, ...]
    empty: tuple[str, ...]
    control: tuple[str, ...]


def take(
    shelf: Shelf, source: Mapping[str, Entry], data: bytes, by: str, at: int, how: str
) -> tuple[Taken, list[dict], Catalog]:
    """Decide what becomes of each text; gives the fates, the rows to add and the new catalogue."""
    back = read_returned(data, shelf.language)
    fates: dict[str, list[str]] = {name: [] for name in FATES}
    rows, catalog = [], shelf.catalog
    for name, forms in back.forms.items():
        forms = [tidy(form) for form in forms]
        entry, stands = source.get(name), shelf.forms(name) if name in source else []
        fate = _fate(entry, forms, stands, back.english[name], back.base.get(name))
        fates[fate].append(name)
        if fate in ("taken", "changed"):
            rows.append(written(shelf, entry, forms, by, how, at))
        elif fate == "stale":
            text, plural = back.english[name]
            rows.append(written(shelf, replace(entry, text=text, plural=plural), forms, by, how, at))
        if fate == "taken":
            catalog = catalog.told(name, forms, entry)
    return Taken(**{fate: tuple(names) for fate, names in fates.items()}), rows, catalog


def written(shelf: Shelf, entry: Entry, forms: Sequence[str], by: str, how: str, at: int, note: str = "") -> dict:
    """Make the row of a text that was written; its words stand in it, so that none is ever lost."""
    english = [entry.text] if entry.plural is None else [entry.text, entry.plural]
    return shelf.ledger.made(entry, forms, "written", by, at, how, note, en=english, forms=list(forms))


def _fate(entry: Entry | None, forms: list[str], stands: list[str], english: tuple, base: str | None) -> str:
    if entry is None:
        return "unknown"
    if forms == stands:
        return "same"
    # One slip in a file of a thousand texts must not keep the others out.
    if not all(forms):
        return "empty"
    if unseen("".join(forms)):
        return "control"
    if english != (entry.text, entry.plural):
        return "stale"
    return "changed" if base is not None and base != tgt_hash(stands) else "taken"

"""Approve a whole list, or say of each of its texts why not."""

from collections.abc import Mapping

from checklist.errors import ChecklistError
from checklist.translation.lists import WordList
from checklist.translation.packing import Shelf, told_of
from checklist.translation.source import Entry


def approving(shelf: Shelf, one: WordList, source: Mapping[str, Entry], by: str, at: int, note: str) -> list[dict]:
    """Make the rows that approve a list; raises words_unready with what still lacks."""
    rows, reasons = [], {}
    for name in one.ids(source):
        entry, forms = source[name], shelf.forms(name)
        if shelf.ledger.state(entry, forms) == "approved":
            continue
        told = [why for why in shelf.reasons(entry) if why != "checked"]
        told += [why] if (why := shelf.ledger.refusal(entry, forms, "approved", by)) and why not in told else []
        if told:
            reasons[name] = told
        else:
            rows.append(shelf.ledger.made(entry, forms, "approved", by, at, note=note))
    if reasons:
        raise ChecklistError("words_unready", tag=shelf.language.tag, **told_of(one.id, reasons))
    return rows

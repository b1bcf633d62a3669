"""Approve a whole list, or say of each of its texts why not."""

from collections.abc import Mapping

from checklist.errors import ChecklistError
from checklist.translation.lists import WordList
from checklist.translation.obstacles import before_approval, step
from checklist.translation.packing import Lacks, Shelf, told_of
from checklist.translation.source import Entry


def approving(shelf: Shelf, one: WordList, source: Mapping[str, Entry], by: str, at: int, note: str) -> list[dict]:
    """Make the rows that approve a list; raises words_unready with what still lacks."""
    rows, kept_out = [], {}
    for name in one.ids(source):
        entry, forms = source[name], shelf.forms(name)
        if shelf.ledger.state(entry, forms) == "approved":
            continue
        told = before_approval(shelf.obstacles(entry))
        why = shelf.ledger.refusal(entry, forms, "approved", by)
        if why and why not in [one.code for one in told]:
            told.append(step(why))
        if told:
            kept_out[name] = told
        else:
            rows.append(shelf.ledger.made(entry, forms, "approved", by, at, note=note))
    if kept_out:
        raise ChecklistError("words_unready", tag=shelf.language.tag, **told_of(Lacks(one.id, kept_out)))
    return rows

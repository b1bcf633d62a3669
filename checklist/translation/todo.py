"""Say which step a text waits for, and whether this person may take it."""

from checklist.translation.packing import Shelf
from checklist.translation.source import Entry

# How a person's part of a step is written when only the rules are asked.
_AS = {"back": {"how": "person"}, "judged": {"more": {"same": True}}}


def is_next(shelf: Shelf, entry: Entry, act: str, by: str) -> bool:
    """Tell whether a text waits for a step, and this person may take it.

    written: nothing stands, the English has changed, a fault or a back-translation that
    differs calls for other words, or only a machine has written it.
    """
    forms = shelf.forms(entry.id)
    state = shelf.ledger.state(entry, forms)
    if act == "written":
        is_stale = shelf.before(entry) is not None
        return state == "missing" or is_stale or (state == "draft" and _wants_words(shelf, entry, forms))
    if state == "missing" or shelf.ledger.refusal(entry, forms, act, by, **_AS.get(act, {})):
        return False
    if state == "draft" and _wants_words(shelf, entry, forms):
        return False
    if act == "checked":
        return state == "draft"
    told = shelf.ledger.back(entry, forms)
    return entry.safety and told == {"back": "none", "judged": "waits"}.get(act)


def _wants_words(shelf: Shelf, entry: Entry, forms: list[str]) -> bool:
    written = [row for row in shelf.ledger.of(entry, forms) if row["act"] == "written"]
    if all(row.get("how") == "machine" for row in written):
        return True
    return shelf.ledger.back(entry, forms) == "differs" or bool(shelf.faults(entry))

"""Say what one person may do next in a language, and never ask them to judge their own words.

Works on what the ledger holds; what nobody may do yet is in nobody's queue.
"""

from collections.abc import Iterator

from checklist.translation.checks import blocks
from checklist.translation.clips import is_spoken
from checklist.translation.folder import Folder
from checklist.translation.ledger import folded
from checklist.translation.lists import is_enough
from checklist.translation.obstacles import before_approval

ACTS = ("write", "take_up", "check", "back", "judge", "record", "hear")


def turns(folder: Folder, by: str) -> dict[str, list[str]]:
    """Give what a person may do next, the bedside and what is dangerous first: {act: [ids]}; hear and record by key of a clip."""
    found: dict[str, list[str]] = {act: [] for act in ACTS}
    for act, name in _all(folder, by):
        found[act].append(name)
    return found


def following(folder: Folder, act: str, by: str, but: str = "") -> str | None:
    """Give the first thing of one kind that a person may do next, other than one; looks no further than to that."""
    return next((name for each, name in _all(folder, by) if each == act and name != but), None)


def approvable(folder: Folder, list_id: str, by: str) -> bool:
    """Tell whether a person may approve a list now: something waits, all else is done, and none of it is theirs."""
    waits = False
    for name in folder.lists[list_id].ids(folder.source):
        entry, forms, state = folder.source[name], folder.forms(name), folder.state(name)
        if state == "approved":
            continue
        if folder.ledger.refusal(entry, forms, "approved", by) or before_approval(folder.obstacles(name)):
            return False
        waits = True
    return waits


def may_back(folder: Folder, name: str, by: str) -> bool:
    """Tell whether a person may say blind what a text means: neither its writer, nor one who checked it and knows the English."""
    return not folder.ledger.refusal(folder.source[name], folder.forms(name), "back", by, "person")


def is_judged(folder: Folder, name: str) -> bool | None:
    """Tell what the newest back-translation was judged to be: the same, another, or None while nobody has."""
    return {"same": True, "differs": False}.get(folder.ledger.back(folder.source[name], folder.forms(name)))


def _all(folder: Folder, by: str) -> Iterator[tuple[str, str]]:
    for name in _by_weight(folder):
        entry = folder.source[name]
        yield from ((act, name) for act in _acts(folder, name, by))
        if by and is_spoken(entry) and not folder.obstacles(name):
            for clip in folder.clips(name):
                if clip.state == "silent":
                    yield "record", clip.key
                elif clip.state == "recorded" and folded(clip.by) != folded(by):
                    yield "hear", clip.key


def _by_weight(folder: Folder) -> list[str]:
    """Put the texts of the first list before those of the next, and within a list the dangerous ones first."""
    rank: dict[str, int] = {}
    for place, one in enumerate(folder.lists.values()):
        for file in one.files:
            rank.setdefault(file, place)
    entries = folder.source
    return sorted(entries, key=lambda name: (rank.get(entries[name].file, len(rank)), not entries[name].safety))


def _acts(folder: Folder, name: str, by: str) -> list[str]:
    entry, forms, state = folder.source[name], folder.forms(name), folder.state(name)
    if state == "missing":
        return ["write"]
    if is_enough(entry, state) and not folder.obstacles(name):
        return []
    if folder.before(name):
        return ["write"]
    # What nobody answers for yet needs no look at its faults, of which a shipped draft has thousands to be looked for.
    if not folder.ledger.is_taken_up(entry, forms):
        return ["take_up"]
    told = folder.ledger.back(entry, forms)
    if told == "differs" or blocks(folder.findings(name)):
        return ["write"]
    found, is_reader = [], entry.safety and told == "none" and may_back(folder, name, by)
    # Whoever checks has seen the English: an answer is asked of those who have, while a blind reader is still wanted.
    if (state == "draft" or (folder.unanswered(name) and not is_reader)) and not folder.ledger.refusal(entry, forms, "checked", by):
        found.append("check")
    if entry.safety and told == "waits" and not folder.ledger.refusal(entry, forms, "judged", by, "", {"same": True}):
        found.append("judge")
    if is_reader:
        found.append("back")
    return found

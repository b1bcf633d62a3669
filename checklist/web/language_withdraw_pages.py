"""Take a sentence out of use, at once and whatever else is broken: out of the pack in force, and in the ledger."""

import sqlite3
from collections.abc import Sequence
from contextlib import suppress

from flask import Response, redirect, url_for

from checklist import pack_body, packs
from checklist.errors import ChecklistError
from checklist.store import SqliteStore
from checklist.web import guard
from checklist.web.language_parts import LONGEST_NOTE, languages, note, opened, typed, writer
from checklist.web.parts import parts, renew_release


@languages.post("/<tag>/text/<name>/withdraw")
def withdraw(tag: str, name: str) -> Response:
    """Take a text out of use at once, with a reason; nobody has to agree."""
    why = typed("note", LONGEST_NOTE)
    if not why:
        raise ChecklistError("review_refused", why="reason")
    # First where tablets read it: whatever is broken in the folder must not keep a wrong line by the bed.
    # What fails here is tried once more, and told, when the ledger has it.
    with suppress(ChecklistError, sqlite3.Error):
        out_of_the_pack(tag, name)
    folder = opened(tag)
    if name not in folder.source:
        raise ChecklistError("not_found", id=name)
    # Again while nobody else works on it: a pack that was being made meanwhile still holds the line.
    folder.withdraw(name, writer(), parts().now(), why, lambda: out_of_the_pack(tag, name))
    note("words_withdrawn", f"{tag} {name}: {why}")
    return renew_release(redirect(url_for("station.languages.text", tag=tag, name=name, withdrawn=1), 303))


def out_of_the_pack(tag: str, name: str, forms: Sequence[str] | None = None) -> None:
    """Put a pack in force that lacks the line, or lacks it where it says just this; a line that is in none needs none."""
    shared, who = parts(), guard.who()
    now = shared.now()

    def work(store: SqliteStore) -> None:
        if forms is not None and in_force(store.connection, tag).get(name) != list(forms):
            return
        packs.without(store, shared.identity, tag, {name}, who, now)

    try:
        shared.journal.write(work)
    except ChecklistError as error:
        if error.code != "not_found":
            raise


def in_force(connection: sqlite3.Connection, tag: str) -> dict[str, list[str]]:
    """Give the lines of the pack in force: {id: [forms]}; none when there is no such pack or it cannot be read."""
    body = packs.bodies(connection).get(tag)
    said = pack_body.read(body)["m"] if body else {}
    return {name: [text] if isinstance(text, str) else text for name, text in said.items()}

"""Take a sentence out of use, at once and whatever else is broken: out of the pack in force, and in the ledger."""

import sqlite3
from collections.abc import Sequence
from contextlib import suppress

from flask import Response, redirect, render_template, request, url_for

from checklist import pack_body, packs
from checklist.errors import ChecklistError
from checklist.store import SqliteStore
from checklist.translation.folder import Folder
from checklist.web import guard
from checklist.web.asked import whole
from checklist.web.language_parts import LONGEST_NOTE, languages, note, opened, typed, workshop, writer
from checklist.web.parts import parts, renew_release

PAGE_SIZE = 100


@languages.post("/<tag>/text/<name>/withdraw")
def withdraw(tag: str, name: str) -> Response:
    """Take a text out of use at once, with a reason; nobody has to agree."""
    why = _why()
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


@languages.get("/<tag>/force")
def force(tag: str) -> str:
    """List the lines of the pack in force, also where it came from the hub and nothing of the language stands here."""
    pack, source = _pack(parts().journal.reader, tag), workshop().source
    if not pack:
        raise ChecklistError("not_found", tag=tag)
    skip, word = max(whole("skip", 0), 0), request.args.get("word", "").strip()[:60].casefold()
    lines = [
        {"name": name, "english": source[name].text if name in source else "", "forms": forms}
        for name, forms in _lines(pack).items()
    ]
    lines = [one for one in lines if word in f"{one['name']} {one['english']} {' '.join(one['forms'])}".casefold()]
    return render_template(
        "language_force.html", language=pack, lines=lines[skip:skip + PAGE_SIZE], total=len(lines), word=word,
        more=skip + PAGE_SIZE if len(lines) > skip + PAGE_SIZE else None, longest_note=LONGEST_NOTE,
    )


@languages.post("/<tag>/force/<name>")
def withdraw_from_force(tag: str, name: str) -> Response:
    """Take a line out of the pack in force by its id alone; in the ledger too where its words were checked here."""
    why, said = _why(), in_force(parts().journal.reader, tag)
    if name not in said:
        raise ChecklistError("not_found", id=name)
    out_of_the_pack(tag, name)
    note("words_withdrawn", f"{tag} {name}: {why}")
    # A copy that is made for one row would stand before every later version of what is shipped.
    if tag in workshop().tags() and _was_checked(folder := opened(tag), name):
        folder.withdraw(name, writer(), parts().now(), why, lambda: out_of_the_pack(tag, name))
    return renew_release(redirect(url_for("station.languages.everyone", withdrawn=1), 303))


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
    return _lines(_pack(connection, tag))


def _pack(connection: sqlite3.Connection, tag: str) -> dict:
    body = packs.body_in_force(connection, tag)
    try:
        return pack_body.read(body) if body else {}
    except ChecklistError:
        # What another version kept and this one cannot read is on no tablet that comes from here.
        return {}


def _lines(pack: dict) -> dict[str, list[str]]:
    return {name: [text] if isinstance(text, str) else text for name, text in pack.get("m", {}).items()}


def _was_checked(folder: Folder, name: str) -> bool:
    return name in folder.source and any(row["act"] in ("checked", "approved") for row in folder.history(name))


def _why() -> str:
    why = typed("note", LONGEST_NOTE)
    if not why:
        raise ChecklistError("review_refused", why="reason")
    return why

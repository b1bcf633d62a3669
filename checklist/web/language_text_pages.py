"""One text at a time: read its English, write it, see at once what is wrong with it."""

from dataclasses import dataclass
from functools import partial

from flask import Response, redirect, render_template, request, url_for

from checklist.errors import ERRORS, ChecklistError
from checklist.translation.checks import ASK, BLOCK, fields
from checklist.translation.clips import is_spoken
from checklist.translation.folder import Folder
from checklist.translation.glossary import hits
from checklist.translation.source import Entry, tgt_hash
from checklist.translation.turns import following, is_judged, may_back
from checklist.web import guard
from checklist.web.language_causes import causes, is_mended_elsewhere
from checklist.web.language_parts import (
    HOW,
    LONGEST_NOTE,
    LONGEST_TEXT,
    how,
    languages,
    note,
    numbers_of,
    opened,
    person,
    typed,
    writer,
)
from checklist.web.language_withdraw_pages import in_force
from checklist.web.parts import parts

# Numbers that fall into different plural forms of different languages.
COUNTS = (0, 1, 2, 3, 11, 21, 100)
MOST_SAMPLES = 8


@dataclass(frozen=True)
class Attempt:
    """What somebody typed and what was not kept; nothing of it is lost. error: it was refused, or the text changed meanwhile."""

    forms: list[str]
    how: str
    note: str
    error: ChecklistError


@languages.get("/<tag>/text/<name>")
def text(tag: str, name: str) -> str:
    """Show one text: English, translation, findings, history."""
    return page(opened(tag), name)


@languages.post("/<tag>/text/<name>")
def write(tag: str, name: str) -> Response | tuple[str, int]:
    """Keep what was typed; when the text changed meanwhile both are shown, and what is refused can be mended where it stands."""
    folder = opened(tag)
    entry = entry_of(folder, name)
    count = 1 if entry.plural is None else folder.language.count
    forms = [typed(f"form{place}", LONGEST_TEXT) for place in range(count)]
    told, remark, base = how(), typed("note", LONGEST_NOTE), request.form.get("base", "")
    act = "take_up" if folder.forms(name) else "write"
    try:
        if not all(forms):
            raise ChecklistError("review_refused", why="missing")
        folder.write(name, forms, writer(), told, parts().now(), base, remark)
    except ChecklistError as error:
        if error.code == "words_changed":
            note("words_written", f"{tag} {name}")
        elif error.code != "review_refused":
            raise
        return page(folder, name, Attempt(forms, told, remark, error)), ERRORS[error.code].status
    note("words_written", f"{tag} {name}")
    return redirect(url_for("station.languages.text", tag=tag, name=name, kept=act), 303)


def entry_of(folder: Folder, name: str) -> Entry:
    """Give the English of an id; raises not_found."""
    if name not in folder.source:
        raise ChecklistError("not_found", id=name)
    return folder.source[name]


def page(folder: Folder, name: str, attempt: Attempt | None = None) -> str:
    """Draw the page of one text."""
    entry, who = entry_of(folder, name), guard.who()
    forms, found = folder.forms(name), folder.findings(name) if folder.forms(name) else []
    count = 1 if entry.plural is None else folder.language.count
    shown = attempt.forms if attempt else forms
    check, new = folder.ledger.refusal(entry, forms, "checked", who), folder.unanswered(name)
    return render_template(
        "language_text.html", folder=folder, language=folder.language, entry=entry, name=name, forms=forms,
        boxes=[shown[place] if place < len(shown) else "" for place in range(count)], base=tgt_hash(forms), attempt=attempt,
        state=folder.state(name), before=folder.before(name), blocks=[one for one in found if one.level == BLOCK],
        new=new, asks=[one for one in found if one.level == ASK and one not in new], terms=hits(entry.text, folder.glossary), how=HOW,
        where=[(one.id, one.pages) for one in folder.lists.values() if entry.file in one.files],
        samples=samples(folder, entry, forms), numbers=numbers_of(folder.language) if count > 1 else [],
        history=[told(row) for row in reversed(folder.history(name))], longest=LONGEST_TEXT, longest_note=LONGEST_NOTE,
        may_check=not check, why_not=check, may_back=may_back(folder, name, who) if who else False, spoken=is_spoken(entry),
        has_back=folder.ledger.back(entry, forms) != "none", by_program=_is_by_program(folder, entry, forms),
        judged=is_judged(folder, name),
        neighbours=_neighbours(folder, name), beside=[told(row) for row in folder.attempts(name)],
        following=_following(folder, name, request.args.get("kept", "")),
        causes=partial(causes, folder.language),
        elsewhere=is_mended_elsewhere(folder.language, [*new, *(one for one in found if one.level == BLOCK or one.rows)]),
        in_force=in_force(parts().journal.reader, folder.tag).get(name, []),
    )


def samples(folder: Folder, entry: Entry, forms: list[str]) -> list[list[tuple[str, bool]]]:
    """Fill the text with values as a screen would: pieces (text, whether it is a value)."""
    if not forms:
        return []
    rows = [dict(row) for row in entry.values] or [{}]
    if entry.plural is not None:
        rows = [{**rows[0], "n": n} for n in COUNTS]
    try:
        return [_filled(_form(folder, entry, forms, row), row) for row in rows[:MOST_SAMPLES]]
    except (ValueError, IndexError):
        # A broken field is told as a finding; there is nothing to fill.
        return []


def told(row: dict) -> dict:
    """Give a row of the ledger as a page shows it."""
    return {
        "act": row["act"], "by": person(row["by"]), "at": row["at"], "how": row.get("how", ""), "note": row.get("note", ""),
        "forms": row.get("forms", []), "answers": row.get("answers", {}), "text": row.get("text", ""), "same": row.get("same"),
    }


def _form(folder: Folder, entry: Entry, forms: list[str], row: dict) -> str:
    return forms[0] if entry.plural is None else forms[int(folder.language.plural[row["n"]])]


def _filled(form: str, values: dict) -> list[tuple[str, bool]]:
    pieces, rest = [], form
    for field in fields(form):
        before, _, rest = rest.partition(f"{{{field}}}")
        pieces += [(before, False), (str(values.get(field, field)), True)]
    return [piece for piece in [*pieces, (rest, False)] if piece[0]]


def _is_by_program(folder: Folder, entry: Entry, forms: list[str]) -> bool:
    """Tell whether what stands was written by programs alone: whoever saves it then has mended it at most."""
    written = [row for row in folder.ledger.of(entry, forms) if row["act"] == "written"]
    return bool(written) and all(row.get("how") == "machine" for row in written)


def _neighbours(folder: Folder, name: str) -> tuple[str | None, str | None]:
    ids = list(folder.source)
    place = ids.index(name)
    return ids[place - 1] if place else None, ids[place + 1] if place + 1 < len(ids) else None


def _following(folder: Folder, name: str, act: str) -> str | None:
    """Give the text to go on with after one was kept: the next of the same kind of work."""
    if act not in ("write", "take_up"):
        return None
    return following(folder, act, guard.who(), name)

"""The table of a language in words: what stays, what a lead may change, and the second eye on it."""

from flask import Response, redirect, render_template, request, url_for

from checklist.errors import ChecklistError
from checklist.translation import table_review
from checklist.translation.folder import Folder
from checklist.web import guard
from checklist.web.language_forms import LONGEST_SIGN, TableForm, table_form
from checklist.web.language_parts import languages, named, note, numbers_of, opened
from checklist.web.parts import parts


@languages.get("/<tag>/table")
def table(tag: str) -> str:
    """Show the table of a language, and the form that changes it."""
    folder = opened(tag)
    return _page(folder, table_form(folder.language))


@languages.post("/<tag>/table")
def change_table(tag: str) -> str | Response | tuple[str, int]:
    """Keep another table; it waits for somebody else's approval from then on."""
    folder, was_seen = opened(tag), request.form.get("seen", "")
    form = table_form(folder.language)
    if not form.validate():
        return _page(folder, form, was_seen=was_seen), 422
    try:
        told = {**form.changes(), "units": form.signs()}
        # Who saves it as it stands has changed nothing, and stays free to approve it.
        changes = {name: value for name, value in told.items() if value != getattr(folder.language, name)}
        if not changes and was_seen == table_review.seen(folder.language):
            return redirect(url_for("station.languages.table", tag=tag), 303)
        folder.change_table(guard.who(), parts().now(), was_seen, **changes)
    except ChecklistError as error:
        if error.code == "words_changed":
            folder.refresh()
            return _page(folder, form, is_clash=True), 409
        if error.code != "language_malformed":
            raise
        return _page(folder, form, was_seen=was_seen, refused=str(error.facts.get("why", ""))), 422
    note("table_changed", f"{tag} {' '.join(changes)}")
    return redirect(url_for("station.languages.table", tag=tag, kept=1), 303)


@languages.post("/<tag>/table/approve")
def approve_table(tag: str) -> Response:
    """Approve the table as its page shows it; what tablets show of every number hangs on it."""
    who, folder = named(), opened(tag)
    folder.approve_table(who, parts().now(), request.form.get("seen", ""))
    note("words_approved", f"{tag} {table_review.NAME}")
    return redirect(url_for("station.languages.pack", tag=tag), 303)


def table_state(folder: Folder) -> dict:
    """Give how the second eye on the table stands: its name, who approved it, and why who acts may not."""
    language, ledger = folder.language, folder.ledger
    return {
        "seen": table_review.seen(language), "approval": table_review.approval(ledger, language),
        "why_not": table_review.refusal(ledger, language, guard.who()),
    }


def _page(folder: Folder, form: TableForm, was_seen: str | None = None, is_clash: bool = False, refused: str = "") -> str:
    state = table_state(folder)
    return render_template(
        "language_table.html", language=folder.language, form=form, is_clash=is_clash, refused=refused,
        base=state["seen"] if was_seen is None else was_seen, numbers=numbers_of(folder.language), longest=LONGEST_SIGN, **state,
    )

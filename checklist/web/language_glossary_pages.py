"""The words of the trade in a language: every term, and one of them to add, to change or to take out."""

from flask import Response, redirect, render_template, request, url_for
from wtforms import StringField, TextAreaField, ValidationError
from wtforms.validators import DataRequired, InputRequired, Length, Optional

from checklist.errors import ChecklistError
from checklist.translation.folder import Folder
from checklist.translation.glossary import Term, hits, named, seen
from checklist.translation.quantities import without_fields
from checklist.translation.source import tidy
from checklist.web.forms import Form
from checklist.web.language_parts import LONGEST_NOTE, languages, note, opened, visible

LONGEST_TERM = 60
MOST_FORMS = 20
# So many sentences that a term asks about are named; the rest is a number.
MOST_NAMED = 20


class TermForm(Form):
    """One term: its English, the words for it, and a remark."""

    en = StringField(validators=[DataRequired(), Length(max=LONGEST_TERM), visible])
    forms = TextAreaField(validators=[InputRequired(), Length(max=MOST_FORMS * (LONGEST_TERM + 2)), visible])
    note = StringField(validators=[Optional(), Length(max=LONGEST_NOTE), visible])

    def validate_forms(self, field: TextAreaField) -> None:
        """Refuse no word at all, too many, and one too long."""
        forms = self.chosen().forms
        if not 1 <= len(forms) <= MOST_FORMS or any(len(form) > LONGEST_TERM for form in forms):
            raise ValidationError(field.gettext("Invalid value."))

    def chosen(self) -> Term:
        """Give what was filled in, each word once."""
        forms = [" ".join(form.split()) for form in tidy(self.forms.data).split("\n")]
        return Term(" ".join(tidy(self.en.data).split()), tuple(dict.fromkeys(filter(None, forms))), tidy(self.note.data or ""))


@languages.get("/<tag>/glossary")
def glossary(tag: str) -> str:
    """List the terms of a language."""
    folder = opened(tag)
    terms = sorted(folder.glossary, key=lambda term: term.en.casefold())
    return render_template("language_glossary.html", language=folder.language, terms=terms)


@languages.route("/<tag>/glossary/term", methods=["GET", "POST"])
def term(tag: str) -> str | Response | tuple[str, int]:
    """Show one term with the sentences that it asks about, and keep what was made of it; or begin a new one."""
    folder, en, asked = opened(tag), request.args.get("en", ""), request.args
    now = named(folder.glossary, en)
    if en and not now and request.method == "GET" and "forms" not in asked:
        raise ChecklistError("not_found", term=en)
    # One that was just taken out comes with all that it said, so that it can be put back.
    told = {"en": en, "forms": asked.get("forms", ""), "note": asked.get("note", "")}
    form = TermForm(data={"en": now.en, "forms": "\n".join(now.forms), "note": now.note} if now else told)
    if not form.is_submitted():
        return _page(folder, form, now)
    if en:
        # Another English would be another term; this one then still stood.
        form.en.data = now.en if now else en
    if not form.validate():
        return _page(folder, form, now, was_seen=request.form.get("seen", "")), 422
    chosen = form.chosen()
    try:
        folder.change_term(chosen.en, chosen, request.form.get("seen", ""))
    except ChecklistError as error:
        if error.code != "words_changed":
            raise
        folder.refresh()
        return _page(folder, form, named(folder.glossary, chosen.en), is_clash=True), 409
    note("glossary_changed", f"{tag} {_told(chosen)}")
    return redirect(url_for("station.languages.term", tag=tag, en=chosen.en, kept=1), 303)


@languages.post("/<tag>/glossary/out")
def take_out(tag: str) -> Response:
    """Take a term out; the page that follows can put it back."""
    folder, en = opened(tag), request.form.get("en", "")
    gone = named(folder.glossary, en)
    if not gone:
        raise ChecklistError("review_refused", why="changed")
    try:
        folder.change_term(en, None, request.form.get("seen", ""))
    except ChecklistError as error:
        raise ChecklistError("review_refused", why="changed") if error.code == "words_changed" else error from None
    note("glossary_changed", f"{tag} - {_told(gone)}")
    back = {"gone": gone.en, "forms": "\n".join(gone.forms), "note": gone.note}
    return redirect(url_for("station.languages.glossary", tag=tag, **back), 303)


def _page(folder: Folder, form: TermForm, now: Term | None, was_seen: str | None = None, is_clash: bool = False) -> str:
    asked = _asked(folder, now) if now else ([], [])
    return render_template(
        "language_term.html", language=folder.language, form=form, now=now, is_clash=is_clash,
        seen=seen(now) if was_seen is None else was_seen, source=folder.source, used=len(asked[0]), lacking=asked[1],
        most=MOST_NAMED, longest=LONGEST_TERM, longest_note=LONGEST_NOTE,
    )


def _asked(folder: Folder, term: Term) -> tuple[list[str], list[str]]:
    """Give the ids whose English uses a term, and those among them that are translated without any word for it."""
    english = {name: without_fields(f"{entry.text} {entry.plural or ''}") for name, entry in folder.source.items()}
    used = [name for name, text in english.items() if hits(text, [term])]
    code = f"term:{term.en}"
    # In a text with forms for numbers the number of its form follows.
    return used, [name for name in used if any(f"{one.code}[".startswith(f"{code}[") for one in folder.findings(name))]


def _told(term: Term) -> str:
    return f"{term.en}: {' / '.join(term.forms)}"

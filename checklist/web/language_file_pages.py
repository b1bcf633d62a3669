"""The file of a language for work elsewhere: given out, and taken back as drafts."""

from flask import Response, render_template, request, url_for
from flask_wtf.file import FileField, FileRequired
from wtforms import SelectField

from checklist import accounts
from checklist.errors import ChecklistError
from checklist.translation.returned import FATES
from checklist.web import guard
from checklist.web.forms import Form
from checklist.web.language_parts import HOW, languages, note, opened, person, writer
from checklist.web.parts import parts

# Every sentence twice, with its notes, in a script of three bytes a letter.
LARGEST_FILE = 4 * 1024 * 1024
# So many ids of each fate are named; the rest is a number.
MOST_NAMED = 50
MOST_PEOPLE = 500


class FileForm(Form):
    """A file of translations that came back, how it was made, and by whom."""

    file = FileField(validators=[FileRequired()])
    how = SelectField(choices=list(HOW))
    wrote = SelectField(choices=[])

    def offer(self) -> "FileForm":
        """Fill the list with words."""
        self.how.choices = [(one, parts().pack.text(f"languages.how.{one.replace('+', '_')}")) for one in HOW]
        # Who brings a file may not be who translated it: neither is a second eye for the other.
        held = [one["name"] for one in accounts.everyone(parts().journal.reader, size=MOST_PEOPLE) if not one["closed_at"]]
        self.wrote.choices = [(name, name) for name in held] or [("", person(""))]
        self.wrote.data = self.wrote.data or guard.who()
        return self


@languages.url_value_preprocessor
def _allow_more(endpoint: str | None, _values: dict | None) -> None:
    # The token of a form is looked for before any page is asked, and that reads
    # the whole body: only somebody who may come in may send this much.
    try:
        if endpoint and endpoint.endswith(".take_file") and guard.admit() is None:
            request.max_content_length = LARGEST_FILE
    except ChecklistError:
        return


@languages.get("/<tag>/file")
def file(tag: str) -> str:
    """Show how a file goes out and comes back."""
    return _page(tag)


@languages.get("/<tag>/content.po")
def give_file(tag: str) -> Response:
    """Give the file that a translator takes away."""
    folder = opened(tag)
    return Response(
        folder.export_po(), mimetype="text/x-gettext-translation",
        headers={"Content-Disposition": f'attachment; filename="{folder.tag}.po"'},
    )


@languages.post("/<tag>/file")
def take_file(tag: str) -> str | tuple[str, int]:
    """Take in a file that came back: drafts, whatever it says of itself. Nothing in it brings approval."""
    form = FileForm().offer()
    folder = opened(tag)
    if not form.validate_on_submit():
        return _page(tag, form=form), 422
    taken = folder.import_po(form.file.data.stream.read(), writer(), parts().now(), form.how.data, form.wrote.data)
    fates = {fate: getattr(taken, fate) for fate in FATES}
    note("words_imported", f"{tag} {' '.join(f'{fate} {len(ids)}' for fate, ids in fates.items())}")
    return _page(tag, fates=fates)


def _page(tag: str, **told: object) -> str:
    form = told.pop("form", None) or FileForm(formdata=None).offer()
    return render_template(
        "language_file.html", language=opened(tag).language, form=form, most=MOST_NAMED,
        address=url_for("station.languages.give_file", tag=tag), largest=LARGEST_FILE // 1024 // 1024, **told,
    )

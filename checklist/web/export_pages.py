"""Hand out real cases as files: choose which and how many, then download, written down."""

import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from flask import Blueprint, Response, render_template, request
from wtforms import BooleanField, SelectField
from wtforms.validators import Optional, ValidationError

from checklist import summary, trail
from checklist.export import csv_files, fhir, sqlite_file
from checklist.export.chosen import Filter, Reader, count
from checklist.export.pseudonym import Pseudonyms
from checklist.web import guard
from checklist.web.asked import DayField
from checklist.web.forms import Form
from checklist.web.parts import Parts, parts

KINDS = ("csv", "fhir", "sqlite")
TYPES = {
    "csv": ("zip", "application/zip"),
    "fhir": ("json", "application/fhir+json"),
    "sqlite": ("sqlite3", "application/vnd.sqlite3"),
}
PIECE = 64 * 1024
# Its day cannot be read as a month.
DAY_LIKE = "2026-03-31"

exports = Blueprint("exports", __name__, url_prefix="/exports")
guard.protect(exports, "supervisor", "keeper")


class ChooseForm(Form):
    """Which cases: post and days, by UTC; an empty field leaves that open."""

    post = SelectField(validators=[Optional()])
    first = DayField(validators=[Optional()])
    last = DayField(validators=[Optional()])

    def validate_last(self, last: DayField) -> None:
        """Refuse a last day before the first: no case could lie between them."""
        if self.first.data and last.data and last.data < self.first.data:
            raise ValidationError(parts().pack.text("exports.days_turned"))

    def offer(self) -> "ChooseForm":
        """Fill the list of posts."""
        shared = parts()
        every = ("", shared.pack.text("exports.every_post"))
        known = summary.posts(shared.journal.reader, "real")
        self.post.choices = [every, *((post, post) for post in known)]
        return self

    def chosen(self) -> Filter:
        """Give the choice that was filled in."""
        return Filter.of_days(self.post.data or None, self.first.data, self.last.data)


class DownloadForm(ChooseForm):
    """The same, and in what form."""

    kind = SelectField(choices=list(KINDS))
    with_labels = BooleanField()
    with_text = BooleanField()


@exports.get("")
def choose() -> str | tuple[str, int]:
    """Show how many cases a choice holds, and the forms they can be had in."""
    form = ChooseForm(request.args, meta={"csrf": False}).offer()
    if not form.validate():
        return _page(form, None), 422
    return _page(form, count(parts().journal.reader, form.chosen()))


@exports.post("")
def download() -> Response | tuple[str, int]:
    """Write down that these cases leave, then send them piece by piece."""
    form = DownloadForm().offer()
    if not form.validate_on_submit():
        return _page(form, None), 422
    shared = parts()
    chosen, kind = form.chosen(), form.kind.data
    reader = Reader(shared.journal.path, chosen)
    try:
        holds = _holds(form)
        told = " ".join([kind, *sorted(f"with-{name}" for name in holds)])
        target = f"{told}: {chosen}, cases={reader.count}"
        who, now = guard.who(), shared.now()
        shared.journal.write(lambda store: trail.note(store.connection, who, "exported", target, now))
        pieces = _pieces(shared, reader, kind, holds)
    except BaseException:
        reader.close()
        raise
    ending, content_type = TYPES[kind]
    response = Response(pieces, content_type=content_type)
    day = datetime.fromtimestamp(now / 1000, UTC).strftime("%Y-%m-%d")
    response.headers["Content-Disposition"] = f'attachment; filename="cases-{day}.{ending}"'
    response.call_on_close(reader.close)
    return response


def _holds(form: DownloadForm) -> frozenset[str]:
    if form.kind.data != "csv":
        return frozenset()
    asked = (("label", form.with_labels.data), ("text", form.with_text.data))
    return frozenset(name for name, is_asked in asked if is_asked)


def _pieces(shared: Parts, reader: Reader, kind: str, holds: frozenset[str]) -> Iterator[bytes]:
    names = Pseudonyms.of_hub(shared.identity.private_key)
    if kind == "csv":
        return csv_files.stream_zip(reader, names, holds)
    if kind == "fhir":
        return (text.encode() for text, _ in fhir.bundle_text(reader, names, shared.now()))
    return _sqlite(shared, reader)


def _sqlite(shared: Parts, reader: Reader) -> Iterator[bytes]:
    """Make the file beside the journal, where there is room, and send it from there."""
    with tempfile.TemporaryDirectory(dir=shared.settings.data, prefix="export-") as folder:
        made = Path(folder) / "cases.sqlite3"
        sqlite_file.write(reader, made, lambda _: None)
        with made.open("rb") as file:
            while piece := file.read(PIECE):
                yield piece


def _page(form: ChooseForm, cases: int | None) -> str:
    return render_template(
        "exports.html", form=form, send=DownloadForm(formdata=None), kinds=KINDS, cases=cases, day_like=DAY_LIKE
    )

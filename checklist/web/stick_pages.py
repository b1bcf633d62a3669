"""Take in a file from a memory stick, make one for the hub, and give the receipt."""

import tempfile
from typing import BinaryIO

from flask import Blueprint, Response, redirect, render_template, request, send_file, url_for
from flask_wtf.file import FileField, FileRequired
from wtforms import BooleanField

from checklist import receipt, sealing, stick, stick_export, stick_import, trail
from checklist.errors import ERRORS, ChecklistError
from checklist.web import guard
from checklist.web.exchange_api import exchange
from checklist.web.forms import ActionForm, Form
from checklist.web.parts import parts, tell_upward

# About 40,000 births; longer ones go by the command line.
LARGEST_UPLOAD = 64 * 1024 * 1024
BINARY = "application/octet-stream"

sticks = Blueprint("sticks", __name__)


class StickForm(Form):
    """A file, and the word of a person who compared the sender's fingerprint."""

    file = FileField(validators=[FileRequired()])
    admit = BooleanField()


@exchange.get("/sealing-key")
def sealing_key() -> dict:
    """Give the statement of the key that files for this station are sealed to."""
    said = sealing.own(parts().journal.reader)
    if said is None:
        raise ChecklistError("sealing_missing")
    return said


@sticks.url_value_preprocessor
def _allow_more(_endpoint: str | None, _values: dict | None) -> None:
    # The token of a form is looked for before any page is asked, and that reads
    # the whole body: only somebody who may come in may send this much.
    try:
        if guard.admit() is None:
            request.max_content_length = LARGEST_UPLOAD
    except ChecklistError:
        return


@sticks.get("/stick")
@guard.needs("keeper")
def show() -> str:
    """Show what can be done with a memory stick, and this station's own fingerprint."""
    return _page(StickForm())


@sticks.post("/stick")
@guard.needs("keeper")
def take() -> str | tuple[str, int]:
    """Take in a file; the answer says in words what came of it."""
    form = StickForm()
    if not form.validate_on_submit():
        return _page(form), 422
    shared = parts()
    # The name that the file came with is never looked at.
    source = form.file.data.stream
    try:
        if receipt.looks_like_one(source.read(len('{"receipt"'))):
            return _page(StickForm(formdata=None), logs=_receipt(source))
        taken = stick_import.take(
            shared.journal, shared.identity, source, shared.now(),
            who=guard.who(), admit=form.admit.data, demo=shared.settings.demo,
        )
        tell_upward(taken.stored)
    except ChecklistError as error:
        return _page(form, error=error), ERRORS[error.code].status
    return _page(StickForm(formdata=None), taken=taken)


@sticks.post("/stick/export")
@guard.needs("keeper")
def export() -> Response:
    """Make a file for this station's hub; raises sealing_missing."""
    shared, form = parts(), ActionForm()
    if not form.validate_on_submit():
        return redirect(url_for("station.sticks.show"), 303)
    reader = shared.journal.reader
    hub = sealing.of_hub(reader)
    if hub is None:
        raise ChecklistError("sealing_missing")
    label, now, who = stick.new_label(hub["hub"]), shared.now(), guard.who()
    out = tempfile.TemporaryFile()
    stick.write(out, label, hub["seal"], stick_export.gather(
        reader, shared.identity, label, everything=False, now=now, demo=shared.settings.demo
    ))
    shared.journal.write(lambda store: trail.note(
        store.connection, who, "stick_exported", hub["hub"], now
    ))
    out.seek(0)
    return send_file(out, BINARY, as_attachment=True, download_name=f"{label.file_id[:8]}{stick.ENDING}")


@sticks.get("/stick/receipt/<sender>")
@guard.needs("keeper")
def give_receipt(sender: str) -> Response:
    """Give the receipt for a sender; raises device_unknown."""
    shared = parts()
    text = receipt.make(shared.journal.reader, shared.identity, sender, shared.now())
    name = f"{sender[:8]}{receipt.ENDING}"
    return Response(
        text, mimetype=BINARY, headers={"Content-Disposition": f"attachment; filename={name}"}
    )


def _receipt(source: BinaryIO) -> int:
    shared = parts()
    source.seek(0)
    text, now, who = source.read(receipt.LARGEST), shared.now(), guard.who()
    return shared.journal.write(
        lambda store: receipt.take(store, shared.identity, text, now, who)
    )


def _page(form: StickForm, **told: object) -> str:
    reader = parts().journal.reader
    own, hub = sealing.own(reader), sealing.of_hub(reader)
    return render_template(
        "stick.html", form=form, action=ActionForm(),
        own=own and sealing.fingerprint(own["seal"]), hub=hub and sealing.fingerprint(hub["seal"]),
        **told,
    )

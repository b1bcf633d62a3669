"""Remarks on the page of a case: what was said, a form to say more, and the mark of review."""

from flask import Blueprint, Response, g, redirect, url_for
from wtforms import TextAreaField
from wtforms.validators import Length, StopValidation

from checklist import remarks
from checklist.core.event import parse
from checklist.errors import ChecklistError
from checklist.store import SqliteStore
from checklist.web import guard
from checklist.web.forms import ActionForm, Form
from checklist.web.parts import parts

pages = Blueprint("remarks", __name__, url_prefix="/cases/<case_id>")
guard.protect(pages, "supervisor")


class RemarkForm(Form):
    """What a supervisor wants to say."""

    text = TextAreaField(validators=[Length(max=remarks.LONGEST)])

    def validate_text(self, field: TextAreaField) -> None:
        """Refuse a remark that says nothing."""
        if not (field.data or "").strip():
            raise StopValidation(parts().pack.text("refusal.empty"))


@pages.post("/remarks")
def make(case_id: str) -> Response | tuple[str, int]:
    """Write a remark; what is refused stays as it was typed."""
    # Imported here, since the page of a case is drawn with these parts.
    from checklist.web.history_pages import case

    form = RemarkForm()
    if form.validate_on_submit():
        shared, by = parts(), guard.who()
        text, now = form.text.data, shared.now()

        def work(store: SqliteStore) -> None:
            remarks.make(store, shared.identity, case_id, text, by, now)

        try:
            shared.journal.write(work)
            return redirect(url_for("station.history.case", case_id=case_id, _anchor="remarks"), 303)
        except ChecklistError as error:
            # An event has room for some 4,000 bytes, and some scripts need three a letter.
            if error.code != "event_malformed":
                raise
            form.text.errors = [shared.pack.text("remarks.too_long")]
    g.refused_remark = form
    return case(case_id), 422


@pages.post("/reviewed")
def review(case_id: str) -> Response:
    """Mark the case as talked over."""
    ActionForm().validate_on_submit()
    shared, by = parts(), guard.who()
    now = shared.now()

    def work(store: SqliteStore) -> None:
        remarks.review(store, shared.identity, case_id, by, now)

    shared.journal.write(work)
    return redirect(url_for("station.history.case", case_id=case_id, _anchor="remarks"), 303)


def told(case_id: str) -> dict:
    """Give what the partial template draws: thread, form, action."""
    journal = parts().journal
    events = [parse(line) for line in journal.lines_of_case(case_id)]
    return {
        "thread": remarks.thread(journal.reader, case_id, events),
        "remark": g.get("refused_remark") or RemarkForm(formdata=None), "action": ActionForm(formdata=None),
    }

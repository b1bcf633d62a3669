"""The settings of the post, written as signed events that the tablets pull."""

from flask import Blueprint, Response, redirect, render_template, url_for

from checklist import station
from checklist.web.forms import PostForm
from checklist.web.parts import parts

settings = Blueprint("settings", __name__)


@settings.route("/settings", methods=["GET", "POST"])
def edit() -> str | Response | tuple[str, int]:
    """Show the settings in force; a change becomes one more event in the outbox."""
    shared = parts()
    form = PostForm(obj=shared.post).offer()
    if form.validate_on_submit():
        chosen, now = form.chosen(), shared.now()
        if chosen != station.settings(shared.journal.reader, shared.identity):
            shared.journal.write(
                lambda store: station.set_post(store, shared.identity, chosen, now)
            )
        return redirect(url_for("station.settings.edit", saved=1), 303)
    page = render_template("settings.html", form=form)
    return (page, 422) if form.errors else page

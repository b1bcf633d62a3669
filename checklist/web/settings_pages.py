"""The settings of the post, written as signed events that the tablets pull."""

from flask import Blueprint, Response, redirect, render_template, url_for

from checklist import station, trail
from checklist.store import SqliteStore
from checklist.web import guard
from checklist.web.forms import PostForm
from checklist.web.parts import parts

settings = Blueprint("settings", __name__)
guard.protect(settings, "lead")


@settings.route("/settings", methods=["GET", "POST"])
def edit() -> str | Response | tuple[str, int]:
    """Show the settings in force; a change becomes one more event in the outbox."""
    shared = parts()
    form = PostForm(obj=shared.post).offer()
    if form.validate_on_submit():
        chosen, now = form.chosen(), shared.now()
        if chosen != station.settings(shared.journal.reader, shared.identity):
            by = guard.who()

            def work(store: SqliteStore) -> None:
                station.set_post(store, shared.identity, chosen, now)
                trail.note(store.connection, by, "post_set", chosen.post, now)

            shared.journal.write(work)
        return redirect(url_for("station.settings.edit", saved=1), 303)
    page = render_template("settings.html", form=form)
    return (page, 422) if form.errors else page

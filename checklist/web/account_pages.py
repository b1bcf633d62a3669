"""Accounts: sign in and out, open a one-time link, change a password, keep who may what."""

from flask import Blueprint, Response, g, redirect, render_template, request, session, url_for

from checklist import accounts, entrance, passwords, second_factor, sessions, trail
from checklist.errors import ChecklistError
from checklist.web import guard
from checklist.web.account_forms import (
    AddForm,
    ChangeForm,
    ChooseForm,
    EnterForm,
    FirstForm,
    SecondForm,
)
from checklist.web.asked import whole
from checklist.web.forms import ActionForm
from checklist.web.local import is_local
from checklist.web.parts import parts

PAGE_SIZE = 100

pages = Blueprint("accounts", __name__, url_prefix="/account")
Answer = str | Response | tuple[str, int]


@pages.route("/enter", methods=["GET", "POST"])
@guard.for_all
def enter() -> Answer:
    """Sign in, and come back to where one was."""
    shared = parts()
    if not accounts.any_at_all(shared.journal.reader):
        if not is_local(request):
            raise ChecklistError("loopback_only")
        return redirect(url_for("station.history.cases"), 303)
    form, refused = EnterForm(), None
    if form.validate_on_submit():
        came = entrance.enter(
            shared.journal, form.name.data, form.password.data, _address(), shared.now(),
            form.code.data or "",
        )
        if came.token:
            return _with_cookie(redirect(_local(request.args.get("next")), 303), came.token)
        refused = _refusal(came)
    page = render_template("account_enter.html", form=form, refused=refused)
    return (page, 422) if refused or form.errors else page


@pages.post("/leave")
@guard.for_all
def leave() -> Response:
    """Sign out; the session is gone at the station too."""
    token = request.cookies.get(guard.cookie_name(), "")
    shared = parts()
    if token and (found := sessions.find(shared.journal.reader, token, shared.now())):
        shared.journal.write(lambda store: sessions.end(store.connection, found["token"]))
    session.clear()
    response = redirect(url_for("station.accounts.enter"), 303)
    response.delete_cookie(guard.cookie_name(), **_cookie())
    return response


@pages.route("/link/<token>", methods=["GET", "POST"])
@guard.for_all
def link(token: str) -> Answer:
    """Open a one-time link: choose a password, and for the first account a name."""
    shared, now = parts(), parts().now()
    account = accounts.opened_by(shared.journal.reader, token, now)
    form = ChooseForm() if account else FirstForm()
    if form.validate_on_submit():
        name = account["name"] if account else form.name.data
        if form.is_taken(name):
            kept = passwords.make(form.chosen.data)
            number = shared.journal.write(
                lambda store: accounts.use_link(store.connection, token, name, kept, now)
            )
            opened = accounts.read(shared.journal.reader, number)
            began = entrance.sign_in(shared.journal, opened, _address(), now)
            return _with_cookie(redirect(url_for("station.accounts.own"), 303), began)
    page = render_template("account_link.html", form=form, account=account)
    return (page, 422) if form.errors or request.method == "POST" else page


@pages.route("", methods=["GET", "POST"])
def own() -> Answer:
    """Show one's own account; a new password ends every session but begins one here."""
    if not g.session:
        return redirect(url_for("station.accounts.everyone"), 303)
    shared, now, form, refused = parts(), parts().now(), ChangeForm(), None
    mine = g.session
    if form.validate_on_submit() and form.is_taken(mine["name"]):
        came = entrance.is_owner(shared.journal, mine["name"], form.now.data, _address(), now)
        if came is None:
            kept = passwords.make(form.chosen.data)
            shared.journal.write(
                lambda store: accounts.set_password(store.connection, mine["account_no"], kept, now)
            )
            began = entrance.sign_in(shared.journal, mine, _address(), now)
            return _with_cookie(redirect(url_for("station.accounts.own", changed=1), 303), began)
        refused = _refusal(came)
    signed_in = sessions.of_account(shared.journal.reader, mine["account_no"], now)
    page = render_template(
        "account_own.html", form=form, refused=refused, mine=mine, signed_in=signed_in,
        action=ActionForm(formdata=None),
    )
    return (page, 422) if refused or form.errors else page


@pages.route("/second", methods=["GET", "POST"])
def second() -> Answer:
    """Begin or end the second factor; both ask for the password and a code."""
    if not g.session:
        return redirect(url_for("station.accounts.everyone"), 303)
    shared, now, form, refused = parts(), parts().now(), SecondForm(), None
    account = accounts.read(shared.journal.reader, g.session["account_no"])
    # Until a code of it was right, a new secret is kept nowhere but in its owner's browser.
    secret = account["second"] or session.setdefault("second", second_factor.new_secret())
    if form.validate_on_submit():
        # The code that ends it is tried like the one that lets in: a wrong one slows the next.
        asked = form.code.data if account["second"] else None
        came = entrance.is_owner(shared.journal, account["name"], form.now.data, _address(), now, asked)
        step = second_factor.step_of(secret, form.code.data, now)
        if came is None and step is not None and (asked or step > account["second_step"]):
            kept = "" if account["second"] else secret
            shared.journal.write(
                lambda store: second_factor.keep(store.connection, account, kept, step, now)
            )
            session.pop("second", None)
            return redirect(url_for("station.accounts.own"), 303)
        refused = _refusal(came) if came else shared.pack.text("accounts.second.refused")
    page = render_template(
        "account_second.html", form=form, refused=refused, has_second=bool(account["second"]),
        secret=secret, address=second_factor.address(secret, account["name"]),
    )
    return (page, 422) if refused or form.errors else page


@pages.post("/others")
def end_others() -> Response:
    """End one's own sessions everywhere else."""
    mine = g.session
    if mine:
        _end_sessions(mine["account_no"], but=mine["token"])
    return redirect(url_for("station.accounts.own"), 303)


@pages.route("/everyone", methods=["GET", "POST"])
@guard.needs("keeper")
def everyone() -> Answer:
    """List the accounts and make one; its one-time link is shown once."""
    form, link_made = AddForm(), None
    if form.validate_on_submit():
        by, now = guard.who(), parts().now()
        name, roles = form.name.data, tuple(form.roles.data)
        try:
            token = parts().journal.write(
                lambda store: accounts.add(store.connection, name, roles, by, now)
            )
            link_made = (name, url_for("station.accounts.link", token=token, _external=True))
        except ChecklistError as error:
            form.name.errors = [parts().pack.text(f"problem.{error.code}")]
    return _everyone(form, link_made)


@pages.post("/<int:account_no>/link")
@guard.needs("keeper")
def renew(account_no: int) -> Answer:
    """Give an account a new one-time link, for a password that was forgotten."""
    by, now = guard.who(), parts().now()
    token = parts().journal.write(
        lambda store: accounts.new_link(store.connection, account_no, by, now)
    )
    name = accounts.read(parts().journal.reader, account_no)["name"]
    return _everyone(
        AddForm(formdata=None), (name, url_for("station.accounts.link", token=token, _external=True))
    )


@pages.post("/<int:account_no>/close")
@guard.needs("keeper")
def close(account_no: int) -> Response:
    """Close an account for good."""
    by, now = guard.who(), parts().now()
    parts().journal.write(lambda store: accounts.close(store.connection, account_no, by, now))
    return redirect(url_for("station.accounts.everyone"), 303)


@pages.post("/<int:account_no>/end")
@guard.needs("keeper")
def end(account_no: int) -> Response:
    """End every session of an account."""
    _end_sessions(account_no)
    return redirect(url_for("station.accounts.everyone"), 303)


@pages.get("/trail")
@guard.needs("keeper", "supervisor")
def who_did_what() -> str:
    """Show who did what, newest first."""
    before = whole("before")
    found = trail.page(parts().journal.reader, before=before, size=PAGE_SIZE + 1)
    older = found[PAGE_SIZE - 1]["trail_no"] if len(found) > PAGE_SIZE else None
    return render_template("trail.html", rows=found[:PAGE_SIZE], older=older)


def _everyone(form: AddForm, link_made: tuple[str, str] | None) -> Answer:
    skip = max(whole("skip", 0), 0)
    found = accounts.everyone(parts().journal.reader, skip=skip, size=PAGE_SIZE + 1)
    page = render_template(
        "accounts.html", accounts=found[:PAGE_SIZE], form=form, link_made=link_made,
        more=skip + PAGE_SIZE if len(found) > PAGE_SIZE else None, action=ActionForm(formdata=None),
    )
    return (page, 422) if form.errors else page


def _end_sessions(account_no: int, *, but: str = "") -> None:
    by, now = guard.who(), parts().now()

    def work(store) -> None:
        name = accounts.read(store.connection, account_no)["name"]
        sessions.end_all(store.connection, account_no, but=but)
        trail.note(store.connection, by, "sessions_ended", name, now)

    parts().journal.write(work)


def _refusal(came: entrance.Entered) -> str:
    pack = parts().pack
    if came.wait_ms:
        seconds = pack.quantity(-(-came.wait_ms // 1000), "s")
        return pack.text("accounts.enter.wait", wait=seconds)
    return pack.text("accounts.enter.refused")


def _address() -> str:
    return request.remote_addr or ""


def _cookie() -> dict:
    secure = parts().settings.certificate is not None
    # __Host- asks for the whole site; without it the cookie stays under the pages.
    return {"path": "/" if secure else "/station", "secure": secure, "httponly": True,
            "samesite": "Strict"}


def _with_cookie(response: Response, token: str) -> Response:
    # A token of a form from before the sign-in must not be worth anything after it.
    session.clear()
    response.set_cookie(guard.cookie_name(), token, **_cookie())
    return response


def _local(path: str | None) -> str:
    """Give a path of this station to come back to; anything else leads to one's own page."""
    is_ours = path is not None and path.startswith("/station") and "\\" not in path
    return path if is_ours else url_for("station.accounts.own")

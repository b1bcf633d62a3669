"""Tell who acts, and refuse who may not: by account, or by being at this very machine.

While there is no account at all, whoever sits at the machine may do everything and
nobody else anything. From the first account on every page needs a session.
"""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar
from urllib.parse import urlsplit

from flask import Blueprint, Response, current_app, g, redirect, request, url_for

from checklist import accounts, sessions
from checklist.accounts import ROLES
from checklist.errors import ChecklistError
from checklist.web.local import is_local
from checklist.web.parts import parts

View = TypeVar("View", bound=Callable)

_needed: dict[str, tuple[str, ...]] = {}


def cookie_name() -> str:
    """Name the cookie; over https the browser itself keeps it to this very host."""
    return "__Host-account" if parts().settings.certificate else "account"


def admit() -> Response | None:
    """Let a request under /station in, or send it to the page where one signs in.

    Raises loopback_only while there is no account.
    """
    g.session = g.get("session")
    if getattr(current_app.view_functions.get(request.endpoint), "is_open", False):
        return None
    reader, now = parts().journal.reader, parts().now()
    if not accounts.any_at_all(reader):
        if not is_local(request):
            raise ChecklistError("loopback_only")
        return None
    token = request.cookies.get(cookie_name(), "")
    g.session = sessions.find(reader, token, now) if token else None
    if g.session is None:
        return redirect(url_for("station.accounts.enter", next=_here(), ended=1 if token else None), 303)
    if now - g.session["seen_at"] >= sessions.TOUCH_MS:
        used = g.session
        parts().journal.write(lambda store: sessions.touch(store.connection, used, now))
    return None


def who() -> str:
    """Give the name of the account that acts; "" for a person at this machine without one."""
    return g.session["name"] if g.get("session") else ""


def roles() -> tuple[str, ...]:
    """Give the roles of who acts; all of them at this machine while there is no account."""
    return g.session["roles"] if g.get("session") else ROLES


def check(*wanted: str) -> None:
    """Refuse who has none of the roles; raises role_wrong."""
    g.needed = wanted
    if not set(wanted) & set(roles()):
        raise ChecklistError("role_wrong", needed=" / ".join(wanted))


def protect(blueprint: Blueprint, *wanted: str) -> None:
    """Let only these roles see any page of a blueprint."""
    _needed[blueprint.name] = wanted
    blueprint.before_request(lambda: check(*wanted))


def needs(*wanted: str) -> Callable[[View], View]:
    """Let only these roles see one page: ``@guard.needs("lead")`` below its route."""

    def mark(view: View) -> View:
        @wraps(view)
        def guarded(*args, **named):
            check(*wanted)
            return view(*args, **named)

        guarded.roles = wanted
        return guarded

    return mark


def for_all(view: View) -> View:
    """Leave a page open to whoever has no session: the pages on which one signs in."""
    view.is_open = True
    return view


def may_open(endpoint: str) -> bool:
    """Tell whether who acts may open a page, so that no link leads to a refusal."""
    view = current_app.view_functions.get(endpoint)
    if view is None:
        return False
    wanted = getattr(view, "roles", None) or _needed.get(endpoint.rsplit(".", 2)[-2])
    return wanted is None or bool(set(wanted) & set(roles()))


def _here() -> str:
    """Give the path to come back to; a form that was sent in vain leads to its own page."""
    if request.method == "GET":
        return request.full_path.rstrip("?")
    page = urlsplit(request.referrer or "").path
    return page if page.startswith("/station") else "/station/account"

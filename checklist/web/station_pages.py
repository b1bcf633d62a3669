"""Gather the pages for people under /station, behind the guard. Knows no single page."""

from datetime import datetime

from flask import Blueprint, g

from checklist.web import guard
from checklist.web.parts import parts

MINUTE = "%Y-%m-%d %H:%M"
EXACT = "%Y-%m-%d %H:%M:%S"


def blueprint(*pages: Blueprint) -> Blueprint:
    """Put pages under /station behind the guard."""
    gathered = Blueprint("station", __name__, url_prefix="/station")
    for page in pages:
        gathered.register_blueprint(page)
    gathered.before_request(guard.admit)
    gathered.app_context_processor(_for_templates)
    return gathered


def moment(ms: int | None, *, exact: bool = False) -> str:
    """Write a wall time of this machine, the same in every language; exact to the second."""
    if ms is None:
        return ""
    try:
        return datetime.fromtimestamp(ms / 1000).strftime(EXACT if exact else MINUTE)
    except (ValueError, OverflowError, OSError):
        # A tablet's clock may say anything; the entry is shown all the same.
        return str(ms)


def _for_templates() -> dict:
    shared = parts()
    pack, needed = shared.pack, g.get("needed", ())
    return {
        "pack": pack,
        "text": pack.text,
        "moment": moment,
        "who": guard.who(),
        "needed": needed,
        "needed_names": pack.listed(pack.text(f"accounts.role.{role}") for role in needed),
        "may_open": guard.may_open,
        "demo": shared.settings.demo,
        "stylesheet": f"/r/{shared.release}/css/station.css",
        "review_stylesheet": f"/r/{shared.release}/css/review.css",
        "icon": f"/r/{shared.release}/icons/favicon.svg",
    }

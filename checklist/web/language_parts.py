"""What the pages of the languages share: the workshop, who acts, what is written down of it, their policy."""

import unicodedata

from flask import Blueprint, Response, current_app, render_template, request
from wtforms import StringField, ValidationError

from checklist import trail
from checklist.errors import ERRORS, ChecklistError
from checklist.shell import HEADERS
from checklist.translation.checks import JOINERS, word_of
from checklist.translation.folder import Folder
from checklist.translation.ledger import UNNAMED
from checklist.translation.obstacles import QUESTION, STATE, STEP, Obstacle
from checklist.translation.po import unseen
from checklist.translation.source import tidy
from checklist.translation.table import Language
from checklist.translation.workshop import Workshop
from checklist.web import guard
from checklist.web.forms import Form
from checklist.web.headers import PAGE_POLICY
from checklist.web.parts import parts
from checklist.web.problems import answer

LONGEST_NOTE = 400
LONGEST_ANSWER = 200
# A translation may be longer than its English; whether it fits its place is a finding, not a refusal.
LONGEST_TEXT = 2000
HOW = ("person", "machine+edited", "machine")
_WORKSHOP = "workshop"
_WITH_REASON = (
    "review_refused", "words_unready", "catalog_malformed", "clip_malformed", "language_malformed", "language_taken",
)

languages = Blueprint("languages", __name__, url_prefix="/languages")
guard.protect(languages, "lead")


@languages.after_request
def allow_scripts(response: Response) -> Response:
    """Let these pages run the station's own scripts, hear what was recorded and show the tablet's screen."""
    policy = PAGE_POLICY.replace("default-src 'none'", (
        "default-src 'none'; script-src 'self'; connect-src 'self'; media-src 'self' blob:; frame-src 'self'"
    ))
    response.headers.setdefault("Content-Security-Policy", policy)
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    return response


@languages.app_context_processor
def _for_templates() -> dict:
    release = parts().release
    return {
        "language_stylesheet": f"/r/{release}/css/languages.css",
        "script": lambda name: f"/r/{release}/station/{name}.js",
        "person": person, "finding": finding, "obstacle": obstacle, "reason": reason,
    }


def workshop() -> Workshop:
    """Give the workshop of this station, made once."""
    settings, kept = parts().settings, current_app.extensions
    if _WORKSHOP not in kept:
        kept[_WORKSHOP] = Workshop(settings.translations, settings.own_translations)
    return kept[_WORKSHOP]


def opened(tag: str) -> Folder:
    """Open a language as it stands on the disk now; raises language_unknown."""
    return workshop().open(tag)


def writer() -> str:
    """Name whoever writes; at the machine itself, before there are accounts, that is nobody in particular."""
    return guard.who() or UNNAMED


def named() -> str:
    """Name whoever checks, judges or approves; raises second_needed while there are no accounts."""
    who = guard.who()
    if not who:
        raise ChecklistError("second_needed")
    return who


def person(name: str) -> str:
    """Show the name of somebody in the ledger."""
    return parts().pack.text("trail.nobody") if name in ("", UNNAMED) else name


def note(what: str, target: str) -> None:
    """Write down who did what in a language; the ledger holds it already, with its words."""
    who, now = guard.who(), parts().now()
    parts().journal.write(lambda store: trail.note(store.connection, who, what, target, now))


def typed(name: str, longest: int) -> str:
    """Give what was typed into a field, without line ends of another system and never longer than it may be."""
    text = request.form.get(name, "").replace("\r\n", "\n").strip()
    if len(text) > longest:
        raise ChecklistError("review_refused", why="too_long")
    return text


def visible(form: Form, field: StringField) -> None:
    """Refuse signs that nobody sees, but those that join letters."""
    text = tidy(field.data or "")
    if unseen(text) or formats(text) - JOINERS:
        raise ValidationError(field.gettext("Invalid value."))


def formats(text: str) -> set[str]:
    """Give the signs of a text that only steer how others are drawn."""
    return {sign for sign in text if unicodedata.category(sign) == "Cf"}


def how() -> str:
    """Give how a text came to be, by its writer's own word; raises review_refused."""
    told = request.form.get("how", "")
    if told not in HOW:
        raise ChecklistError("review_refused", why="how")
    return told


def numbers_of(language: Language) -> list[str]:
    """Say for each plural form which numbers it is for: "1, 21, 31, …"."""
    found = []
    for form in range(language.count):
        numbers = [str(n) for n, digit in enumerate(language.plural) if digit == str(form)]
        found.append(parts().pack.listed([*numbers[:5], "…" if len(numbers) > 5 else ""]))
    return found


def reason(why: str) -> str:
    """Say a reason in words; one that has none says itself."""
    pack, name = parts().pack, f"languages.refused.{why}"
    return pack.text(name) if name in pack else why


def finding(code: str) -> str:
    """Say what a finding is; its code may end with the number of a form, or the term it is about."""
    pack, name = parts().pack, word_of(code)
    return pack.text(name) if name in pack else code


def obstacle(one: Obstacle) -> str:
    """Say what keeps a text out of use."""
    pack = parts().pack
    if one.kind == QUESTION:
        return pack.text("languages.unanswered", what=finding(one.code))
    if one.kind == STATE:
        return pack.text(f"languages.state.{one.code}")
    return reason(one.code) if one.kind == STEP else finding(one.code)


@languages.errorhandler(ChecklistError)
def refuse(error: ChecklistError) -> Response:
    """Answer what was refused with the reason beside the sentence; anything else as every page does."""
    if error.code not in _WITH_REASON:
        return answer(error)
    why = str(error.facts.get("why", ""))
    page = render_template("language_refused.html", error=error, why=reason(why), tag=(request.view_args or {}).get("tag"))
    return Response(page, ERRORS[error.code].status, content_type="text/html; charset=utf-8")

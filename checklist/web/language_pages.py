"""The languages: how far each list is in each, what one may do next, and a new one."""

from collections.abc import Callable

from flask import Response, redirect, render_template, request, url_for

from checklist import packs
from checklist.errors import ChecklistError
from checklist.translation.folder import Folder
from checklist.translation.source import src_hash
from checklist.translation.start import new_table
from checklist.translation.table import TAG, is_pseudo
from checklist.translation.turns import ACTS, approvable, turns
from checklist.web import guard
from checklist.web.asked import whole
from checklist.web.language_forms import LONGEST_RULE, LanguageForm, known, source_units
from checklist.web.language_parts import languages, note, opened, workshop
from checklist.web.parts import parts

STATES = ("missing", "draft", "checked", "approved")
PAGE_SIZE = 100
# So many of each kind stand on the page of a language; the rest is behind a link.
FIRST = 8


@languages.get("")
def everyone() -> str:
    """List the languages, with the state of each list and what the signed-in person may do."""
    room, in_force = workshop(), packs.in_force(parts().journal.reader)
    tags = sorted(tag for tag in {*room.tags(), *in_force} if not is_pseudo(tag))
    rows = [{"tag": tag, "in_force": in_force.get(tag, ""), **_row(tag)} for tag in tags]
    return render_template("languages.html", rows=rows, states=STATES, total=len(room.source))


@languages.route("/new", methods=["GET", "POST"])
def add() -> str | Response | tuple[str, int]:
    """Begin a language; what CLDR knows of a tag stands in the fields at first."""
    form = LanguageForm(data=_known(request.args.get("tag", ""))).offer()
    refused = None
    if form.validate_on_submit():
        try:
            language = form.chosen()
            workshop().add(language.tag, language, guard.who(), parts().now())
            note("language_added", f"{language.tag} {language.english}")
            return redirect(url_for("station.languages.one", tag=language.tag), 303)
        except ChecklistError as error:
            if error.code not in ("language_malformed", "language_taken"):
                raise
            refused = error
    page = render_template("language_new.html", form=form, refused=refused, longest_rule=LONGEST_RULE)
    return (page, 422) if refused or form.errors else page


@languages.get("/<tag>")
def one(tag: str) -> str:
    """Show one language: its lists, and what the signed-in person may do next."""
    folder, who = opened(tag), guard.who()
    mine = turns(folder, who)
    states, readiness = folder.states(), folder.readiness()
    lists = [
        {
            "id": name, "ready": readiness[name].ready, "missing": len(readiness[name].missing), "pages": one.pages,
            "counts": _counts({each: states[each] for each in one.ids(folder.source)}),
            "may_approve": bool(who) and approvable(folder, name, who),
        }
        for name, one in folder.lists.items()
    ]
    return render_template(
        "language.html", folder=folder, language=folder.language, lists=lists, mine=mine, acts=ACTS, first=FIRST,
        states=STATES, counts=_counts(states), **_naming(folder),
        in_force=packs.in_force(parts().journal.reader).get(tag, ""), is_pseudo=is_pseudo(tag),
    )


@languages.get("/<tag>/turn/<act>")
def turn(tag: str, act: str) -> str:
    """List all of what the signed-in person may do next of one kind."""
    folder = opened(tag)
    if act not in ACTS:
        raise ChecklistError("not_found", act=act)
    skip, found = max(whole("skip", 0), 0), turns(folder, guard.who())[act]
    return render_template(
        "language_turn.html", language=folder.language, act=act, ids=found[skip:skip + PAGE_SIZE], total=len(found),
        more=skip + PAGE_SIZE if len(found) > skip + PAGE_SIZE else None, **_naming(folder),
    )


@languages.get("/<tag>/all")
def texts(tag: str) -> str:
    """List the texts of a language by list, state or word."""
    folder = opened(tag)
    skip, states = max(whole("skip", 0), 0), folder.states()
    chosen, state = request.args.get("list", ""), request.args.get("state", "")
    word = request.args.get("word", "").strip()[:60].casefold()
    ids = folder.lists[chosen].ids(folder.source) if chosen in folder.lists else list(folder.source)
    if state in STATES:
        ids = [name for name in ids if states[name] == state]
    if word:
        ids = [name for name in ids if word in f"{name} {folder.source[name].text} {' '.join(folder.forms(name))}".casefold()]
    return render_template(
        "language_all.html", folder=folder, language=folder.language, ids=ids[skip:skip + PAGE_SIZE], total=len(ids),
        skip=skip, more=skip + PAGE_SIZE if len(ids) > skip + PAGE_SIZE else None, states=states, kinds=STATES,
        chosen=chosen, state=state, word=word,
    )


def _row(tag: str) -> dict:
    """Give the state of one language; where its files cannot be read what is wrong, and where it has none nothing."""
    try:
        folder = opened(tag)
        mine = turns(folder, guard.who())
        return {
            "language": folder.language, "counts": _counts(folder.states()),
            "lists": {name: one.ready for name, one in folder.readiness().items()},
            "mine": {act: len(ids) for act, ids in mine.items() if ids},
        }
    except ChecklistError as error:
        return {} if error.code == "language_unknown" else {"error": error}


def _naming(folder: Folder) -> dict[str, Callable[[str], str]]:
    """Give how a list names a text: in English, in the language itself, or by a hash, for the id is English too."""
    return {
        "english": lambda name: folder.source[name].text,
        "said": lambda name: next(iter(folder.forms(name.partition("|")[0])), ""),
        "hidden": lambda name: src_hash(folder.source[name]),
    }


def _counts(states: dict[str, str]) -> dict[str, int]:
    told = list(states.values())
    return {state: told.count(state) for state in STATES}


def _known(tag: str) -> dict:
    """Give what is known of a tag as the fields of the form; an unknown one is no hindrance."""
    return known(new_table(tag, source_units())) if TAG.fullmatch(tag) else {}

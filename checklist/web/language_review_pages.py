"""The second and third eye: check a text, say blind what it means, judge that, approve a list."""

from functools import partial

from flask import Response, redirect, render_template, request, url_for

from checklist.errors import ChecklistError
from checklist.translation.checks import ASK, BLOCK
from checklist.translation.folder import Folder
from checklist.translation.ledger import folded, row_hash
from checklist.translation.lists import is_enough
from checklist.translation.obstacles import before_approval
from checklist.translation.source import src_hash, tgt_hash
from checklist.translation.turns import approvable, following, is_judged, may_back
from checklist.web import guard
from checklist.web.language_causes import causes, is_mended_elsewhere
from checklist.web.language_parts import (
    LONGEST_ANSWER,
    LONGEST_NOTE,
    LONGEST_TEXT,
    how,
    languages,
    named,
    note,
    opened,
    person,
    typed,
)
from checklist.web.language_text_pages import entry_of, samples
from checklist.web.language_withdraw_pages import out_of_the_pack
from checklist.web.parts import parts, renew_release


@languages.get("/<tag>/text/<name>/check")
def check(tag: str, name: str) -> str:
    """Put every question of the machine before a second person."""
    folder, who = opened(tag), guard.who()
    last = folder.ledger.last(entry_of(folder, name), folder.forms(name), "checked")
    # One's own answers are there to be looked at again; another person's would only be signed.
    return _check(folder, name, last.get("answers") or {} if last and folded(last["by"]) == folded(who) else {})


@languages.post("/<tag>/text/<name>/check")
def checked(tag: str, name: str) -> Response | tuple[str, int]:
    """Keep that the text says the same, with an answer to every question."""
    who, folder = named(), opened(tag)
    entry_of(folder, name)
    asks = [one.code for one in folder.findings(name) if one.level == ASK]
    answers = {code: typed(f"answer.{code}", LONGEST_ANSWER) for code in asks}
    if not all(answers.values()):
        return _check(folder, name, answers, refused=True), 422
    folder.check(name, who, parts().now(), answers, request.form.get("tgt", ""), typed("note", LONGEST_NOTE))
    note("words_checked", f"{tag} {name}")
    return _on(folder, tag, "check", "station.languages.check")


@languages.get("/<tag>/back/<hidden>")
def back(tag: str, hidden: str) -> str:
    """Ask what a text says, with its English nowhere on the page."""
    folder = opened(tag)
    name = _found(folder, hidden)
    who = guard.who()
    return render_template(
        "language_back.html", language=folder.language, hidden=hidden, forms=folder.forms(name), tgt=folder.tgt(name),
        may=bool(who) and may_back(folder, name, who), longest=LONGEST_TEXT,
    )


@languages.post("/<tag>/back/<hidden>")
def said_back(tag: str, hidden: str) -> Response:
    """Keep what somebody who has not seen the English says that the text means."""
    who, folder = named(), opened(tag)
    name = _found(folder, hidden)
    why = folder.ledger.refusal(folder.source[name], folder.forms(name), "back", who, "person")
    if why:
        raise ChecklistError("review_refused", why="saw" if why == "same_person" else why)
    folder.back(name, who, parts().now(), typed("text", LONGEST_TEXT), how(), request.form.get("tgt", ""))
    # The id is English; in the list of who did what it comes with the judgement.
    note("words_back", f"{tag} {hidden}")
    left = following(folder, "back", who)
    if left:
        return redirect(url_for("station.languages.back", tag=tag, hidden=src_hash(folder.source[left])), 303)
    return redirect(url_for("station.languages.one", tag=tag), 303)


@languages.get("/<tag>/text/<name>/judge")
def judge(tag: str, name: str) -> str:
    """Show English, translation and what it was said to mean, side by side."""
    folder = opened(tag)
    entry, forms = entry_of(folder, name), folder.forms(name)
    row = folder.ledger.said_back(entry, forms)
    if row is None:
        raise ChecklistError("review_refused", why="no_back")
    why = folder.ledger.refusal(entry, forms, "judged", guard.who(), "", {"same": True})
    return render_template(
        "language_judge.html", folder=folder, language=folder.language, entry=entry, name=name, forms=forms, row=row,
        tgt=tgt_hash(forms), back=row_hash(row), why_not=why, longest_note=LONGEST_NOTE,
    )


@languages.post("/<tag>/text/<name>/judge")
def judged(tag: str, name: str) -> Response:
    """Keep whether the back-translation says the same as the English."""
    who, folder, same = named(), opened(tag), request.form.get("same")
    entry_of(folder, name)
    if same not in ("yes", "no"):
        raise ChecklistError("review_refused", why="unknown")
    said, told = folder.forms(name), (request.form.get("tgt", ""), typed("note", LONGEST_NOTE), request.form.get("back", ""))
    folder.judge(
        name, who, parts().now(), same == "yes", *told,
        then=lambda: out_of_the_pack(tag, name, said) if same == "no" else None,
    )
    note("words_judged", f"{tag} {name}: {same}")
    return renew_release(_on(folder, tag, "judge", "station.languages.judge"))


@languages.get("/<tag>/list/<list_id>")
def whole_list(tag: str, list_id: str) -> str:
    """Show a whole list on one page: every text with who wrote, checked and said it back."""
    folder = opened(tag)
    if list_id not in folder.lists:
        raise ChecklistError("not_found", list=list_id)
    rows, ready = [], 0
    for name in folder.lists[list_id].ids(folder.source):
        entry, forms = folder.source[name], folder.forms(name)
        state = folder.state(name)
        still_open = before_approval(folder.obstacles(name))
        ready += is_enough(entry, state) and not still_open
        last = {act: folder.ledger.last(entry, forms, act) for act in ("written", "checked", "approved")}
        last["back"] = folder.ledger.said_back(entry, forms)
        rows.append({
            "name": name, "entry": entry, "forms": forms, "state": state, "last": last, "same": is_judged(folder, name),
            "open": still_open, "samples": samples(folder, entry, forms) if entry.values else [],
        })
    who = guard.who()
    return render_template(
        "language_list.html", folder=folder, language=folder.language, one=folder.lists[list_id], rows=rows, ready=ready,
        may=bool(who) and approvable(folder, list_id, who), longest_note=LONGEST_NOTE,
        seen=_seen(folder, list_id),
    )


@languages.post("/<tag>/list/<list_id>/approve")
def approve(tag: str, list_id: str) -> Response:
    """Approve everything in a list that waits for it; refused when it is no more what was looked at."""
    who, folder = named(), opened(tag)
    if list_id in folder.lists and request.form.get("seen") != _seen(folder, list_id):
        raise ChecklistError("review_refused", why="changed")
    count = folder.approve(list_id, who, parts().now(), typed("note", LONGEST_NOTE))
    note("words_approved", f"{tag} {list_id}: {count}")
    return redirect(url_for("station.languages.whole_list", tag=tag, list_id=list_id, approved=count), 303)


def _check(folder: Folder, name: str, answers: dict[str, str], *, refused: bool = False) -> str:
    entry, forms = entry_of(folder, name), folder.forms(name)
    found = folder.findings(name)
    return render_template(
        "language_check.html", folder=folder, language=folder.language, entry=entry, name=name, forms=forms,
        blocks=[one for one in found if one.level == BLOCK], asks=[one for one in found if one.level == ASK],
        why_not=folder.ledger.refusal(entry, forms, "checked", guard.who()), tgt=tgt_hash(forms), answers=answers,
        refused=refused, samples=samples(folder, entry, forms), longest_answer=LONGEST_ANSWER, longest_note=LONGEST_NOTE,
        writers=sorted({person(row["by"]) for row in folder.ledger.of(entry, forms) if row["act"] == "written"}),
        before=folder.before(name), causes=partial(causes, folder.language),
        elsewhere=is_mended_elsewhere(folder.language, [one for one in found if one.rows]),
    )


def _found(folder: Folder, hidden: str) -> str:
    for name, entry in folder.source.items():
        if src_hash(entry) == hidden and folder.forms(name):
            return name
    raise ChecklistError("not_found")


def _seen(folder: Folder, list_id: str) -> str:
    """Name everything that stands on the page of a list, so that nothing else is approved by its button."""
    return tgt_hash([f"{src_hash(folder.source[name])} {folder.tgt(name)}" for name in folder.lists[list_id].ids(folder.source)])


def _on(folder: Folder, tag: str, act: str, endpoint: str) -> Response:
    """Lead on to the next of the same kind, or back to the language."""
    left = following(folder, act, guard.who())
    if left:
        return redirect(url_for(endpoint, tag=tag, name=left, kept=1), 303)
    return redirect(url_for("station.languages.one", tag=tag), 303)

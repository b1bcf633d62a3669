"""The pack of a language: make it, see what it leaves out, who made which one when."""

from dataclasses import dataclass

from flask import Response, redirect, render_template, request, url_for

from checklist import packs
from checklist.errors import ChecklistError
from checklist.translation.packing import Packed
from checklist.translation.table import is_pseudo
from checklist.web import guard
from checklist.web.asked import whole
from checklist.web.language_parts import languages, named, opened
from checklist.web.language_table_pages import table_state
from checklist.web.parts import parts, renew_release

HISTORY = 20
# So many texts that keep a list out are named; the rest is a number.
MOST_NAMED = 20


@dataclass(frozen=True)
class Trial:
    """What would come of making the pack now: the pack, or why there is none."""

    packed: Packed | None
    error: ChecklistError | None


@languages.get("/<tag>/pack")
def pack(tag: str) -> str:
    """Show what a pack made now would hold and leave out, and the packs of before."""
    folder, reader = opened(tag), parts().journal.reader
    before = whole("before")
    made = packs.history(reader, tag, before=before, size=HISTORY + 1)
    return render_template(
        "language_pack.html", language=folder.language, folder=folder, trial=_trial(tag), most=MOST_NAMED,
        **table_state(folder), in_force=packs.in_force(reader).get(tag, ""), made=made[:HISTORY], is_pseudo=is_pseudo(tag),
        older=made[HISTORY - 1]["pack_no"] if len(made) > HISTORY else None,
    )


@languages.post("/<tag>/pack")
def make_pack(tag: str) -> Response:
    """Make the pack and put it in force; raises words_unready with the reasons."""
    who, shared, folder = named(), parts(), opened(tag)
    now = shared.now()

    def keep(packed: Packed) -> None:
        clips = {digest: path.read_bytes() for digest, path in packed.clips.items()}
        shared.journal.write(lambda store: packs.keep(store, shared.identity, packed.body, clips, who, now))

    digest = folder.pack(who, now, keep).digest
    return renew_release(redirect(url_for("station.languages.pack", tag=tag, made=digest[:16]), 303))


def _trial(tag: str) -> Trial:
    try:
        return Trial(opened(tag).pack(guard.who() or "-", parts().now()), None)
    except ChecklistError as error:
        if error.code != "words_unready":
            raise
        return Trial(None, error)

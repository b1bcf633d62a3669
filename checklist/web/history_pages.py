"""The history of cases: pages of many, and one case with its timeline."""

import time

from flask import Blueprint, abort, render_template, request, url_for

from checklist import station, summary
from checklist.core.case import fold
from checklist.core.event import parse
from checklist.core.measures import measures
from checklist.errors import ChecklistError
from checklist.tables import kinds
from checklist.web.parts import parts

PAGE_SIZE = 50
MODES = ("real", "practice")

history = Blueprint("history", __name__)


@history.get("/")
def cases() -> str:
    """Show cases, newest first, one page at a time."""
    mode = request.args.get("mode", MODES[0])
    if mode not in MODES:
        abort(404)
    post = request.args.get("post", "")
    reader = parts().journal.reader
    found = summary.page(
        reader, mode=mode, post=post, before=_before(), size=PAGE_SIZE + 1
    )
    return render_template(
        "cases.html",
        cases=found[:PAGE_SIZE],
        modes=MODES,
        mode=mode,
        post=post,
        posts=summary.posts(reader, mode),
        older=_older(found, mode, post),
        later=request.args.get("at") is not None,
    )


@history.get("/cases/<case_id>")
def case(case_id: str) -> str:
    """Show one case: what happened, in order, and what it measures."""
    row = summary.read(parts().journal.reader, case_id)
    if row is None:
        raise ChecklistError("case_unknown", case=case_id)
    told = fold([parse(line) for line in parts().journal.lines_of_case(case_id)])
    return render_template(
        "case.html",
        row=row,
        case=told,
        measures=measures(told, _stamp(told)),
        units={kind: _units(kind) for kind in {entry["kind"] for entry in told["timeline"]}},
    )


def _before() -> tuple[int, str] | None:
    at = request.args.get("at", type=int)
    return None if at is None else (at, request.args.get("case", ""))


def _older(found: list[dict], mode: str, post: str) -> str | None:
    if len(found) <= PAGE_SIZE:
        return None
    last = found[PAGE_SIZE - 1]
    return url_for(
        "station.history.cases", mode=mode, post=post or None,
        at=last["opened_at"], case=last["case_id"],
    )


def _stamp(told: dict) -> dict:
    # A closed case stands still; an open one goes on, by this machine's clock.
    if told["closed"] and told["clock"]:
        return {name: told["clock"][name] for name in ("at", "boot", "tick")}
    return {
        "at": parts().now(), "boot": station.BOOT, "tick": int(time.monotonic() * 1000),
    }


def _units(kind: str) -> dict[str, str]:
    facts = kinds().get(kind, {}).get("facts", {})
    return {name: spec["unit"] for name, spec in facts.items() if "unit" in spec}

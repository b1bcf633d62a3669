"""The history of cases: pages of many, and one case with its timeline."""

from flask import Blueprint, abort, render_template, request, url_for

from checklist import summary, trail
from checklist.core.case import fold
from checklist.core.event import parse
from checklist.core.measures import measures
from checklist.errors import ChecklistError
from checklist.language import Pack
from checklist.web import guard, remark_parts
from checklist.web.asked import whole
from checklist.web.event_words import event_detail, event_text
from checklist.web.parts import parts

PAGE_SIZE = 50
COUNTS = (
    "pulls", "descent_pulls", "perineal_pulls", "poor_pulls", "unjudged_pulls", "detachments",
    "applications",
)
# Lengths of time, and what tells that one has no end yet.
TIMES = {"cup_ms": "cup_running", "traction_ms": "pull_open"}
MODES = ("real", "practice")

history = Blueprint("history", __name__)
guard.protect(history, "supervisor", "lead")


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
    if by := guard.who():
        now = parts().now()
        parts().journal.write(
            lambda store: trail.note(store.connection, by, "case_seen", case_id, now)
        )
    told = fold([parse(line) for line in parts().journal.lines_of_case(case_id)])
    pack = parts().pack
    return render_template(
        "case.html",
        row=row,
        entries=[_in_words(pack, entry, told) for entry in told["timeline"]],
        # What came after the last entry has not arrived, so that is as far as anything is measured.
        counts=_counts(pack, measures(told, told["clock"])),
        anomalies=told["anomalies"],
        **remark_parts.told(case_id),
    )


def _in_words(pack: Pack, entry: dict, told: dict) -> dict:
    return {
        **entry,
        "text": event_text(pack, entry, told),
        "detail": event_detail(pack, entry, told),
        "is_stop": entry["kind"] == "advice_shown" and entry["facts"].get("level") == "stop",
    }


def _before() -> tuple[int, str] | None:
    at = whole("at")
    return None if at is None else (at, request.args.get("case", ""))


def _older(found: list[dict], mode: str, post: str) -> str | None:
    if len(found) <= PAGE_SIZE:
        return None
    last = found[PAGE_SIZE - 1]
    return url_for(
        "station.history.cases", mode=mode, post=post or None,
        at=last["opened_at"], case=last["case_id"],
    )


def _counts(pack: Pack, measured: dict) -> list[tuple[str, str]]:
    counts = [(name, str(measured[name])) for name in COUNTS]
    times = [(name, _length(pack, measured[name], measured[runs])) for name, runs in TIMES.items()]
    return [(pack.text(f"station.measure.{name}"), value) for name, value in counts + times]


def _length(pack: Pack, ms: int | None, runs: int) -> str:
    told = _minutes(pack, ms)
    return pack.text("station.case.to_last", time=told) if runs else told


def _minutes(pack: Pack, ms: int | None) -> str:
    if ms is None:
        return pack.text("station.case.cannot_tell")
    return pack.quantity(f"{ms // 60_000}:{ms // 1000 % 60:02d}", "min")

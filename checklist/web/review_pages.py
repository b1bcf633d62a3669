"""The review: births to talk over, what is missing, one birth, and all posts."""

import sqlite3

from flask import Blueprint, render_template, url_for

from checklist import review, summary, trail
from checklist.core.case import fold
from checklist.core.event import parse
from checklist.errors import ChecklistError
from checklist.post_protocol import protocol_for
from checklist.review_counts import INDICATORS, counted
from checklist.review_facts import SENTINEL, TALK
from checklist.review_steps import AT_THE_TIME, critical_steps
from checklist.tables import protocols
from checklist.web import guard, remark_parts, review_drawing
from checklist.web.event_words import event_detail, event_text
from checklist.web.parts import parts
from checklist.web.review_filter import Chosen, chosen, month_text, number, place
from checklist.web.review_words import reasons, said

SHOWN_NOW, SHOWN_TALK, SHOWN_SILENT = 20, 10, 10
PAGE_SIZE = 50
DAY_MS = 86_400_000
# Common practice, no source: the logs come in once a week.
SILENT_DAYS = 7

pages = Blueprint("review", __name__, url_prefix="/review")
guard.protect(pages, "supervisor", "lead")


@pages.get("/")
def first() -> str:
    """Show what to talk over first, what has not arrived, and the counts."""
    asked, reader = chosen(), parts().journal.reader
    scope = asked.scope
    sums = review.whole(review.months(reader, scope))
    open_births = {
        talk: review.to_talk(reader, scope, talk=talk, reviewed=False, size=size)
        for talk, size in ((SENTINEL, SHOWN_NOW), (TALK, SHOWN_TALK))
    }
    silent = [one for one in devices_in_words(0, SHOWN_SILENT) if one["silent"] or one["forks"]]
    return render_template(
        "review.html",
        **filter_parts(asked, reader),
        now=worded(open_births[SENTINEL]),
        talk=worded(open_births[TALK]),
        open=review.count_open(reader, scope),
        most=review.MOST_COUNTED,
        sums=sums,
        counts=[counted(indicator, sums, None) for indicator in INDICATORS],
        silent=silent,
    )


@pages.get("/cases")
def cases() -> str:
    """List births to talk over, or those that were, a page at a time."""
    asked, reader = chosen(), parts().journal.reader
    state, weight = number("reviewed", 0), number("weight", TALK)
    if state > 1 or weight not in (TALK, SENTINEL):
        raise ChecklistError("filter_wrong", reviewed=state, weight=weight)
    found = review.to_talk(
        reader, asked.scope, talk=weight, reviewed=bool(state), before=place(), size=PAGE_SIZE + 1
    )
    last = found[PAGE_SIZE - 1] if len(found) > PAGE_SIZE else None
    older = last and url_for(
        "station.review.cases",
        **asked.args(reviewed=state, weight=weight, at=last["opened_at"], case=last["case_id"]),
    )
    return render_template(
        "review_cases.html", **filter_parts(asked, reader), cases=worded(found[:PAGE_SIZE]),
        state=state, weight=weight, older=older,
    )


@pages.get("/cases/<case_id>")
def case(case_id: str) -> str:
    """Show one birth to talk over: why, what was shown, what was done."""
    reader = parts().journal.reader
    birth, row = review.read(reader, case_id), summary.read(reader, case_id)
    if birth is None or row is None:
        raise ChecklistError("case_unknown", case=case_id)
    _note_that_it_was_seen(case_id)
    told = fold([parse(line) for line in parts().journal.lines_of_case(case_id)])
    table, _ = protocol_for(reader, birth["protocol"])
    pack = parts().pack
    return render_template(
        "review_case.html",
        row=row, birth=birth, case_id=case_id, told=told, **remark_parts.told(case_id),
        reasons=reasons(pack, birth), said=lambda fact: said(pack, birth, fact),
        drawing=review_drawing.timeline(told),
        advice=[entry for entry in _in_words(told) if entry["kind"] == "advice_shown"],
        choices={
            (item["ms"], item["limit"], item["level"]): item["choice"] for item in told["advice"]
        },
        entries=_in_words(told),
        steps=[step for step in critical_steps(told, table) if step["state"] != AT_THE_TIME],
    )


@pages.get("/posts")
def posts() -> str:
    """List all tablets that send, those not heard for longest first."""
    skip = number("skip", 0)
    found = devices_in_words(skip, PAGE_SIZE + 1)
    return render_template(
        "review_posts.html", devices=found[:PAGE_SIZE],
        more=skip + PAGE_SIZE if len(found) > PAGE_SIZE else None, days=SILENT_DAYS,
    )


def filter_parts(asked: Chosen, reader: sqlite3.Connection) -> dict:
    """Give what the filter on top of a page shows, and the note on mixed protocols."""
    held = review.protocols(reader, asked.scope)
    return {
        "asked": asked, "month_text": month_text, "posts": summary.posts(reader, "real"),
        "protocols": [one["protocol"] for one in held if one["protocol"]],
        "protocol_names": {digest: table["id"] for digest, table in protocols().items()},
        "mixed": len(held) > 1,
    }


def worded(rows: list[dict]) -> list[dict]:
    """Add the reasons in words to rows of births."""
    pack = parts().pack
    return [{**row, "why": reasons(pack, row)} for row in rows]


def devices_in_words(skip: int, size: int) -> list[dict]:
    """Give tablets with the days since they were heard."""
    now = parts().now()
    found = review.devices(parts().journal.reader, skip=skip, size=size)
    for one in found:
        heard = one["heard_at"]
        one["days"] = None if heard is None else max(0, (now - heard) // DAY_MS)
        one["silent"] = heard is None or one["days"] >= SILENT_DAYS
    return found


def _in_words(told: dict) -> list[dict]:
    pack = parts().pack
    return [
        {**entry, "text": event_text(pack, entry, told), "detail": event_detail(pack, entry, told),
         "is_stop": entry["kind"] == "advice_shown" and entry["facts"].get("level") == "stop"}
        for entry in told["timeline"]
    ]


def _note_that_it_was_seen(case_id: str) -> None:
    if by := guard.who():
        now = parts().now()
        parts().journal.write(
            lambda store: trail.note(store.connection, by, "case_seen", case_id, now)
        )

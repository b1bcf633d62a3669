"""The review: births in a row, counts with their plausible range, months, births since."""

from functools import partial

from flask import render_template, request

from checklist import review
from checklist.errors import ChecklistError
from checklist.review_counts import (
    BY_ID,
    INDICATORS,
    PROCESS_CHARTS,
    RARE_HARMS,
    counted,
    funnel,
    points,
    since_last,
    without,
)
from checklist.statistics import FEWEST_TO_COMPARE
from checklist.web import review_drawing
from checklist.web.parts import parts
from checklist.web.review_filter import Chosen, chosen
from checklist.web.review_pages import filter_parts, pages
from checklist.web.review_words import said

# So many columns fit a page on its side.
BIRTHS_IN_STRIP = 40
STRIP_FACTS = [
    "failed", "detached_twice", "many_pulls", "long", "severe_tear", "scalp", "low_apgar",
    "overridden", "late_entries",
]


@pages.get("/births")
def births() -> str:
    """Show births in order, counts, process by month, and births since the last event."""
    asked, reader = chosen(), parts().journal.reader
    months = review.months(reader, asked.scope)
    sums = review.whole(months)
    other, beside = _compared(asked, sums)
    last = review.births(reader, asked.scope)
    charts = {name: review_drawing.run(points(BY_ID[name], months)) for name in PROCESS_CHARTS}
    return render_template(
        "review_births.html",
        **filter_parts(asked, reader),
        sums=sums, beside=beside,
        counts=[counted(indicator, sums, other) for indicator in INDICATORS],
        strip=review_drawing.strip(last[:BIRTHS_IN_STRIP], STRIP_FACTS),
        charts=charts,
        since=[since_last(name, last) for name in RARE_HARMS],
        said=partial(said, parts().pack),
        looked_back=len(last),
    )


@pages.get("/funnel")
def all_posts() -> str:
    """Show the posts side by side, by name, and a funnel where enough of them can be judged."""
    asked, reader = chosen(), parts().journal.reader
    name = request.args.get("of", INDICATORS[0].id)
    if name not in BY_ID:
        raise ChecklistError("filter_wrong", of=name[:60])
    found = review.posts(reader, asked.everywhere)
    laid = funnel(BY_ID[name], found)
    return render_template(
        "review_funnel.html",
        **filter_parts(asked, reader),
        of=name, indicators=INDICATORS,
        funnel=review_drawing.funnel(laid) if laid else None,
        verdicts={one["post"]: one["verdict"] for one in laid["points"]} if laid else {},
        rows=[{"post": one["post"], **counted(BY_ID[name], one, None)} for one in found if one["births"]],
    )


def _compared(asked: Chosen, sums: dict) -> tuple[dict | None, str]:
    """Give the births that these are compared with: other posts, else the months before."""
    reader = parts().journal.reader
    if asked.scope.post is not None:
        others = without(review.whole(review.months(reader, asked.everywhere)), sums)
        if others["births"] >= FEWEST_TO_COMPARE:
            return others, "others"
    earlier = review.whole(review.months(reader, asked.earlier))
    if earlier["births"] >= FEWEST_TO_COMPARE:
        return earlier, "earlier"
    return None, "nothing"

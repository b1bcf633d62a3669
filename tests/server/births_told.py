"""Put births, told as stories, into a tablet's log, each on a day of its own."""

import secrets

from checklist.core.event import seal
from tests.server.tablet import Tablet
from tests.stories import START_MS, Story, a_case

DAY_MS = 86_400_000
POST = "Hill post"


def put(tablet: Tablet, story: Story, *, days: float = 0, case: str | None = None) -> str:
    """Add the events of a story to a tablet's log, so many days after the first; gives the case."""
    case = case or secrets.token_hex(8)
    for event in story.events:
        at = event["at"] + round(days * DAY_MS)
        row = {**event, "log": tablet.log, "seq": len(tablet.lines) + 1, "case": case, "at": at}
        tablet.lines.append(seal(row))
    return case


def started(post: str = POST, **facts: object) -> Story:
    """A birth by the book, up to the moment before the first pull."""
    return a_case().opened(post=post, **facts).answered_all().decided().ready()


def born(story: Story, apgar: int | None = 9, tear: str | None = "none") -> Story:
    """The baby is born in the next pull, and what belongs to the hour after is told."""
    story = story.after(120).begins().after(30).head_out().after(10).born().cup_off()
    if apgar is not None:
        story = story.after(300).tells("apgar_scored", minute=5, score=apgar)
    if tear is not None:
        story = story.tells("tear_graded", grade=tear)
    return story.tells("placenta_delivered", complete="yes").closed()


def by_the_book(post: str = POST) -> Story:
    """Two pulls, a healthy baby, nothing left open."""
    return born(started(post).pull(descent="yes"))


FIRST_MS = START_MS

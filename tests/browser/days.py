"""What the stories of a whole day share: births told by tapping, rounds, and the time between."""

import datetime as dt
import re

from playwright.sync_api import Locator, Page

from tests.browser.app import WORDS, kept_events
from tests.midwife import Midwife

# What a well baby shows, step by step, up to the first number of a round.
WELL = {
    "scalp": "flat", "swelling": "none", "ear": "usual", "colour": "pink", "tone": "good", "feeding": "good",
    "cry": "good", "breathing": "quiet", "signs": "none",
}
NUMBERS = (140, 44, 2, "36.8")


def told(page: Page, kind: str, **facts: object) -> list[dict]:
    """The facts of every entry of a kind that says this, in order."""
    found = [event["facts"] for event in kept_events(page) if event["kind"] == kind]
    return [one for one in found if facts.items() <= one.items()]


def key(midwife: Midwife, name: str) -> Locator:
    """A key of the open lanes, list or question by what it says."""
    return midwife.labelled(WORDS.text(name))


def tier(page: Page, number: int) -> Locator:
    """The banner that says how closely the baby is watched."""
    return page.get_by_role("button", name=re.compile(re.escape(WORDS.text(f"after.tier.{number}"))))


def type_number(midwife: Midwife, number: int | str) -> None:
    midwife.type(number)


def look_at_baby(midwife: Midwife, head: int) -> None:
    """One whole round at a well baby whose head has this size in mm."""
    midwife.tap("after.baby_round")
    for step, answer in WELL.items():
        midwife.tap(f"baby.{step}.{answer}")
    for number in NUMBERS:
        type_number(midwife, number)
    type_number(midwife, head)


def round_in_part(midwife: Midwife, lane: str) -> None:
    """A round of which only the first question is answered."""
    midwife.tap(f"after.{lane}_round")
    midwife.tap({"baby": "baby.scalp.flat", "mother": "mother.bleeding.usual"}[lane])
    midwife.tap("after.round_end")


def last_pull(midwife: Midwife, seconds: float = 30) -> None:
    """The pull with which the head is born, the cup off, and the baby."""
    midwife.begin_pull()
    midwife.wait(seconds)
    midwife.head_out()
    midwife.cup_off()
    midwife.born()


def easy_birth(midwife: Midwife, *, begun: bool = False) -> None:
    """Two pulls by the book, nothing that asks for a closer watch."""
    if not begun:
        midwife.start()
    midwife.answer_all(reason="baby", first_birth="later")
    midwife.decide()
    midwife.apply()
    midwife.pull(40, "yes")
    midwife.wait(90)
    last_pull(midwife)


def hard_birth(midwife: Midwife) -> None:
    """Four pulls, the cup came off once, a first birth."""
    midwife.start()
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(40, "yes")
    midwife.wait(90)
    midwife.begin_pull()
    midwife.wait(20)
    midwife.detach()
    midwife.check_scalp()
    midwife.apply()
    midwife.wait(60)
    midwife.pull(40, "perineum")
    midwife.wait(90)
    last_pull(midwife)


def wait_until(midwife: Midwife, born: float, seconds: float) -> None:
    """Go on to so many seconds after the birth."""
    left = born + seconds - wall_s(midwife)
    if left > 0:
        midwife.wait(left)


def wall_s(midwife: Midwife) -> float:
    return midwife.page.evaluate("Date.now()") / 1000


def born_s(page: Page) -> float:
    return next(event["at"] for event in kept_events(page) if event["kind"] == "baby_born") / 1000


def moment(seconds: float) -> dt.datetime:
    return dt.datetime.fromtimestamp(seconds, dt.UTC)


def go_home(midwife: Midwife) -> None:
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back"), exact=True), redraws=False)
    midwife.expect_screen("home")

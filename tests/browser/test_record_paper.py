"""The record on paper: every part on at most two sheets, gaps as gaps, and the chain that the journal has."""

import datetime as dt
import re

import pytest

from checklist.sync import chain, genesis
from checklist.tables import STATIC
from tests.browser.app import WORDS, kept_lines, open_at
from tests.browser.days import born_s, easy_birth, hard_birth, look_at_baby, wait_until
from tests.pdf import sheets

EVENING = dt.datetime(2026, 3, 1, 19, 30, tzinfo=dt.UTC)
PARTS = ["decision", "before", "course", "totals", "heart", "cup", "pulls", "advice", "end", "mother", "baby", "hand", "open", "entries"]
BY_HAND = ["parity", "second_stage", "pushing", "dystocia", "episiotomy", "repair", "cord_gas", "clots", "next_birth"]
WIDEST = """() => [...document.querySelectorAll(".record *")].filter((one) =>
  one.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map((one) => one.className || one.tagName)"""


@pytest.fixture
def midwife(served, tmp_path, context):
    served.start(STATIC, data=tmp_path / "station")
    return open_at(context, served.url, EVENING)


def printed(midwife):
    """Open the record and print it, once the chain stands in its foot."""
    midwife.press(midwife.page.locator("[data-key=record]"))
    midwife.page.clock.run_for(500)
    midwife.page.get_by_text(WORDS.text("record.digest")).first.wait_for()
    return sheets(midwife.page)


def test_an_ordinary_birth_stands_on_two_sheets_with_every_part(midwife):
    easy_birth(midwife)
    look_at_baby(midwife, 345)

    paper = printed(midwife)

    assert len(paper) == 2
    whole = " ".join(paper)
    for part in PARTS:
        assert WORDS.text(f"record.part.{part}") in whole, part
    for line in BY_HAND:
        assert WORDS.text(f"record.hand.{line}") in whole, line
    for sheet in paper:
        assert len(sheet.split()) > 100
        assert WORDS.text("app.caution") in sheet


def test_a_hard_birth_watched_for_hours_stands_on_three_sheets(midwife):
    hard_birth(midwife)
    born = born_s(midwife.page)
    for hour, head in ((0, 345), (1, 346), (2, 347), (3, 349)):
        wait_until(midwife, born, hour * 3600 + 60)
        look_at_baby(midwife, head)

    paper = printed(midwife)

    assert len(paper) <= 3
    assert re.search(r"345 mm.*346 mm.*347 mm.*349 mm", " ".join(paper))
    midwife.page.emulate_media(media="print")
    assert midwife.page.evaluate(WIDEST) == []


def test_what_nobody_told_of_mother_and_baby_is_not_recorded_and_never_a_no(midwife):
    easy_birth(midwife)

    whole = " ".join(printed(midwife))

    for name in ("mother.name.swabs_before", "mother.name.rectal_exam", "baby.name.weight", "after.vitamin_k"):
        assert re.search(rf"{re.escape(WORDS.text(name))}\s*{WORDS.text('app.not_recorded')}", whole), name


def test_the_foot_names_the_chain_that_the_journal_has(midwife):
    easy_birth(midwife)

    whole = " ".join(printed(midwife))

    lines = kept_lines(midwife.page)
    log = re.search(rf"{WORDS.text('record.log')} ([0-9a-f]{{32}})", whole)[1]
    own = [line for line in lines if f'"log":"{log}"' in line]
    told = re.search(rf"{WORDS.text('record.digest')} (\d+): ([0-9a-f]{{16}})", whole)
    hashes = chain(genesis(log), own)
    assert hashes[int(told[1]) - 1].hex()[:16] == told[2]


def test_a_change_says_its_time_at_first_why_and_whose_word_it_is(midwife):
    easy_birth(midwife)
    page = midwife.page
    page.locator("[data-key=record]").click()
    page.clock.run_for(500)
    page.locator("[data-key=correct]").click()
    page.clock.run_for(500)
    page.get_by_text(WORDS.text("log.who_why")).click()
    midwife.tap("role.senior", kept=False)
    midwife.tap("log.why.late", kept=False)
    page.locator("li[data-kind=baby_born] summary").click()
    midwife.press(page.locator("li[data-kind=baby_born] [data-key^=ago-1]"))
    page.get_by_role("button", name=WORDS.text("app.back"), exact=True).click()
    page.clock.run_for(500)

    whole = " ".join(printed(midwife))

    assert WORDS.text("record.why", why=WORDS.text("log.why.late")) in whole
    assert WORDS.text("record.by", by=WORDS.text("role.senior")) in whole
    assert re.search(r"time estimated, told at 19:\d\d", whole)
    assert re.search(r"\(was at 19:\d\d\)", whole)

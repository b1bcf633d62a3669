"""The wall card: one A4 sheet that holds the protocol in force, in whatever language."""

import re

import pytest
from playwright.sync_api import Page, expect

from checklist.tables import STATIC, protocol_in_force
from tests.browser.app import WORDS, expect_begun, midwife, open_app, station  # noqa: F401
from tests.midwife import Midwife
from tests.pdf import sheets
from tests.pseudo import pseudo_translations

DIGEST, PROTOCOL = protocol_in_force()
LONG = "en-XA"
ARABIC = "ar-XB"


def open_card(midwife: Midwife) -> Page:  # noqa: F811
    midwife.tap("home.settings")
    midwife.page.locator("[data-key=card]").click()
    midwife.lift()
    midwife.expect_screen("card")
    return midwife.page


def test_the_card_is_one_sheet_with_the_protocol_it_came_from_and_the_caution(midwife):  # noqa: F811
    (sheet,) = sheets(open_card(midwife))

    assert DIGEST in sheet and PROTOCOL["id"] in sheet and PROTOCOL["sign_off"] in sheet
    assert WORDS.text("app.caution") in sheet and WORDS.text("app.unsigned") in sheet


def test_every_question_every_stop_and_every_red_flag_is_on_it(midwife):  # noqa: F811
    (sheet,) = sheets(open_card(midwife))

    asked = [row["id"] for row in PROTOCOL["questions"] if not row.get("optional")]
    stops = [row["id"] for row in PROTOCOL["limits"] if any(level["level"] == "stop" for level in row["levels"])]
    names = [WORDS.text(f"before.{name}.short") for name in asked]
    names += [WORDS.text(f"settings.limit.{name}") for name in stops]
    names += [WORDS.text(f"newborn.row.{row['id']}") for row in PROTOCOL["newborn"]]
    names += [WORDS.text(f"cup.step.{row['id']}") for row in PROTOCOL["steps"]]
    assert len(names) > 60
    assert [name for name in names if name not in sheet] == []


def test_every_answer_that_speaks_against_a_start_is_on_it(midwife):  # noqa: F811
    (sheet,) = sheets(open_card(midwife))

    against = [
        f"before.{row['id']}.{choice['id']}"
        for row in PROTOCOL["questions"]
        for choice in [*row["answers"], *row.get("places", [])]
        if choice["verdict"] in ("ask", "not_yet", "refer")
    ]
    assert len(against) > 25
    assert [name for name in against if WORDS.text(name) not in sheet] == []


def test_there_are_as_many_boxes_as_the_stop_has(midwife):  # noqa: F811
    page = open_card(midwife)

    for row in PROTOCOL["limits"]:
        stop = next((level["at"] for level in row["levels"] if level["level"] == "stop"), None)
        if row["judge"] != "count" or stop is None:
            continue
        line = page.get_by_role("listitem").filter(has_text=WORDS.text(f"settings.limit.{row['id']}"))
        expect(line.locator(".box")).to_have_count(stop)
        # The sign after the last box says stop, whatever caution is reached there too.
        expect(line.locator("svg").last).to_have_attribute("data-sign", "stop")


def test_the_antibiotic_is_told_by_its_two_parts(midwife):  # noqa: F811
    (sheet,) = sheets(open_card(midwife))

    for part in next(row for row in PROTOCOL["medicines"] if row["id"] == "antibiotic")["parts"]:
        dose = WORDS.text("after.amount.mg", n=part["dose"] // 1000)
        assert WORDS.text(f"after.part.{part['name']}", dose=dose).replace("\u00a0", " ") in sheet


def test_the_times_of_the_rounds_are_those_of_the_protocol(midwife):  # noqa: F811
    page = open_card(midwife)

    for tier, minutes in PROTOCOL["rounds"]["baby"].items():
        if tier.isdigit():
            line = page.get_by_role("listitem").filter(has_text=WORDS.text("card.tier", tier=tier))
            expect(line.locator(".box")).to_have_count(len(minutes))


def card_in(lang, served, tmp_path, context) -> Page:
    """The card of a tablet that speaks a language."""
    address = served.start(STATIC, data=tmp_path / "station", translations=pseudo_translations(tmp_path / "words"), ready=(lang,))
    page = open_app(context, address.url).page
    page.evaluate("(language) => localStorage.setItem('settings', JSON.stringify({ language }))", lang)
    page.reload()
    expect_begun(page)
    page.locator("[data-key=settings]").click()
    page.locator("[data-key=card]").click()
    return page


def test_a_language_that_puts_the_unit_first_has_it_once_in_a_range(served, tmp_path, context):
    sheet = card_in("sw", served, tmp_path, context).get_by_role("article")

    expect(sheet).to_contain_text(re.compile(r"kPa\s\d+ hadi \d+ \(mmHg\s\d+ hadi \d+\)"))
    expect(sheet).to_contain_text(re.compile(r"\d+ hadi \d+\s/min"))
    expect(sheet).not_to_contain_text(re.compile(r"hadi (kPa|mmHg)"))


@pytest.mark.parametrize(("lang", "direction"), [(LONG, "ltr"), (ARABIC, "rtl"), ("fr", "ltr"), ("es", "ltr"), ("sw", "ltr"), ("ar", "rtl")])
def test_a_longer_language_and_one_from_right_to_left_still_fit_one_sheet(served, tmp_path, context, lang, direction):
    page = card_in(lang, served, tmp_path, context)
    sheet = page.get_by_role("article")

    assert page.evaluate("document.documentElement.dir") == direction
    size = sheet.evaluate("(one) => [one.scrollHeight - one.clientHeight, one.scrollWidth - one.clientWidth]")
    assert max(size) <= 0
    (printed,) = sheets(page)
    assert DIGEST in printed
    letters = sheet.evaluate("(one) => Number.parseFloat(getComputedStyle(one).fontSize)")
    # 6 pt on paper, common practice for small print that must still be read: no source.
    assert letters >= 8

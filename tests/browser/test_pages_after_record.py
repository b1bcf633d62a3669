"""What comes after a birth: care, the record on screen and paper, the history, the settings."""

import datetime as dt
import re

import pytest
from playwright.sync_api import Locator, Page, expect

from checklist.core.event import parse
from checklist.tables import STATIC
from tests.browser.app import WORDS, expect_begun, kept_lines, open_app, open_at
from tests.browser.days import last_pull
from tests.midwife import Midwife

BEGAN = dt.datetime(2026, 3, 1, 2, 10, tzinfo=dt.UTC)
NOT_RECORDED = WORDS.text("app.not_recorded")
A_PAGE = 20
# A sheet of the PDF, and not the list of all sheets.
SHEET = re.compile(rb"/Type\s*/Page\b(?!s)")


@pytest.fixture
def station(served, tmp_path):
    """A station on an empty journal."""
    return served.start(STATIC, data=tmp_path / "station")


def give_birth(midwife: Midwife, *, detach: bool = False) -> None:
    """A birth from the first question to the baby, judged once as not sure."""
    midwife.start()
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(40, "yes")
    midwife.wait(120)
    if detach:
        midwife.begin_pull()
        midwife.wait(20)
        midwife.detach()
        midwife.check_scalp()
        midwife.apply()
        midwife.wait(60)
    last_pull(midwife, 40)


def give_care(midwife: Midwife) -> None:
    """Girl, Apgar 7 at 1 min, oxytocin, the antibiotic after its question."""
    midwife.tap("after.girl", redraws=False)
    midwife.press(apgar(midwife, 1))
    midwife.tap("after.apgar_sum")
    midwife.press(midwife.page.get_by_role("button", name="7", exact=True))
    midwife.tap("after.oxytocin")
    midwife.tap("after.antibiotic")
    midwife.tap("after.allergy.none")
    midwife.tap("after.antibiotic")


def apgar(midwife: Midwife, minute: int) -> Locator:
    return midwife.labelled(WORDS.text("after.apgar", n=WORDS.quantity(minute, "min")))


def told(page: Page, kind: str) -> list[dict]:
    """The facts of every entry of a kind, in order."""
    return [event["facts"] for event in map(parse, kept_lines(page)) if event["kind"] == kind]


def open_record(midwife: Midwife) -> Page:
    midwife.tap("after.record")
    midwife.expect_screen("record")
    return midwife.page


def part(page: Page, name: str) -> Locator:
    """The part of the record under this heading."""
    heading = page.get_by_role("heading", name=WORDS.text(f"record.part.{name}"), exact=True)
    return page.locator("section").filter(has=heading)


def gap(page: Page, name: str, **values: object) -> Locator:
    """The entry of a gap in the list of gaps."""
    said = f"{WORDS.text(name, **values)}: {NOT_RECORDED}"
    return part(page, "open").get_by_role("listitem").filter(has_text=re.compile(f"^{re.escape(said)}$"))


def test_care_is_recorded_with_the_protocols_dose_and_shown_with_its_time(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife)
    give_care(midwife)

    mother = midwife.page.locator("section").filter(has=midwife.page.get_by_role("heading", name=WORDS.text("after.mother")))
    assert told(midwife.page, "apgar_scored") == [{"minute": 1, "score": 7}]
    assert told(midwife.page, "medicine_given") == [
        {"to": "mother", "medicine": "oxytocin", "dose": 10_000, "unit": "iu", "route": "im"},
        {"to": "mother", "medicine": "antibiotic", "dose": 1_200_000, "unit": "mg", "route": "iv", "allergy": "none"},
    ]
    expect(midwife.page.get_by_text(WORDS.text("after.apgar_score", n=7, all=10))).to_be_visible()
    expect(midwife.key("after.girl")).to_have_attribute("aria-pressed", "true")
    expect(mother.get_by_role("listitem").filter(has_text=WORDS.text("after.antibiotic"))).to_contain_text(
        re.compile(WORDS.text("after.allergy.none") + r".*At \d\d:\d\d"))


def test_an_allergy_stands_in_the_way_of_the_antibiotic_and_another_one_can_be_told(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife)
    midwife.tap("after.antibiotic")
    midwife.tap("after.allergy.yes")
    assert told(midwife.page, "medicine_given") == []

    midwife.tap("after.antibiotic")
    expect(midwife.page.get_by_role("status").filter(has_text=WORDS.text("after.allergic"))).to_be_visible()
    midwife.tap("after.other_given")

    assert told(midwife.page, "medicine_given") == [{"to": "mother", "medicine": "other_antibiotic", "allergy": "yes"}]


def test_what_is_late_says_so_in_words(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife)
    expect(midwife.key("after.oxytocin")).to_contain_text(WORDS.text("after.due"))

    midwife.wait(70)

    expect(midwife.key("after.oxytocin")).to_contain_text(re.compile(r"Late: was due by \d\d:\d\d"))
    expect(apgar(midwife, 5)).not_to_contain_text("Late")


def test_a_birth_that_is_taken_back_leaves_the_screen(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife)

    midwife.undo()

    midwife.expect_screen("pull")


def test_every_gap_of_a_birth_is_in_the_record(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife)
    give_care(midwife)

    page = open_record(midwife)

    expect(gap(page, "record.gap.heart")).to_be_visible()
    expect(gap(page, "after.apgar", n=WORDS.quantity(5, "min"))).to_be_visible()
    expect(gap(page, "record.gap.vitamin_k")).to_be_visible()
    expect(gap(page, "after.apgar", n=WORDS.quantity(1, "min"))).to_have_count(0)
    expect(gap(page, "record.gap.oxytocin")).to_have_count(0)
    expect(part(page, "mother").get_by_text(NOT_RECORDED).first).to_be_visible()


def test_a_start_without_any_question_leaves_every_answer_open(station, context):
    midwife = open_at(context, station.url, BEGAN)
    midwife.start_at_once()
    midwife.choose_cup()
    midwife.tap("app.not_sure")
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back")))
    midwife.press(midwife.page.locator("[data-key=cases]"))
    midwife.press(midwife.page.get_by_role("listitem").get_by_role("button").first)

    page = midwife.page
    expect(part(page, "before").get_by_text(NOT_RECORDED)).to_have_count(part(page, "before").get_by_role("definition").count())
    expect(part(page, "decision")).to_contain_text(WORDS.text("record.override"))
    expect(gap(page, "record.gap.working", n=1)).to_be_visible()
    # Not sure is an answer, and no gap.
    expect(gap(page, "record.gap.placement", n=1)).to_have_count(0)
    expect(part(page, "cup")).to_contain_text(WORDS.text("app.not_sure"))


def test_what_was_taken_back_is_struck_through_and_said(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife)
    midwife.tap("after.oxytocin")
    midwife.undo()

    page = open_record(midwife)

    [entry] = part(page, "entries").get_by_role("listitem").filter(has_text=WORDS.text("log.taken_back")).filter(
        has_text=WORDS.text("after.oxytocin")).all()
    expect(entry.get_by_role("deletion")).to_contain_text(WORDS.text("after.oxytocin"))
    expect(gap(page, "record.gap.oxytocin")).to_be_visible()


def test_a_detachment_stands_in_the_drawing_in_the_counts_and_in_the_lists(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife, detach=True)

    page = open_record(midwife)

    expect(page.get_by_role("img", name=re.compile("3 pulls, the cup came off 1 times"))).to_be_visible()
    expect(part(page, "cup")).to_contain_text(WORDS.text("pull.scalp.whole"))
    expect(part(page, "pulls")).to_contain_text(WORDS.text("record.end.detached"))
    expect(page.get_by_text(re.compile(WORDS.text("record.digest") + r" \d+: [0-9a-f]{16}"))).to_be_visible()


def test_the_printed_record_has_its_caution_and_no_keys_on_one_or_two_sheets(station, context):
    midwife = open_at(context, station.url, BEGAN)
    give_birth(midwife, detach=True)
    give_care(midwife)
    page = open_record(midwife)

    sheets = SHEET.findall(page.pdf(prefer_css_page_size=True))
    page.emulate_media(media="print")

    assert 1 <= len(sheets) <= 2
    expect(page.get_by_text(WORDS.text("app.caution"))).to_be_visible()
    expect(page.get_by_text(WORDS.text("record.signature.operator"))).to_be_visible()
    expect(page.get_by_role("button")).to_have_count(0)
    width = page.evaluate("[document.querySelector('figure svg').clientWidth, document.body.clientWidth]")
    assert width[0] <= width[1]


def open_cases(midwife: Midwife, count: int) -> None:
    """Open cases a minute apart, with beds 1 to 8 in turn, and leave them."""
    for number in range(count):
        midwife.start()
        midwife.answer_one("bed", number % 8 + 1)
        midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back")))
        midwife.wait(60)


def test_the_history_goes_back_page_by_page_and_an_old_case_can_be_taken_up(station, context):
    midwife = open_at(context, station.url, BEGAN)
    open_cases(midwife, A_PAGE + 2)
    midwife.press(midwife.page.locator("[data-key=cases]"))
    records = midwife.page.get_by_role("listitem").get_by_role("button", name=re.compile(r"Bed \d"))
    expect(records).to_have_count(A_PAGE)
    expect(midwife.key("cases.newer")).to_have_count(0)

    midwife.tap("cases.older")
    expect(records).to_have_count(2)
    expect(midwife.key("cases.older")).to_have_count(0)
    expect(records.last).to_contain_text("2026-03-01")

    midwife.press(midwife.key("cases.resume").last)
    midwife.expect_screen("before")
    expect(midwife.page.get_by_role("banner")).to_contain_text(WORDS.text("home.bed", label=1))


def test_an_empty_history_says_so_and_practice_stays_out_of_it(station, context):
    midwife = open_app(context, station.url)
    midwife.press(midwife.page.locator("[data-key=cases]"))
    expect(midwife.page.get_by_text(WORDS.text("cases.empty"))).to_be_visible()
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back")))

    midwife.tap("home.practice")
    midwife.tap("practice.free")
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back")))
    midwife.press(midwife.page.locator("[data-key=cases]"))

    expect(midwife.page.get_by_text(WORDS.text("cases.empty"))).to_be_visible()


def test_settings_hold_over_a_reload(station, context):
    midwife = open_app(context, station.url)
    midwife.press(midwife.page.locator("[data-key=settings]"))
    midwife.tap("settings.theme.night")
    midwife.tap("settings.hand.left")
    size = midwife.page.get_by_role("button", name=WORDS.text("settings.size.smaller"))
    before = card_width(midwife.page)
    for _ in range(4):
        size.click()
    after = card_width(midwife.page)

    midwife.page.reload()
    expect_begun(midwife.page)
    midwife.press(midwife.page.locator("[data-key=settings]"))

    assert after < before
    assert card_width(midwife.page) == after
    for chosen in ("settings.theme.night", "settings.hand.left"):
        expect(midwife.key(chosen)).to_have_attribute("aria-pressed", "true")
    assert midwife.page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(20, 24, 27)"


def card_width(page: Page) -> float:
    return page.get_by_role("img", name=WORDS.text("settings.size.card")).bounding_box()["width"]


def test_every_limit_of_the_protocol_is_listed_with_how_it_is_known(station, context):
    midwife = open_app(context, station.url)
    midwife.press(midwife.page.locator("[data-key=settings]"))

    rows = midwife.page.get_by_role("table", name=WORDS.text("settings.limits")).get_by_role("row")
    expect(rows.filter(has_text=WORDS.text("settings.limit.detachments"))).to_contain_text("from memory")
    expect(midwife.page.get_by_text(WORDS.text("app.unsigned"))).to_be_visible()


def test_the_sound_check_asks_and_answers(station, context):
    midwife = open_app(context, station.url)
    midwife.press(midwife.page.locator("[data-key=settings]"))

    midwife.tap("settings.sound.medium", redraws=False)
    midwife.tap("app.no")

    expect(midwife.page.get_by_text(WORDS.text("settings.sound.unheard"))).to_be_visible()

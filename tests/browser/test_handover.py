"""The hand-over on the tablet: read, noted, given, printed, kept as a file, without network."""

import re
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from tests.browser.app import MORNING, WORDS, kept_events, midwife, open_at, station  # noqa: F401
from tests.midwife import Midwife
from tests.pdf import sheets

NOTE = "Her sister comes along.\nShe is cold."


def stop_early(midwife: Midwife) -> None:  # noqa: F811
    """Two pulls without descent, stopped, the cup off."""
    midwife.start("2")
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(40, "no")
    midwife.wait(120)
    midwife.pull(40, "no")
    midwife.expect_screen("stop")
    midwife.stop()
    midwife.tap("stop.cup_off")


def open_handover(midwife: Midwife) -> Page:  # noqa: F811
    midwife.tap("handover.open")
    midwife.expect_screen("handover")
    return midwife.page


def lines(page: Page, part: str) -> Locator:
    """The lines of one of the four parts."""
    heading = page.get_by_role("heading", name=WORDS.text(f"handover.part.{part}"), exact=True)
    return page.locator("section").filter(has=heading).get_by_role("listitem")


def plain(line: str) -> str:
    """A line without its spaces that do not break."""
    return " ".join(line.split())


def facts_of(page: Page, kind: str) -> list[dict]:
    return [event["facts"] for event in kept_events(page) if event["kind"] == kind]


def write(midwife: Midwife, text: str) -> None:  # noqa: F811
    midwife.page.get_by_label(WORDS.text("handover.note_label")).fill(text)
    midwife.tap("handover.note_keep")


def test_a_stopped_birth_is_told_with_its_numbers_and_its_gaps(midwife):  # noqa: F811
    stop_early(midwife)
    midwife.wait(300)
    page = open_handover(midwife)

    expect(lines(page, "s").first).to_have_text(WORDS.text("handover.state.stopped"))
    expect(lines(page, "s").filter(has_text="5 min ago")).to_have_count(1)
    expect(lines(page, "a").filter(has_text=re.compile(r"^Pulls: 2, of them perineal: 0$"))).to_have_count(1)
    expect(lines(page, "a").filter(has_text="80 kPa")).to_have_count(1)
    expect(lines(page, "b").filter(has_text=WORDS.text("app.not_recorded"))).to_have_count(3)
    expect(lines(page, "r").filter(has_text=WORDS.text("handover.ask.second"))).to_have_count(1)


def test_the_minutes_go_on_while_the_page_is_open(midwife):  # noqa: F811
    stop_early(midwife)
    page = open_handover(midwife)

    midwife.wait(600)

    expect(lines(page, "s").filter(has_text="10 min ago")).to_have_count(1)


def test_a_note_is_an_entry_of_its_own_and_can_be_changed_and_taken_back(midwife):  # noqa: F811
    stop_early(midwife)
    page = open_handover(midwife)
    told = lines(page, "a").all_inner_texts()

    write(midwife, NOTE)
    assert facts_of(page, "note_added") == [{"text": NOTE, "about": "handover"}]
    assert lines(page, "a").all_inner_texts() == told

    midwife.wait(2)
    write(midwife, "She is warm.")
    assert len(facts_of(page, "note_added")) == 1
    assert [facts["set_text"] for facts in facts_of(page, "amended")] == ["She is warm."]

    midwife.wait(2)
    write(midwife, "")
    assert len(facts_of(page, "withdrawn")) == 1


def test_what_is_half_written_outlives_a_page_drawn_anew(midwife):  # noqa: F811
    stop_early(midwife)
    page = open_handover(midwife)
    field = page.get_by_label(WORDS.text("handover.note_label"))
    field.fill("Half a sen")

    midwife.tap("role.doctor")

    expect(field).to_have_value("Half a sen")
    assert facts_of(page, "note_added") == []


def test_to_whom_it_was_handed_over_is_recorded_with_the_time(midwife):  # noqa: F811
    stop_early(midwife)
    page = open_handover(midwife)

    midwife.tap("role.doctor")

    assert facts_of(page, "handover_given") == [{"who": "doctor"}]
    expect(page.get_by_text(re.compile(r"Handed over at \d\d:\d\d to: Doctor"))).to_be_visible()
    midwife.undo()
    expect(page.get_by_text(WORDS.text("handover.given_none"))).to_be_visible()


def test_the_text_is_kept_as_a_file_that_says_what_the_page_says(midwife):  # noqa: F811
    stop_early(midwife)
    page = open_handover(midwife)
    write(midwife, NOTE)

    with page.expect_download() as kept:
        page.get_by_role("button", name=WORDS.text("handover.share")).click()
    text = Path(kept.value.path()).read_text(encoding="utf-8")

    assert re.fullmatch(r"handover-\d{4}-\d\d-\d\d-\d{4}\.txt", kept.value.suggested_filename)
    in_file = [plain(line) for line in text.splitlines()]
    on_page = [f"- {plain(line)}" for part in "sbar" for line in lines(page, part).all_inner_texts()]
    assert on_page == [line for line in in_file if line.startswith("- ")]
    assert NOTE in text and WORDS.text("app.caution") in text


def test_where_a_browser_can_share_it_is_given_the_file(station, context):  # noqa: F811
    context.add_init_script("""
      navigator.canShare = ({ files }) => files.length === 1;
      window.given = new Promise((give) => {
        navigator.share = async ({ files: [file] }) => give([file.name, file.type, await file.text()]);
      });
    """)
    midwife = open_at(context, station.url, MORNING)
    stop_early(midwife)
    page = open_handover(midwife)

    page.get_by_role("button", name=WORDS.text("handover.share")).click()
    name, kind, text = page.evaluate("window.given")
    assert name.endswith(".txt") and kind == "text/plain"
    assert WORDS.text("handover.state.stopped") in text


def test_on_paper_it_stands_on_one_sheet_with_lines_for_names(midwife):  # noqa: F811
    stop_early(midwife)
    page = open_handover(midwife)
    write(midwife, NOTE)

    (sheet,) = sheets(page)

    assert WORDS.text("handover.state.stopped") in sheet
    assert " ".join(NOTE.split()) in sheet
    assert WORDS.text("app.caution") in sheet
    assert WORDS.text("handover.by_hand.name") in sheet and WORDS.text("handover.by_hand.taken") in sheet
    assert WORDS.text("handover.note_keep") not in sheet and WORDS.text("handover.share") not in sheet


def test_the_way_to_help_is_told_step_by_step(midwife):  # noqa: F811
    stop_early(midwife)
    page = midwife.page
    expect(page.get_by_text(WORDS.text("stop.mind.no_second"))).to_be_visible()
    expect(midwife.key("stop.arrives_plain")).to_have_count(0)

    midwife.tap("stop.leaves_plain")
    midwife.wait(1800)
    midwife.tap("stop.arrives_plain")

    assert facts_of(page, "transfer_arrived") == [{}]
    open_handover(midwife)
    expect(lines(page, "r").filter(has_text=re.compile(r"^Arrived at \d\d:\d\d"))).to_have_count(1)


def test_a_closed_case_is_told_from_its_record_and_no_longer_written_to(midwife):  # noqa: F811
    stop_early(midwife)
    midwife.close()
    page = midwife.page
    midwife.tap("home.cases")
    page.locator("[data-key^=case-]").first.click()
    midwife.lift()
    midwife.expect_screen("record")

    open_handover(midwife)

    expect(lines(page, "s").first).to_have_text(WORDS.text("handover.state.stopped"))
    expect(page.get_by_label(WORDS.text("handover.note_label"))).to_have_count(0)
    expect(midwife.key("role.doctor")).to_have_count(0)


def test_practice_is_said_on_the_page_and_in_the_file(midwife):  # noqa: F811
    page = midwife.page
    midwife.tap("home.practice")
    midwife.tap("practice.free")
    midwife.hold(midwife.choose_to_override())
    midwife.apply()
    midwife.ask_to_stop()
    midwife.stop()
    open_handover(midwife)

    (sheet, *_) = sheets(page)

    assert WORDS.text("app.practice") in sheet


# Three women on one tablet; the entries of the one that is opened last cannot be read.
def test_a_record_that_is_not_read_hands_nobody_else_over(midwife):  # noqa: F811
    page = midwife.page
    for bed in ("2", "3", "4"):
        midwife.start(bed)
        midwife.press(page.get_by_role("button", name=WORDS.text("app.back")))
        midwife.wait(60)
    midwife.press(page.locator("[data-key=cases]"))
    records = page.get_by_role("listitem").get_by_role("button", name=re.compile(r"Bed \d"))
    midwife.press(records.nth(1))
    page.clock.run_for(500)
    midwife.press(page.get_by_role("button", name=WORDS.text("app.back"), exact=True))
    page.evaluate("() => { IDBIndex.prototype.getAll = () => ({}); }")
    midwife.press(records.nth(2))

    page.locator("[data-key=handover]").click()
    page.clock.run_for(500)

    midwife.expect_screen("record")

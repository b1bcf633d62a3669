"""What a hand needs next is in sight on a phone: Undo after a birth, each of three numbers by itself, a pull in a page that only reads."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, expect_begun, open_at, station  # noqa: F401
from tests.browser.days import last_pull
from tests.browser.looks import hands_in
from tests.labels import pattern
from tests.midwife import Midwife
from tests.pace import SETTLE_MS
from tests.touch import touch

PHONE = {"width": 360, "height": 740}
FLAT = {"width": 1280, "height": 800}
READ = 4.5
# How often a page is drawn while nothing is told: what runs in it is no drawing. It is read anew every two seconds.
_DRAWN = "() => { window.drawn = 0; new MutationObserver(() => { window.drawn += 1; }).observe(document.body, { childList: true }); }"
STILL_MS = 5000
MOST_DRAWN = 1
_LINES = """() => [...document.querySelectorAll(".count + .count")].map((count) => {
  const line = getComputedStyle(count, "::before"), above = count.previousElementSibling.getBoundingClientRect();
  const at = count.getBoundingClientRect().left + parseFloat(line.left);
  return line.content !== "none" && parseFloat(line.borderLeftWidth) > 0 && parseFloat(line.height) >= count.querySelector(".number").offsetHeight && at > above.right;
})"""
# The contrast of two colours as WCAG 2.2 counts it. The key is found within: a page whose clock runs draws it anew between two calls.
_CONTRAST = """() => {
  const light = (colour) => {
    const part = (one) => { const c = one / 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
    const [r, g, b] = colour.match(/[\\d.]+/g).map(Number).map(part);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const { color, backgroundColor } = getComputedStyle(document.querySelector("[data-key=pull]"));
  const [low, high] = [light(color), light(backgroundColor)].sort((one, other) => one - other);
  return (high + 0.05) / (low + 0.05);
}"""


@pytest.fixture(params=(PHONE, FLAT), ids=("phone", "flat"))
def born(request, context, station) -> Midwife:  # noqa: F811
    """A baby was born just now."""
    hands = open_at(context, station.url, MORNING, request.param)
    hands.start_at_once()
    hands.apply()
    last_pull(hands)
    return hands


@pytest.fixture
def pulling(context, station) -> Midwife:  # noqa: F811
    """A pull goes on, on a phone."""
    hands = open_at(context, station.url, MORNING, PHONE)
    hands.start_at_once()
    hands.apply()
    hands.begin_pull()
    return hands


def test_after_the_birth_a_slip_can_be_undone_where_one_looks(born):
    undo = born.key("app.undo")
    expect(undo).to_be_in_viewport(ratio=1)

    born.press(born.page.locator('[data-item="oxytocin"] button'))

    expect(undo).to_be_in_viewport(ratio=1)


def test_what_is_open_in_the_lane_below_is_named_above_on_a_phone(born):
    born.wait(70)
    above, row = born.page.locator("[data-key=below]"), born.page.locator('[data-item="apgar_1"] .key')
    if born.page.viewport_size == FLAT:
        expect(row).to_be_in_viewport(ratio=1)
        expect(above).to_be_hidden()
        return
    expect(born.page.locator(".lane").first).to_have_attribute("data-lane", "mother")
    expect(row).not_to_be_in_viewport()
    expect(above).to_be_in_viewport(ratio=1)
    expect(above).to_contain_text(born.words.text("after.baby"))

    born.press(above, kept=False, redraws=False)

    expect(row).to_be_in_viewport(ratio=1)
    expect(row).to_be_focused()


def test_between_two_numbers_that_stand_side_by_side_runs_a_line(pulling):
    assert pulling.page.evaluate(_LINES) == [True, True]


@pytest.fixture
def reader(pulling):
    """A second page at the open birth, which only reads."""
    page = pulling.page.context.new_page()
    pulling.page.context.set_offline(False)
    page.goto(pulling.page.url)
    expect_begun(page)
    # The clock of one page is that of all.
    page.clock.resume()
    # A landing so soon after the screen was drawn counts for nothing.
    page.wait_for_timeout(2 * SETTLE_MS)
    touch(page.get_by_role("button", name=pattern(pulling.words.text("home.go_back"), begins=False)))
    return page


def test_a_page_that_only_reads_shows_a_pull_that_is_read(reader):
    expect(reader.locator("[data-key=pull]")).to_be_disabled()
    assert reader.evaluate(_CONTRAST) >= READ
    touch(reader.locator("[data-key=heart]"))
    expect(reader.locator(".digit")).to_have_count(11)
    expect(reader.locator(".digit:enabled")).to_have_count(0)


def test_a_page_that_only_reads_stands_still_under_the_hand_and_takes_nothing(reader):
    touch(reader.locator("[data-key=log]"))
    entry = reader.locator(".entries summary").first
    touch(entry)
    expect(reader.locator(".correct:visible .key")).not_to_have_count(0)
    expect(reader.locator(".correct .key:enabled")).to_have_count(0)
    reader.evaluate(_DRAWN)
    entry.focus()
    reader.wait_for_timeout(STILL_MS)

    assert reader.evaluate("window.drawn") <= MOST_DRAWN


def test_a_tablet_that_comes_back_after_the_birth_tells_the_time_since_the_birth(born):
    born.wait(120)
    born.page.context.set_offline(False)
    born.page.reload()
    expect_begun(born.page)

    back = born.page.locator("[data-strip='app.back_at']")

    expect(back).to_contain_text(pattern(born.words.text("home.since_birth", n=born.words.quantity(2, "min")), begins=False))


def test_the_drawing_of_a_birth_is_opened_at_its_beginning_in_arabic_too(browser, foreign):
    with hands_in(browser, foreign, "ar-XB") as hands:
        hands.start_at_once()
        hands.apply()
        last_pull(hands)
        hands.tap("after.record")
        hands.page.set_viewport_size(PHONE)

        lefts = hands.page.locator(".course").evaluate("(box) => [box, box.querySelector('svg')].map((one) => one.getBoundingClientRect().left)")

    assert lefts[1] >= lefts[0]


def test_of_several_cautions_the_heart_is_seen_and_a_tap_shows_them_all(context, station):  # noqa: F811
    hands = open_at(context, station.url, MORNING, FLAT)
    hands.start_at_once()
    hands.apply()
    for descent in ("yes", "no"):
        hands.pull(40, descent)
        hands.wait(90)
    hands.tap("pull.fetal_heart")
    hands.type(96)
    advice = hands.page.locator(".pull > .advice")
    expect(advice).to_have_attribute("data-limit", "fetal_heart")
    expect(advice.locator(".also, .full").filter(visible=True)).to_have_count(1)

    hands.press(hands.page.locator("[data-key=advice]"), kept=False)

    hands.expect_screen("log")
    told = hands.page.locator(".log > .advice").evaluate_all("(all) => all.map((one) => one.dataset.limit)")
    assert told[:3] == ["fetal_heart", "poor_pulls", "descent_pulls"]


def test_what_a_mother_bleeds_is_told_on_every_page_after_the_birth(born):
    page = born.page
    advice = page.locator("[data-bleeding=act]")
    born.press(page.locator('[data-item="blood_loss"] button'), kept=False)
    for _ in range(2):
        born.press(page.locator("[data-key=ml-350]"), redraws=False)
    expect(advice).to_have_count(1)

    back, tear = page.locator("[data-key=back]"), page.locator('[data-item="tear"] button')
    for way in (back, tear, back, back):
        born.press(way, kept=False)
        expect(advice).to_have_count(1)
    born.expect_screen("home")
    born.press(page.locator("[data-key=bleeding]"), kept=False)

    born.expect_screen("after")

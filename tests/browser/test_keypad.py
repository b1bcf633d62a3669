"""A number that nobody can have meant is told so, and a slip of a finger can be typed anew."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import kept_events, midwife, station  # noqa: F401
from tests.browser.days import last_pull, told
from tests.browser.looks import hands_in
from tests.midwife import Midwife

# Where the number ends and where the letters of its unit begin.
_STANDS = """() => {
  const typed = document.querySelector(".typed"), texts = document.createTreeWalker(typed, NodeFilter.SHOW_TEXT), at = document.createRange();
  let unit = null;
  while (texts.nextNode()) if (/[a-z]/i.test(texts.currentNode.data)) unit = texts.currentNode;
  at.selectNodeContents(unit);
  return [typed.querySelector("bdi").getBoundingClientRect().right, at.getBoundingClientRect().left];
}"""


def type_digits(midwife: Midwife, digits: str) -> None:  # noqa: F811
    """Type on the keypad and press its key, which may not take the number."""
    for digit in digits:
        midwife.page.locator(f"[data-key=digit-{digit}]").click()
    midwife.tap("keypad.ok", redraws=False)


def wipe(midwife: Midwife, times: int) -> None:  # noqa: F811
    """Wipe the last digits."""
    for _ in range(times):
        midwife.page.locator("[data-key=digit-wipe]").click()


def answers(midwife: Midwife) -> dict[str, int | None]:  # noqa: F811
    """Read what was answered with a number: {question: value}."""
    told = [event["facts"] for event in kept_events(midwife.page) if event["kind"] == "check_answered"]
    return {facts["item"]: facts.get("value") for facts in told}


@pytest.fixture
def asked(midwife) -> Midwife:  # noqa: F811
    """A birth whose questions are being asked."""
    midwife.start()
    return midwife


def test_a_number_that_cannot_be_is_not_taken_and_the_ends_are_said(asked):
    asked.answer_all(until="fetal_heart")
    typed = asked.page.locator(".typed")

    type_digits(asked, "999")

    expect(typed).to_contain_text(asked.words.text("app.quantity_range", low="20", high="300"))
    assert "fetal_heart" not in answers(asked)

    wipe(asked, 3)
    expect(typed).not_to_contain_text("300")
    asked.wait(1)
    asked.type(142)

    assert answers(asked)["fetal_heart"] == 142


def test_a_gauge_is_never_read_deeper_than_the_air_presses(asked):
    asked.hold(asked.choose_to_override())
    asked.expect_screen("cup")
    asked.choose_cup()
    asked.place()
    asked.sweep()
    asked.tap("cup.other_value", redraws=False)

    type_digits(asked, "111")

    expect(asked.page.locator(".typed")).to_contain_text(asked.words.text("app.quantity_range", low="0", high="110"))
    assert "suction_set" not in [event["kind"] for event in kept_events(asked.page)]


def test_weeks_that_were_a_slip_are_typed_anew_before_anything_is_answered(asked):
    asked.answer_all(until="weeks")
    type_digits(asked, "29")
    asked.press(asked.page.locator("[data-key=weeks-anew]"))
    expect(asked.page.locator(".typed")).to_contain_text("–")
    assert "weeks" not in answers(asked)

    asked.wait(1)
    asked.answer_one("weeks", (39, 2))

    assert answers(asked)["weeks"] == 39 * 7 + 2


def test_a_unit_in_latin_letters_stands_behind_its_number_in_arabic_too(browser, foreign):
    with hands_in(browser, foreign, "ar-XB") as hands:
        hands.start_at_once()
        hands.apply()
        hands.tap("pull.fetal_heart")

        number, unit = hands.page.evaluate(_STANDS)

    assert number < unit


def test_no_millilitre_of_urine_is_none_and_the_wait_for_it_goes_on(midwife):  # noqa: F811
    midwife.start_at_once()
    midwife.apply()
    last_pull(midwife)
    midwife.press(midwife.page.locator('[data-item="void"] button'))

    midwife.type(0)

    assert told(midwife.page, "mother_observed", what="void") == [{"what": "void", "answer": "no"}]
    expect(midwife.page.locator('[data-item="void"][data-state="done"]')).to_have_count(0)

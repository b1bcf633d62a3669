"""What is half typed stays while a page is drawn anew in the source language, and no longer."""

from playwright.sync_api import expect

from tests.browser.app import kept_events
from tests.browser.test_languages import lang, tongue  # noqa: F401
from tests.browser.tongues import ENGLISH, FRENCH, TAG, taken


def test_what_is_half_typed_outlives_the_turn_to_the_source(tongue):  # noqa: F811
    midwife = tongue(taken(), words=FRENCH)
    source = midwife.page.locator("[data-key=source]")
    midwife.start()
    midwife.answer_all(until="weeks")
    for digit in "38":
        midwife.page.locator(f"[data-key=digit-{digit}]").click()
    midwife.press(source)
    expect(midwife.page.locator(".typed")).to_contain_text("38")

    midwife.press(midwife.page.locator("[data-key=keypad-ok]"))
    midwife.press(source)
    midwife.press(midwife.page.locator("[data-key=days-3]"))

    answers = {event["facts"]["item"]: event["facts"].get("value") for event in kept_events(midwife.page) if event["kind"] == "check_answered"}
    assert answers["weeks"] == 38 * 7 + 3
    expect(midwife.page.locator(".typed")).to_have_count(0)


def test_who_starts_all_the_same_outlives_the_turn_to_the_source(tongue):  # noqa: F811
    midwife = tongue(taken(), words=FRENCH)
    midwife.start()
    midwife.choose_to_override()

    midwife.press(midwife.page.locator("[data-key=source]"))

    midwife.words = ENGLISH
    expect(midwife.key("before.override_hold")).to_be_enabled()


def test_the_count_of_the_heart_is_asked_in_the_language_of_the_tablet_again(tongue):  # noqa: F811
    midwife = tongue(taken(), words=FRENCH)
    midwife.start_at_once()
    midwife.apply()
    midwife.press(midwife.page.locator("[data-key=source]"))
    assert lang(midwife) == "en"

    midwife.press(midwife.page.locator("[data-key=heart]"))

    assert lang(midwife) == TAG


def test_what_is_half_typed_is_gone_with_its_page(tongue):  # noqa: F811
    midwife = tongue(taken(), words=FRENCH)
    midwife.start_at_once()
    midwife.apply()
    midwife.press(midwife.page.locator("[data-key=heart]"))
    midwife.page.locator("[data-key=digit-1]").click()

    midwife.tap("app.cancel")
    midwife.press(midwife.page.locator("[data-key=heart]"))

    expect(midwife.page.locator(".typed")).to_contain_text("–")

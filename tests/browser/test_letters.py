"""Letters up to twice as large (WCAG 2.2, 1.4.4; from memory): chosen, kept, asked for by the browser; what is told is in sight."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, open_app, open_at, station  # noqa: F401
from tests.browser.looks import LOOK, NARROW, box_of
from tests.browsers import launch_args

# ---- chosen, kept, and asked for by the browser ----

def times_larger(page) -> float:
    return float(page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--letters')"))


def test_the_size_is_chosen_in_the_settings_and_kept(context, station):  # noqa: F811
    hands = open_app(context, station.url)
    hands.tap("home.settings")
    hands.tap("settings.letters.largest", redraws=False)
    assert times_larger(hands.page) == 2

    hands.page.reload()
    assert times_larger(hands.page) == 2
    hands.tap("home.settings")
    expect(hands.key("settings.letters.largest")).to_have_attribute("aria-pressed", "true")
    hands.tap("settings.letters.usual", redraws=False)

    assert times_larger(hands.page) == 1
    assert hands.page.locator("html[data-letters]").count() == 0


@pytest.mark.parametrize("kept", ['{"letters": "constructor"}', '{"letters": 7, "theme": {}}', '{"language": "en"}', "no settings at all", "null"])
def test_settings_that_this_release_does_not_know_are_as_when_new(context, station, kept):  # noqa: F811
    context.add_init_script(f"if (location.protocol !== 'about:') localStorage.settings = {kept!r}")
    page = open_app(context, station.url).page

    assert times_larger(page) == 1
    assert page.evaluate("({ ...document.documentElement.dataset }).theme") == "day"


@pytest.mark.parametrize(("told_px", "times"), [(16, 1), (24, 1.5), (32, 2), (48, 2), (9, 1)])
def test_a_browser_that_was_told_larger_letters_gets_them(playwright, station, told_px, times):  # noqa: F811
    browser = playwright.chromium.launch(**launch_args(playwright.chromium, {"args": [f"--blink-settings=defaultFontSize={told_px}"]}))
    try:
        page = open_app(browser.new_context(), station.url).page
        assert times_larger(page) == times
    finally:
        browser.close()


# ---- what is told is in sight ----

@pytest.fixture
def large(context, station):  # noqa: F811
    """A birth on the smallest tablet, letters twice as large."""
    context.add_init_script(LOOK)
    context.add_init_script("if (location.protocol !== 'about:') localStorage.settings ??= JSON.stringify({ letters: 'largest' })")
    return open_at(context, station.url, MORNING, box_of(NARROW))


def test_advice_what_to_do_and_the_word_pull_are_seen_without_a_hand(large):
    large.start_at_once()
    large.apply()
    large.page.evaluate("scrollTo(0, document.body.scrollHeight)")
    large.pull(20, "no")
    large.wait(1)

    for seen in (large.page.locator("[data-level=caution]"), large.page.locator(".now h1"), large.page.locator(".pullkey .line")):
        expect(seen).to_be_in_viewport(ratio=0.99)


def test_the_next_question_begins_at_its_beginning(large):
    large.start()
    for _ in range(3):
        large.page.evaluate("scrollTo(0, document.body.scrollHeight)")
        large.answer_one(large.question())
        expect(large.page.locator("main h1")).to_be_in_viewport(ratio=1)

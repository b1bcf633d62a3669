"""Every screen at four sizes, in three languages, by day and night: nothing cut, small, faint or nameless."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.app import kept_events, midwife, station  # noqa: F401
from tests.browser.looks import (
    FLAT,
    LANGUAGES,
    LARGE_LANGUAGES,
    PHONE,
    TABLET,
    Seen,
    expect_grown,
    expect_in_order,
    expect_whole,
    hands_in,
    looked_at,
    none,
)
from tests.browser.screens import every_screen

# Millimetres at 160 dots an inch; half a millimetre of tolerance on the smallest.
PULL_MM = {PHONE: 17, TABLET: 25, FLAT: 25}
KEY_MM = 14.5
DIGIT_MM = 20
# A pad of digits is no key of the pull; its keys are at least as large as a thumb needs (Parhi 2006).
PAD_KEY_MM = 8.5
LIVE_CONTRAST = 7
CALM_CONTRAST = 4.5


@pytest.fixture(scope="module", params=LANGUAGES)
def walk(request, browser, foreign) -> tuple[str, list[Seen]]:
    """Every screen of a birth in one language, looked at once for all tests."""
    with hands_in(browser, foreign, request.param) as hands:
        yield request.param, [looked_at(hands.page, name, request.param) for name in every_screen(hands)]


def test_nothing_is_cut_and_no_screen_is_wider_than_the_glass(walk):
    _, screens = walk

    faults = [f"{seen.name} {size}: {fault}" for seen in screens for size, look in seen.sizes.items()
              for fault in [*look["cut"], *(["wider than the screen"] if look["wide"] and not seen.is_card(size) else [])]]

    none(faults)


def test_no_text_lies_on_another_or_under_a_key(walk):
    _, screens = walk

    none([f"{seen.name} {size}: {fault}" for seen in screens for size, look in seen.sizes.items() for fault in look["over"]])


def test_the_live_screen_never_scrolls(walk):
    language, screens = walk
    standard = (PHONE, TABLET, FLAT)

    faults = [f"{seen.name} {size}" for seen in screens if seen.is_live and language != "en-XA"
              for size in standard if seen.sizes[size]["tall"]]

    none(faults)


def test_live_keys_are_as_large_as_a_gloved_finger_needs(walk):
    _, screens = walk

    faults = [f"{seen.name} {size} {key['key']}: {key['width']:.1f} x {key['height']:.1f} mm"
              for seen in screens if seen.is_live for size in PULL_MM
              for key in seen.sizes[size]["keys"] if is_small(key, size)]

    none(faults)


def is_small(key: dict, size: str) -> bool:
    # The numbers and the advice are read; that they can be tapped as well is a short cut.
    if key["key"] in ("log", "advice"):
        return False
    # What only shows the page in another language keeps away from the keys that record.
    if key["key"] == "source" or key["key"].startswith("digit"):
        return min(key["width"], key["height"]) < PAD_KEY_MM
    if key["key"] == "pull" and key["height"] < PULL_MM[size] - 0.1:
        return True
    return min(key["width"], key["height"]) < (PAD_KEY_MM if key["key"] == "keypad-ok" else KEY_MM)


def test_the_three_numbers_are_read_at_two_metres(walk):
    _, screens = walk
    heights = [height for seen in screens if seen.is_live for size in (TABLET, FLAT) for height in seen.sizes[size]["digits"]]

    assert len(heights) >= 3 * 2 * 5
    assert min(heights) >= DIGIT_MM


def test_letters_stand_out_from_their_ground(walk):
    _, screens = walk

    faults = {f"{seen.name} {theme}: {one['what']} {one['ratio']:.1f}"
              for seen in screens for theme, look in seen.themes.items() for one in look["contrasts"]
              if one["ratio"] < (LIVE_CONTRAST if seen.is_live or seen.name.startswith("stop") else CALM_CONTRAST)}

    none(sorted(faults))


def test_everything_has_a_name_and_every_screen_one_heading(walk):
    language, screens = walk

    faults = [f"{seen.name}: {fault}" for seen in screens for fault in seen.themes["day"]["unnamed"]]

    none(faults)
    assert {look["lang"] for seen in screens for look in seen.themes.values()} == {language}
    assert {look["dir"] for seen in screens for look in seen.themes.values()} == {"rtl" if language.startswith("ar") else "ltr"}


def test_no_text_was_left_untranslated(walk):
    language, screens = walk

    faults = {f"{seen.name}: {text.strip()}" for seen in screens if language == "en-XA"
              for text in seen.themes["day"]["untranslated"]}

    none(sorted(faults))


# ---- with letters twice as large ----

@pytest.mark.parametrize("walk", LARGE_LANGUAGES, indirect=True)
def test_with_large_letters_nothing_is_cut_or_wider_than_the_glass(walk):
    expect_whole(walk[1])


@pytest.mark.parametrize("walk", LARGE_LANGUAGES, indirect=True)
def test_with_large_letters_nothing_is_left_out_and_no_key_comes_before_its_turn(walk):
    expect_in_order(walk[1])


@pytest.mark.parametrize("walk", LARGE_LANGUAGES, indirect=True)
def test_every_text_grows_as_much_as_was_asked(walk):
    expect_grown(walk[1])


# ---- by keyboard, and by ear ----

def tab_stops(page: Page) -> list[dict]:
    """Press Tab until it comes round again: {key, outline in px}."""
    stops = []
    for _ in range(80):
        page.keyboard.press("Tab")
        stop = page.evaluate("""() => {
          const at = document.activeElement;
          if (at === document.body) return null;
          const style = getComputedStyle(at);
          return { place: [...document.querySelectorAll("*")].indexOf(at), outline: style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth) };
        }""")
        if stop is None or stop["place"] in [one["place"] for one in stops]:
            break
        stops.append(stop)
    return stops


def expect_all_by_keyboard(page: Page) -> None:
    wanted = page.evaluate("""() => [...document.querySelectorAll("button, input, select, summary, a[href]")]
      .filter((one) => !one.disabled && one.checkVisibility({ visibilityProperty: true })).length""")
    page.evaluate("document.activeElement.blur()")
    stops = tab_stops(page)

    assert len(stops) == wanted > 0
    assert all(stop["outline"] >= 2 for stop in stops)


def test_every_key_is_reached_by_keyboard_and_shows_it(midwife):  # noqa: F811
    expect_all_by_keyboard(midwife.page)
    midwife.start()
    expect_all_by_keyboard(midwife.page)
    midwife.hold(midwife.choose_to_override())
    expect_all_by_keyboard(midwife.page)
    midwife.apply()
    expect_all_by_keyboard(midwife.page)
    midwife.ask_to_stop()
    expect_all_by_keyboard(midwife.page)


def test_a_pull_is_begun_and_ended_by_keyboard(midwife):  # noqa: F811
    midwife.start_at_once()
    midwife.apply()
    midwife.key("pull.pull").focus()

    midwife.page.keyboard.press("Enter")
    midwife.expect_kept()
    midwife.wait(20)
    expect(midwife.key("pull.pulling")).to_be_focused()
    midwife.page.keyboard.press(" ")
    midwife.expect_kept()

    kinds = [event["kind"] for event in kept_events(midwife.page) if event["kind"].startswith("pull_")]
    assert kinds == ["pull_began", "pull_ended"]


def test_a_stop_is_an_alert_and_a_caution_a_status(midwife):  # noqa: F811
    midwife.start_at_once()
    midwife.apply()
    midwife.pull(20, "no")
    midwife.wait(1)
    caution = midwife.page.get_by_role("status", name=midwife.words.text("level.caution"))
    expect(caution).to_be_visible()
    midwife.wait(60)
    midwife.pull(20, "no")
    midwife.wait(1)

    expect(midwife.page.get_by_role("alert", name=midwife.words.text("level.stop"))).to_be_visible()

"""The screens beside and after a birth, at four sizes and in three languages: nothing cut, small, faint or nameless."""

import pytest

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
from tests.browser.screens_after import every_screen_after
from tests.browser.test_screens import CALM_CONTRAST, KEY_MM, LIVE_CONTRAST, PULL_MM

# A thumb needs 9 mm (Parhi 2006: 9.2 to 9.6 for one that is hit at once), drawn to a twentieth; what only opens a question again is a whole row wide, and may be lower.
THUMB_MM = 9 - 0.05
ROW_MM = 7.4
ROWS = ("again-", "tier", "open-", "debrief-", "resume", "source")
_PRACTICE = """() => ({
  word: document.querySelector(".practice-line .word, .practice-page h1, .debrief .practice-mark, .debrief .mark")?.textContent ?? null,
  ruled: [...document.querySelectorAll(".screen, .pull")].some((one) => getComputedStyle(one).backgroundImage.includes("repeating-linear")),
})"""


@pytest.fixture(scope="module", params=LANGUAGES)
def walk(request, browser, foreign) -> tuple[str, list[Seen], dict[str, dict]]:
    """Every screen in one language, looked at once for all tests; how practice shows."""
    with hands_in(browser, foreign, request.param) as hands:
        seen, practice = [], {}
        for name in every_screen_after(hands):
            seen.append(looked_at(hands.page, name, request.param))
            practice[name] = hands.page.evaluate(_PRACTICE)
        yield request.param, seen, practice


def test_nothing_is_cut_and_no_screen_is_wider_than_the_glass(walk):
    _, screens, _ = walk

    none([f"{seen.name} {size}: {fault}" for seen in screens for size, look in seen.sizes.items()
          for fault in [*look["cut"], *(["wider than the screen"] if look["wide"] and not seen.is_card(size) else [])]])


def test_no_key_lies_on_another(walk):
    _, screens, _ = walk

    none([f"{seen.name} {size}: {fault}" for seen in screens for size in (PHONE, TABLET, FLAT) for fault in seen.sizes[size]["crowded"]])


def test_the_live_screen_of_a_practice_does_not_scroll_and_keeps_its_keys(walk):
    language, screens, _ = walk
    live = [seen for seen in screens if seen.is_live]

    assert live
    none([f"{seen.name} {size} scrolls" for seen in live for size in PULL_MM if seen.sizes[size]["tall"] and language != "en-XA"])
    none([f"{seen.name} {size} {key['key']}: {key['width']:.1f} x {key['height']:.1f} mm" for seen in live for size in PULL_MM
          for key in seen.sizes[size]["keys"] if key["key"] not in ("log", "advice", "end-practice")
          and (min(key["width"], key["height"]) < KEY_MM or (key["key"] == "pull" and key["height"] < PULL_MM[size] - 0.1))])


def test_keys_are_as_large_as_a_thumb_needs(walk):
    _, screens, _ = walk

    none(sorted({f"{seen.name} {size} {key['key']}: {key['width']:.1f} x {key['height']:.1f} mm"
                 for seen in screens for size, look in seen.sizes.items() for key in look["keys"]
                 if min(key["width"], key["height"]) < smallest(key["key"])}))


def smallest(name: str) -> float:
    """Give the smallest size of a key in mm."""
    return ROW_MM if name.startswith(ROWS) else THUMB_MM


def test_letters_stand_out_from_their_ground(walk):
    _, screens, _ = walk

    none(sorted({f"{seen.name} {theme}: {one['what']} {one['ratio']:.1f}"
                 for seen in screens for theme, look in seen.themes.items() for one in look["contrasts"]
                 if one["ratio"] < (LIVE_CONTRAST if seen.is_live or seen.name.startswith("stop") else CALM_CONTRAST)}))


def test_everything_has_a_name_and_every_screen_one_heading(walk):
    language, screens, _ = walk

    none([f"{seen.name}: {fault}" for seen in screens for fault in seen.themes["day"]["unnamed"]])
    assert {look["dir"] for seen in screens for look in seen.themes.values()} == {"rtl" if language.startswith("ar") else "ltr"}


def test_no_text_was_left_untranslated(walk):
    language, screens, _ = walk

    none(sorted({f"{seen.name}: {text.strip()}" for seen in screens if language == "en-XA"
                 for text in seen.themes["day"]["untranslated"]}))


def test_practice_is_told_by_a_word_and_a_ruled_ground_on_every_screen(walk):
    _, _, practice = walk
    told = {name: look for name, look in practice.items() if "practice" in name or name == "debrief"}

    assert len(told) == 8
    none([f"{name}: {look}" for name, look in told.items() if not look["ruled"] or (name != "debrief" and not look["word"])])
    none([f"{name} looks like practice" for name, look in practice.items() if name not in told and (look["ruled"] or look["word"])])


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

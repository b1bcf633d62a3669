"""The screens beside and after a birth, at four sizes and in three languages: nothing cut, small, faint or nameless."""

import pytest

from tests.browser.screens_after import every_screen_after
from tests.browser.test_screens import (
    CALM_CONTRAST,
    FLAT,
    KEY_MM,
    LANGUAGES,
    LIVE_CONTRAST,
    PHONE,
    PULL_MM,
    SMALLEST,
    TABLET,
    Seen,
    hands_in,
    looked_at,
    none,
)

# The size check draws a bank card as large as it is, 54 mm across; the smallest phone has 51.
CARD = "settings"
# A thumb needs 9 mm (Parhi 2006: 9.2 to 9.6 for one that is hit at once), drawn to a twentieth; what only opens a question again is a whole row wide, and may be lower.
THUMB_MM = 9 - 0.05
ROW_MM = 7.4
ROWS = ("again-", "tier", "open-", "debrief-", "resume", "source")
# Two keys may lie as close as their edges, and no closer.
SLACK_PX = 1
_OVERLAPS = """() => {
  const keys = [...document.querySelectorAll("button")].filter((one) => one.checkVisibility({ visibilityProperty: true }))
    .map((one) => ({ name: one.dataset.key ?? one.textContent.trim(), box: one.getBoundingClientRect() }));
  return keys.flatMap((one, index) => keys.slice(index + 1).filter((other) =>
    Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left) > %d
    && Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top) > %d)
    .map((other) => `${one.name} lies on ${other.name}`));
}""" % (SLACK_PX, SLACK_PX)
_PRACTICE = """() => ({
  word: document.querySelector(".practice-line .word, .practice-page h1, .debrief .practice-mark, .debrief .mark")?.textContent ?? null,
  ruled: [...document.querySelectorAll(".screen, .pull")].some((one) => getComputedStyle(one).backgroundImage.includes("repeating-linear")),
})"""


@pytest.fixture(scope="module", params=LANGUAGES)
def walk(request, browser, foreign) -> tuple[str, list[Seen], dict[str, list[str]], dict[str, dict]]:
    """Every screen in one language, looked at once for all tests; which keys overlap; how practice shows."""
    with hands_in(browser, foreign, request.param) as hands:
        seen, overlaps, practice = [], {}, {}
        for name in every_screen_after(hands):
            seen.append(looked_at(hands.page, name))
            overlaps[name] = overlapping(hands.page)
            practice[name] = hands.page.evaluate(_PRACTICE)
        yield request.param, seen, overlaps, practice


def overlapping(page) -> list[str]:
    """Tell which keys lie on one another, at a phone, a tablet and a flat one."""
    found = []
    for size in (PHONE, TABLET, FLAT):
        width, height = map(int, size.split("x"))
        page.set_viewport_size({"width": width, "height": height})
        found += [f"{size}: {fault}" for fault in page.evaluate(f"(dispatchEvent(new Event('resize')), ({_OVERLAPS})())")]
    page.set_viewport_size({"width": 768, "height": 1024})
    return found


def test_nothing_is_cut_and_no_screen_is_wider_than_the_glass(walk):
    _, screens, _, _ = walk

    none([f"{seen.name} {size}: {fault}" for seen in screens for size, look in seen.sizes.items()
          for fault in [*look["cut"], *(["wider than the screen"] if look["wide"] and not is_card(seen, size) else [])]])


def is_card(seen: Seen, size: str) -> bool:
    return seen.name.startswith(CARD) and size == SMALLEST


def test_no_key_lies_on_another(walk):
    _, _, overlaps, _ = walk

    none([f"{name} {fault}" for name, faults in overlaps.items() for fault in faults])


def test_the_live_screen_of_a_practice_does_not_scroll_and_keeps_its_keys(walk):
    language, screens, _, _ = walk
    live = [seen for seen in screens if seen.is_live]

    assert live
    none([f"{seen.name} {size} scrolls" for seen in live for size in PULL_MM if seen.sizes[size]["tall"] and language != "en-XA"])
    none([f"{seen.name} {size} {key['key']}: {key['width']:.1f} x {key['height']:.1f} mm" for seen in live for size in PULL_MM
          for key in seen.sizes[size]["keys"] if key["key"] not in ("log", "advice", "end-practice")
          and (min(key["width"], key["height"]) < KEY_MM or (key["key"] == "pull" and key["height"] < PULL_MM[size] - 0.1))])


def test_keys_are_as_large_as_a_thumb_needs(walk):
    _, screens, _, _ = walk

    none(sorted({f"{seen.name} {size} {key['key']}: {key['width']:.1f} x {key['height']:.1f} mm"
                 for seen in screens for size, look in seen.sizes.items() for key in look["keys"]
                 if min(key["width"], key["height"]) < smallest(key["key"])}))


def smallest(name: str) -> float:
    """Give the smallest size of a key in mm."""
    return ROW_MM if name.startswith(ROWS) else THUMB_MM


def test_letters_stand_out_from_their_ground(walk):
    _, screens, _, _ = walk

    none(sorted({f"{seen.name} {theme}: {one['what']} {one['ratio']:.1f}"
                 for seen in screens for theme, look in seen.themes.items() for one in look["contrasts"]
                 if one["ratio"] < (LIVE_CONTRAST if seen.is_live or seen.name.startswith("stop") else CALM_CONTRAST)}))


def test_everything_has_a_name_and_every_screen_one_heading(walk):
    language, screens, _, _ = walk

    none([f"{seen.name}: {fault}" for seen in screens for fault in seen.themes["day"]["unnamed"]])
    assert {look["dir"] for seen in screens for look in seen.themes.values()} == {"rtl" if language.startswith("ar") else "ltr"}


def test_no_text_was_left_untranslated(walk):
    language, screens, _, _ = walk

    none(sorted({f"{seen.name}: {text.strip()}" for seen in screens if language == "en-XA"
                 for text in seen.themes["day"]["untranslated"]}))


def test_practice_is_told_by_a_word_and_a_ruled_ground_on_every_screen(walk):
    _, _, _, practice = walk
    told = {name: look for name, look in practice.items() if "practice" in name or name == "debrief"}

    assert len(told) == 8
    none([f"{name}: {look}" for name, look in told.items() if not look["ruled"] or (name != "debrief" and not look["word"])])
    none([f"{name} looks like practice" for name, look in practice.items() if name not in told and (look["ruled"] or look["word"])])

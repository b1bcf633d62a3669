"""Look at a screen as it is drawn: at six sizes, by day and night, and with letters twice as large."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page

from checklist.language import load
from tests.browser.app import MORNING, open_at
from tests.midwife import Midwife

LOOK = (Path(__file__).parent / "look.js").read_text(encoding="utf-8")
PHONE, TABLET, FLAT = "360x740", "768x1024", "1280x800"
SMALLEST, NARROW, UPRIGHT = "320x640", "600x960", "800x1280"
# A flat tablet whose page is enlarged to twice its size.
ENLARGED = "640x400"
SIZES = (SMALLEST, PHONE, NARROW, TABLET, FLAT, ENLARGED)
LARGE_SIZES = (SMALLEST, NARROW, UPRIGHT, FLAT)
# The whole cross of languages and sizes is a command: python -m tests.layouts
LARGE_LANGUAGES = ("en-XA", "ar")
# The two come first, as a test that asks for them alone counts them: else pytest would walk again for it.
LANGUAGES = (*LARGE_LANGUAGES, "en", "ar-XB")
THEMES = ("day", "night")
TIMES = 2
# What is read at two metres, and at one, has grown less: the rest of the screen needs the room.
FAR_TIMES = 1
# The size check draws a bank card as large as it is, 54 mm across; the smallest phone has 51.
CARD = "settings"
# The browser tells of the new size with its next frame, which may come after this question.
LOOKED = "window.dispatchEvent(new Event('resize')); look()"
_LARGE = """(times) => {
  const { lost, grown } = lookGrown(times);
  return { lost, grown, order: lookOrder(), ...look() };
}"""


@dataclass(frozen=True)
class Seen:
    """One screen as it was looked at: {size: look}, {theme: closer look}, {size: look with larger letters}."""

    name: str
    sizes: dict[str, dict]
    themes: dict[str, dict]
    large: dict[str, dict]

    @property
    def is_live(self) -> bool:
        return self.name.startswith("pull")

    def is_card(self, size: str) -> bool:
        """Tell whether the glass is smaller than the card that is drawn on it."""
        return self.name.startswith(CARD) and size == SMALLEST


@contextmanager
def hands_in(browser, foreign, language: str) -> Iterator[Midwife]:
    """Open the app in a language, ready to be looked at from within."""
    address, folder = foreign
    context = browser.new_context(service_workers="allow")
    context.add_init_script(LOOK)
    context.add_init_script(f"localStorage.settings ??= JSON.stringify({{ language: '{language}' }})")
    page = open_at(context, address.url, MORNING).page
    yield Midwife(page, load(folder, language), driven=True)
    context.close()


def looked_at(page: Page, name: str, language: str) -> Seen:
    """Look at the screen that is drawn; with larger letters in two languages."""
    sizes = dict(at_sizes(page, SIZES, LOOKED))
    large = dict(at_sizes(page, LARGE_SIZES, _LARGE, TIMES)) if language in LARGE_LANGUAGES else {}
    if large:
        page.evaluate("lookGrown(1)")
    page.set_viewport_size(box_of(TABLET))
    themes = {theme: page.evaluate(f"document.documentElement.dataset.theme = '{theme}'; lookCloser()") for theme in THEMES}
    page.evaluate("document.documentElement.dataset.theme = 'day'")
    return Seen(name, sizes, themes, large)


def box_of(size: str) -> dict[str, int]:
    """Give {width, height} in px of a size."""
    return dict(zip(("width", "height"), map(int, size.split("x")), strict=True))


def at_sizes(page: Page, sizes: Iterable[str], looked: str, *told: object) -> Iterator[tuple[str, dict]]:
    """Look at the screen at each size: (size, look)."""
    for size in sizes:
        page.set_viewport_size(box_of(size))
        yield size, page.evaluate(looked, *told)


def none(faults: list[str]) -> None:
    """Let there be no faults, or name each."""
    assert not faults, "\n" + "\n".join(faults)


# ---- with letters twice as large (WCAG 2.2, 1.4.4; from memory) ----

def expect_whole(screens: list[Seen]) -> None:
    """Let nothing be cut, nothing lie on another, and no screen be wider than the glass."""
    large = _larger(screens)
    none([f"{seen.name} {size}: {fault}" for seen, size, look in large for fault in [*look["cut"], *look["over"]]])
    none([f"{seen.name} {size}: wider than the screen" for seen, size, look in large if look["wide"] and not seen.is_card(size)])


def expect_in_order(screens: list[Seen]) -> None:
    """Let nothing be left out, and no key come before its turn."""
    none([f"{seen.name} {size}: {fault}" for seen, size, look in _larger(screens) for fault in [*look["lost"], *look["order"]]])


def expect_grown(screens: list[Seen]) -> None:
    """Let every text have grown as much as was asked."""
    texts = [(f"{seen.name} {size}: {text['what']} {text['times']:.2f}", text) for seen, size, look in _larger(screens) for text in look["grown"]]

    assert len(texts) > 1000
    none(sorted({told for told, text in texts if text["times"] < (FAR_TIMES if text["isFar"] else TIMES - 0.01)}))


def _larger(screens: list[Seen]) -> list[tuple[Seen, str, dict]]:
    found = [(seen, size, look) for seen in screens for size, look in seen.large.items()]
    assert len(found) == len(screens) * len(LARGE_SIZES) > 0
    return found

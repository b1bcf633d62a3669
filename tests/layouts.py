"""Look at every screen and sheet in every language and size: what is cut, and what lies on what.

Slow, so the tests hold a sample of it. By hand, before a release:

    python -m tests.layouts                          # all languages, all sizes: about ten minutes
    python -m tests.layouts --languages ar,fr --sizes 320x640 --pictures /tmp/looks
    python -m tests.layouts --letters largest        # text at 200 %
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from checklist.language import load, tags
from checklist.tables import STATIC
from tests.browser.app import MORNING, open_at
from tests.browser.looks import LOOK, LOOKED
from tests.browser.papers import as_paper, every_paper
from tests.browser.screens import every_screen
from tests.browser.screens_after import every_screen_after
from tests.browsers import launch_args
from tests.midwife import TABLET, Midwife
from tests.pseudo import pseudo_translations
from tests.servers import Served

# The last two are tablets of 1280 and 800 whose page is enlarged to 200 %.
SIZES = ("320x640", "600x960", "800x1280", "1280x800", "640x400", "400x640")
WALKS = {"birth": every_screen, "after": every_screen_after, "paper": every_paper}
# The size check draws a bank card as large as it is, 54 mm across; a phone of 320 px has 51.
CARD = ("settings", "320x640")


def main() -> None:
    """Look at all of it and print what is wrong; ends with 1 where anything is."""
    told = _arguments()
    faults = 0
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        words = pseudo_translations(Path(folder) / "words")
        languages = told.languages.split(",") if told.languages else tags(words)
        served = Served().start(STATIC, data=Path(folder) / "station", translations=words, ready=tuple(tags(words)))
        browser = playwright.chromium.launch(**launch_args(playwright.chromium, {}))
        try:
            for language in languages:
                for walk in told.walks.split(","):
                    seen, found = _walk(browser, served.url, words, language, walk, told)
                    faults += len(found)
                    print(f"{language} {walk}: {seen} screens, {len(found)} faults", *found, sep="\n  ", flush=True)
        finally:
            served.kill()
    sys.exit(1 if faults else 0)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.layouts", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--languages", help="tags, with commas between (default: every one, and both that nobody speaks)")
    parser.add_argument("--sizes", default=",".join(SIZES), help="widths and heights of the screen in px")
    parser.add_argument("--letters", default="usual", help="usual, larger (150 %%) or largest (200 %%)")
    parser.add_argument("--walks", default=",".join(WALKS), help="birth, after, paper")
    parser.add_argument("--pictures", type=Path, help="folder for a picture of each screen in each size")
    return parser.parse_args()


def _walk(browser: Browser, url: str, words: Path, language: str, walk: str, told: argparse.Namespace) -> tuple[int, list[str]]:
    context = browser.new_context(service_workers="allow")
    context.add_init_script(LOOK)
    context.add_init_script(f"if (location.protocol !== 'about:') localStorage.settings ??= JSON.stringify({{ language: '{language}', letters: '{told.letters}' }})")
    page = open_at(context, url, MORNING).page
    seen, found = 0, []
    hands = Midwife(page, load(words, language, ready=True), driven=True)
    for name in WALKS[walk](hands):
        seen += 1
        if walk == "paper":
            look = as_paper(hands)
            found += [f"{name} on paper: {fault}" for fault in [*look["cut"], *look["over"]]]
        # On a screen the card is as large as its sheet, and is moved about.
        if name == "card":
            continue
        found += [f"{name} {size}: {fault}" for size in told.sizes.split(",") for fault in _faults(page, name, size, language, told)]
        page.set_viewport_size(TABLET)
    context.close()
    return seen, found


def _faults(page: Page, name: str, size: str, language: str, told: argparse.Namespace) -> Iterator[str]:
    width, height = map(int, size.split("x"))
    page.set_viewport_size({"width": width, "height": height})
    look = page.evaluate(LOOKED)
    yield from look["cut"]
    yield from look["over"]
    if look["wide"] and not (name.startswith(CARD[0]) and size == CARD[1]):
        yield "wider than the screen"
    if told.pictures:
        told.pictures.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=told.pictures / f"{language} {name} {size}.png", full_page=True)


if __name__ == "__main__":
    main()

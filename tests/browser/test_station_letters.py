"""The station's pages in a browser that was told letters twice as large (WCAG 2.2, 1.4.4; from memory): nothing is cut."""

from collections import deque
from pathlib import Path

import pytest
from playwright.sync_api import Page

from checklist import create_app
from checklist.config import Settings
from checklist.demo import fill as fill_demo
from checklist.tables import STATIC
from checklist.web.parts import NAME
from tests.browser.looks import LOOK, none
from tests.browsers import launch_args
from tests.pseudo import pseudo_translations
from tests.server.pages import fill
from tests.server.test_untranslated_pages import ALIKE, REACHED, SETTINGS
from tests.servers import Served

USUAL_PX, TWICE_PX = 16, 32
TOLD = (("en-XA", USUAL_PX), ("en-XA", TWICE_PX), ("ar-XB", TWICE_PX))
SIZES = ((320, 640), (600, 960), (800, 1280), (1280, 800))
# A table of data may be wider than the glass, in a box of its own that scrolls (WCAG 2.2, 1.4.10; from memory).
_LOOKED = """() => ({
  ...look(), links: [...document.querySelectorAll("a[href^='/station']:not([download])")].map((one) => one.getAttribute("href").split("#")[0]),
})"""


def running(tmp_path: Path, language: str) -> Served:
    """Start a station with the demonstration's births, in a language that nobody speaks."""
    words = pseudo_translations(tmp_path / "translations")
    settings = Settings(data=tmp_path / "station", translations=words, ready=frozenset({language}))
    app = create_app(settings)
    fill_demo(app)
    fill(app.test_client(), "/station/settings", **{**SETTINGS, "language": language})
    app.extensions[NAME].journal.close()
    return Served().start(STATIC, data=settings.data, translations=words, ready=(language,))


@pytest.mark.parametrize(("language", "letters_px"), TOLD)
def test_no_page_of_the_station_is_cut_or_wider_than_the_glass(playwright, tmp_path, language, letters_px):
    station = running(tmp_path, language)
    told = launch_args(playwright.chromium, {"args": [f"--blink-settings=defaultFontSize={letters_px}"]})
    browser = playwright.chromium.launch(**told)
    context = browser.new_context(service_workers="block")
    context.add_init_script(LOOK)
    try:
        faults, seen = walked(context.new_page(), station.url)
    finally:
        browser.close()
        station.kill()

    assert seen >= REACHED
    none(faults)


def walked(page: Page, url: str) -> tuple[list[str], set[str]]:
    """Look at each kind of page once, at every size; gives what is wrong, and the kinds."""
    ahead, seen, faults = deque(["/station/"]), set(), []
    while ahead:
        path = ahead.popleft()
        shape = ALIKE.sub("…", path)
        if shape in seen:
            continue
        seen.add(shape)
        if page.request.head(url + path).headers.get("content-type", "").startswith("text/html"):
            page.goto(url + path)
            for width, height in SIZES:
                page.set_viewport_size({"width": width, "height": height})
                look = page.evaluate(_LOOKED)
                faults += [f"{shape} {width}: {fault}" for fault in [*look["cut"], *look["over"]]]
                faults += [f"{shape} {width}: wider than the screen"] if look["wide"] else []
            ahead.extend(look["links"])
    return faults, seen

"""Give browser tests the tablet's real modules under the smallest possible page."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from checklist.language import tags
from checklist.tables import STATIC, TRANSLATIONS
from tests.browser.posts import Place
from tests.halves import modules_page  # noqa: F401
from tests.pseudo import PSEUDO, pseudo_translations
from tests.servers import Served

FIXTURES = Path(__file__).parent / "fixtures"


def edition(folder: Path, title: str) -> Path:
    """Make a static folder: the real modules, the small page, and a heading of its own."""
    shutil.copytree(STATIC, folder)
    shutil.copy(FIXTURES / "app.js", folder / "app.js")
    page = (FIXTURES / "index.html").read_text(encoding="utf-8")
    (folder / "index.html").write_text(page.replace("Edition one", title), encoding="utf-8")
    return folder


@pytest.fixture
def one(tmp_path):
    """The static folder of the first release."""
    return edition(tmp_path / "one", "Edition one")


@pytest.fixture
def two(tmp_path):
    """The static folder of the release after it."""
    return edition(tmp_path / "two", "Edition two")


@pytest.fixture
def server(served, one):
    """The first release, served."""
    return served.start(one)


@pytest.fixture
def post(served, one, tmp_path) -> Place:
    """A post whose real station runs and serves the first release."""
    place = Place(served, one, tmp_path / "station")
    place.start()
    return place


def visit(context: BrowserContext, url: str) -> Page:
    """Open a page and wait until its tablet has begun."""
    page = context.new_page()
    page.goto(url)
    expect_begun(page)
    return page


def expect_begun(page: Page) -> None:
    """Wait until the page knows whether it writes or only reads."""
    expect(page.locator("#role")).not_to_have_text("none", timeout=20_000)


def expect_ready(page: Page) -> None:
    """Wait until everything that is kept was hashed and found whole."""
    expect(page.locator("#shell")).to_have_text("ready", timeout=20_000)


@pytest.fixture(scope="module")
def foreign(tmp_path_factory):
    """A station that has the two languages nobody speaks."""
    folder = pseudo_translations(tmp_path_factory.mktemp("words") / "translations")
    address = Served().start(STATIC, data=tmp_path_factory.mktemp("foreign"), translations=folder, ready=(*PSEUDO, *tags(TRANSLATIONS)))
    yield address, folder
    address.kill()

"""Open the whole app as a tablet shows it, and read what it keeps and what the station has."""

import datetime as dt
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from checklist.config import DATABASE
from checklist.core.event import parse
from checklist.language import SOURCE, load
from checklist.schema import connect
from checklist.tables import STATIC, TRANSLATIONS
from tests.midwife import PATIENCE_MS, TABLET, Midwife
from tests.servers import Served

WORDS = load(TRANSLATIONS, SOURCE)
MORNING = dt.datetime(2026, 3, 1, 8, 0, tzinfo=dt.UTC)
BEGUN = "html[data-begun]"
_LINES = """async () => {
  const { openJournal } = await import(document.querySelector("script[type=module]").src.replace("app.js", "journal.js"));
  const journal = await openJournal({ writer: false });
  const lines = [];
  for await (const line of journal.readAll()) lines.push(line);
  return lines;
}"""


def open_app(context: BrowserContext, url: str, size: dict = TABLET, moment: dt.datetime | None = None) -> Midwife:
    """Open the app in a new page of a tablet's size and wait until it has begun; its clock runs, from now or from a moment."""
    page = context.new_page()
    page.set_viewport_size(size)
    page.clock.install(time=moment)
    page.goto(url)
    expect_begun(page)
    return Midwife(page)


def open_at(context: BrowserContext, url: str, moment: dt.datetime, size: dict = TABLET) -> Midwife:
    """Open the app at a moment and let its clock stand still there until the test drives it."""
    page = context.new_page()
    page.set_viewport_size(size)
    page.clock.install(time=moment - dt.timedelta(minutes=1))
    page.goto(url)
    expect_begun(page)
    # What the store is asked or told in the first exchange would seem to have hung when the clock jumps.
    expect(page.locator("html[data-settled]")).to_be_attached(timeout=PATIENCE_MS)
    page.clock.pause_at(moment)
    # An exchange would wait for the disk while the clock is moved on under it.
    context.set_offline(True)
    return Midwife(page, driven=True)


def expect_begun(page: Page) -> None:
    """Wait until the first screen is drawn."""
    expect(page.locator(BEGUN)).to_be_attached(timeout=PATIENCE_MS)


def expect_told(page: Page, name: str, **values: object) -> None:
    """Wait until the screen says the sentence of this id."""
    expect(page.get_by_text(WORDS.text(name, **values)).first).to_be_visible(timeout=PATIENCE_MS)


def kept_lines(page: Page) -> list[str]:
    """Read every line of the tablet's journal, log after log, with the app's own reader."""
    return page.evaluate(_LINES)


def kept_events(page: Page) -> list[dict]:
    """Read the tablet's journal as events."""
    return [parse(line) for line in kept_lines(page)]


def station_lines(data: Path) -> list[str]:
    """Read the lines that tablets sent to the station, log after log, from its SQLite file."""
    rows = connect(data / DATABASE, read_only=True).execute(
        "select line from event join log using (log_no) join device using (device_id)"
        " where log.log not in (select log from station) order by log.log, event.seq"
    )
    return [row["line"] for row in rows]


def copied(folder: Path) -> Path:
    """Copy the app's static folder, for a release of a test's own."""
    shutil.copytree(STATIC, folder)
    return folder


@pytest.fixture(scope="module")
def station(tmp_path_factory):
    """The real station, once for a whole file: every test brings a browser of its own."""
    address = Served().start(STATIC, data=tmp_path_factory.mktemp("station"))
    yield address
    address.kill()


@pytest.fixture
def midwife(station, context):
    """A tablet at the first screen, its clock driven by the test."""
    return open_at(context, station.url, MORNING)

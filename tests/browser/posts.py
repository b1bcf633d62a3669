"""A post: its folder, its real station as a process to kill, and what is really stored there."""

import sqlite3
from pathlib import Path

from playwright.sync_api import Page

from checklist.config import DATABASE
from checklist.journal import Journal
from tests.browser.tapping import LINES
from tests.servers import Served

EXCHANGE = "tablet.exchange()"
FAILED = "tablet.exchange().then(() => 'done', (error) => error.code ?? String(error))"
# All at once, which is quicker than tapping.
TAPS = """(count) => Promise.all(Array.from({ length: count }, () =>
  tablet.record("hiss_heard", {}, "00c0ffee00c0ffee")))"""


class Place:
    """A post: its folder, its station as a process, and what is really stored there."""

    def __init__(self, served: Served, static: Path, data: Path) -> None:
        self._served, self._static, self.data = served, static, data

    @property
    def url(self) -> str:
        return self._served.url

    def start(self) -> None:
        self._served.start(self._static, data=self.data)

    def stop(self) -> None:
        self._served.kill()

    def stored(self) -> list[str]:
        """Give every line of every tablet's log."""
        connection = sqlite3.connect(self.data / DATABASE)
        rows = connection.execute(
            "select line from event join log using (log_no) join device using (device_id)"
            " where device.state <> 'station' order by event_no"
        ).fetchall()
        connection.close()
        return [line for (line,) in rows]

    def write(self, work):
        """Do what a person at the station would do on a page."""
        return write_into(self.data, work)


def write_into(data: Path, work):
    """Do in the journal of a station's folder what a page would do."""
    journal = Journal.open(data / DATABASE)
    try:
        return journal.write(work)
    finally:
        journal.close()


def same(page: Page, post: Place) -> bool:
    """Tell whether tablet and station hold the very same lines, each once."""
    return sorted(page.evaluate(LINES)) == sorted(post.stored())


def waiting(page: Page) -> int:
    return page.evaluate("tablet.waiting()")["count"]

"""The hand of the tests fails at a key that cannot be touched, and tells that from a browser that draws nothing."""

import os
import signal
from contextlib import contextmanager

import pytest
from playwright.sync_api import TimeoutError

from tests import touch as hand

HELD = 1_700_000_000
COVERED = """<button>Pull</button><div style="position: fixed; inset: 0"></div>"""


@pytest.fixture
def page(page, monkeypatch):
    """A page whose one key lies under something."""
    monkeypatch.setattr(hand, "PATIENCE_MS", 500)
    page.set_content(COVERED)
    return page


@contextmanager
def drawing_nothing(page):
    """Let the process hang that draws for the browser of a page."""
    (process,) = hand.drawing(page.context.browser)
    os.kill(process, signal.SIGSTOP)
    try:
        yield
    finally:
        if process in hand.drawing(page.context.browser):
            os.kill(process, signal.SIGCONT)


def test_a_key_that_cannot_be_touched_while_the_page_is_drawn_fails(page):
    assert hand.draws(page)
    with pytest.raises(TimeoutError):
        hand.touch(page.get_by_role("button"))


def test_where_nothing_is_drawn_another_process_draws_and_the_key_is_touched(page):
    page.set_content("<button onclick='this.textContent = 1'>Pull</button>")
    page.clock.install(time=HELD)
    page.clock.pause_at(HELD + 1)

    with drawing_nothing(page):
        assert not hand.draws(page)
        hand.touch(page.get_by_role("button"))

        assert hand.draws(page) and page.get_by_role("button").inner_text() == "1"


def test_where_nothing_helps_the_key_is_struck_if_nothing_lies_on_it(page, monkeypatch):
    woken = []
    monkeypatch.setattr(hand, "wake", woken.append)

    with drawing_nothing(page):
        with pytest.raises(AssertionError):
            hand.touch(page.get_by_role("button"))
        page.set_content("<button onclick='this.textContent = 1'>Pull</button>")
        hand.touch(page.get_by_role("button"))

        assert page.get_by_role("button").inner_text() == "1"
    assert woken == [page] * 2 * hand.WAKES

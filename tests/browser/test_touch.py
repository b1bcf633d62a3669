"""The hand of the tests fails at a key that cannot be touched, and tells that from a browser that draws nothing."""

import pytest
from playwright.sync_api import TimeoutError

from tests import touch as hand

COVERED = """<button>Pull</button><div style="position: fixed; inset: 0"></div>"""


@pytest.fixture
def page(page, monkeypatch):
    """A page whose one key lies under something."""
    monkeypatch.setattr(hand, "PATIENCE_MS", 500)
    page.set_content(COVERED)
    return page


def test_a_key_that_cannot_be_touched_while_the_page_is_drawn_fails(page, monkeypatch):
    monkeypatch.setattr(hand, "wake", lambda page: page.set_content("<button>Pull</button>"))

    assert hand.draws(page)
    with pytest.raises(TimeoutError):
        hand.touch(page.get_by_role("button"))


def test_where_no_frame_was_drawn_the_page_is_woken_and_the_key_touched_again(page, monkeypatch):
    monkeypatch.setattr(hand, "draws", lambda page: False)
    woken = []
    monkeypatch.setattr(hand, "wake", lambda page: woken.append(page.set_content("<button onclick='this.textContent = 1'>Pull</button>")))

    hand.touch(page.get_by_role("button"))

    assert len(woken) == 1 and page.get_by_role("button").inner_text() == "1"


def test_a_woken_page_has_its_old_size(page):
    size = page.viewport_size

    hand.wake(page)

    assert page.viewport_size == size

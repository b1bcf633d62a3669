"""What a hand needs next is in sight on a phone: Undo after a birth, each of three numbers by itself."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, open_at, station  # noqa: F401
from tests.browser.days import last_pull
from tests.midwife import Midwife

PHONE = {"width": 360, "height": 740}
FLAT = {"width": 1280, "height": 800}
_LINES = """() => [...document.querySelectorAll(".count + .count")].map((count) => {
  const line = getComputedStyle(count, "::before"), above = count.previousElementSibling.getBoundingClientRect();
  const at = count.getBoundingClientRect().left + parseFloat(line.left);
  return line.content !== "none" && parseFloat(line.borderLeftWidth) > 0 && parseFloat(line.height) >= count.querySelector(".number").offsetHeight && at > above.right;
})"""


@pytest.fixture(params=(PHONE, FLAT), ids=("phone", "flat"))
def born(request, context, station) -> Midwife:  # noqa: F811
    """A baby was born just now."""
    hands = open_at(context, station.url, MORNING, request.param)
    hands.start_at_once()
    hands.apply()
    last_pull(hands)
    return hands


@pytest.fixture
def pulling(context, station) -> Midwife:  # noqa: F811
    """A pull goes on, on a phone."""
    hands = open_at(context, station.url, MORNING, PHONE)
    hands.start_at_once()
    hands.apply()
    hands.begin_pull()
    return hands


def test_after_the_birth_a_slip_can_be_undone_where_one_looks(born):
    undo = born.key("app.undo")
    expect(undo).to_be_in_viewport(ratio=1)

    born.press(born.page.locator('[data-item="oxytocin"] button'))

    expect(undo).to_be_in_viewport(ratio=1)


def test_between_two_numbers_that_stand_side_by_side_runs_a_line(pulling):
    assert pulling.page.evaluate(_LINES) == [True, True]

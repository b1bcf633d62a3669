"""What a hand needs next is in sight on a phone: Undo after a birth."""

import pytest
from playwright.sync_api import expect

from tests.browser.app import MORNING, open_at, station  # noqa: F401
from tests.browser.days import last_pull
from tests.midwife import Midwife

PHONE = {"width": 360, "height": 740}
FLAT = {"width": 1280, "height": 800}


@pytest.fixture(params=(PHONE, FLAT), ids=("phone", "flat"))
def born(request, context, station) -> Midwife:  # noqa: F811
    """A baby was born just now."""
    hands = open_at(context, station.url, MORNING, request.param)
    hands.start_at_once()
    hands.apply()
    last_pull(hands)
    return hands


def test_after_the_birth_a_slip_can_be_undone_where_one_looks(born):
    undo = born.key("app.undo")
    expect(undo).to_be_in_viewport(ratio=1)

    born.press(born.page.locator('[data-item="oxytocin"] button'))

    expect(undo).to_be_in_viewport(ratio=1)

"""Each gauge that a post may have: its readings stand whole in their keys, and its sign beside its marks, on every size."""

import time

import pytest

from checklist import station
from checklist.core.units import UNITS
from checklist.station import Post
from checklist.tables import STATIC
from tests.browser.app import MORNING, open_at
from tests.browser.looks import LOOK, LOOKED, SIZES, TABLET, at_sizes, box_of, none
from tests.browser.posts import write_into

_MARKS = """() => [...document.querySelectorAll(".gauge text")].flatMap((one, index, all) => all.slice(index + 1).filter((other) => {
  const [a, b] = [one.getBoundingClientRect(), other.getBoundingClientRect()];
  return a.left < b.right && b.left < a.right && Math.abs(a.top - b.top) < 2;
}).map((other) => `${one.textContent} lies on ${other.textContent}`))"""


@pytest.fixture(params=UNITS)
def hands(request, context, served, tmp_path):
    """A tablet of a post with this gauge; the cup is on and the rim was swept."""
    served.start(STATIC, data=tmp_path)
    write_into(tmp_path, lambda store: station.set_post(
        store, station.found(store, 0), Post("Hill post", gauge_unit=request.param), int(time.time() * 1000)))
    context.add_init_script(LOOK)
    hands = open_at(context, served.url, MORNING)
    hands.start_at_once()
    hands.choose_cup()
    hands.place()
    hands.sweep()
    return hands


def faults(page) -> list[str]:
    """Look at the screen in every size."""
    found = []
    for size, look in at_sizes(page, SIZES, LOOKED):
        found += [f"{size}: {fault}" for fault in [*look["cut"], *look["over"], *look["crowded"], *page.evaluate(_MARKS)]]
    page.set_viewport_size(box_of(TABLET))
    return found


def test_readings_stand_whole_in_their_keys(hands):
    first = faults(hands.page)
    hands.press(hands.page.locator("[data-key^=reading-]"))
    hands.sweep()
    readings = hands.page.locator("[data-key^=reading-]")
    assert readings.count() >= 2

    none(first + faults(hands.page))

"""The station's pages on a phone: a value has room, two buttons do not touch, a radio stands beside its name."""

import re

import pytest

from checklist import create_app
from checklist.config import Settings
from checklist.demo import fill as fill_demo
from checklist.tables import STATIC
from checklist.web.parts import NAME
from tests.browsers import launch_args
from tests.servers import Served

PHONE = {"width": 360, "height": 740}
READ_PX = 12
# Two buttons that touch are one to a thumb.
APART_PX = 8
# Each word of a list of facts that stands on more than one line.
_BROKEN = r"""() => {
  const broken = [];
  for (const one of document.querySelectorAll(".facts :is(dt, dd)")) {
    const walk = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      for (const word of walk.currentNode.data.matchAll(/[^\s-]+/g)) {
        const range = document.createRange();
        range.setStart(walk.currentNode, word.index);
        range.setEnd(walk.currentNode, word.index + word[0].length);
        if (new Set([...range.getClientRects()].map((box) => box.top)).size > 1) broken.push(word[0]);
      }
    }
  }
  return broken;
}"""
_NARROWEST = "() => Math.min(...[...document.querySelectorAll('.facts dd')].map((one) => one.clientWidth))"
_BOXES = "(one) => one.map((each) => each.getBoundingClientRect().toJSON())"
# Where a radio stands against the first line of its own label.
_BESIDE = """(all) => all.map((radio) => {
  const range = document.createRange();
  range.selectNodeContents(radio.nextSibling);
  const [line, box] = [range.getClientRects()[0], radio.getBoundingClientRect()];
  return box.right <= line.left && box.top < line.bottom && line.top < box.bottom && line.left - box.right < 16;
})"""

# Of each chart: how large its letters are drawn in px, and how far its beginning lies before the edge of its place.
_CHARTS = """(direction) => {
  document.documentElement.dir = direction;
  return [...document.querySelectorAll(".wide > .chart")].map((chart) => {
    const [box, place] = [chart.getBoundingClientRect(), chart.parentElement.getBoundingClientRect()];
    return { letters: parseFloat(getComputedStyle(chart).fontSize) * box.width / chart.viewBox.baseVal.width, before: place.left - box.left };
  });
}"""


@pytest.fixture(scope="module")
def station(tmp_path_factory):
    """A station with the demonstration's births."""
    data = tmp_path_factory.mktemp("phone") / "station"
    app = create_app(Settings(data=data))
    fill_demo(app)
    app.extensions[NAME].journal.close()
    served = Served().start(STATIC, data=data)
    yield served
    served.kill()


@pytest.fixture
def page(playwright, station):
    """A page as wide as a phone, before the list of births to talk over."""
    browser = playwright.chromium.launch(**launch_args(playwright.chromium, {}))
    opened = browser.new_context(service_workers="block", viewport=PHONE).new_page()
    opened.goto(f"{station.url}/station/review/cases")
    yield opened
    browser.close()


@pytest.mark.parametrize("of", ["/station/cases/{}", "/station/review/cases/{}"])
def test_no_word_of_a_fact_is_broken(page, station, of):
    case = re.search(r"/review/cases/([0-9a-f]{16})", page.content())[1]
    page.goto(station.url + of.format(case))

    assert page.evaluate(_BROKEN) == []
    assert page.evaluate(_NARROWEST) > PHONE["width"] / 3


def test_what_is_sent_and_what_is_marked_do_not_touch(page):
    page.locator("a[href*='/review/cases/']").first.click()
    send, mark = page.locator("#remarks form button").evaluate_all(_BOXES)

    assert mark["top"] - send["bottom"] >= APART_PX


def test_a_form_of_export_is_chosen_beside_its_name(page, station):
    page.goto(f"{station.url}/station/exports")

    assert page.locator("input[name=kind]").evaluate_all(_BESIDE) == [True] * 3


@pytest.mark.parametrize("direction", ["ltr", "rtl"])
@pytest.mark.parametrize("of", ["/station/review/cases/{}", "/station/review/births"])
def test_a_chart_is_read_from_its_beginning(page, station, of, direction):
    case = re.search(r"/review/cases/([0-9a-f]{16})", page.content())[1]
    page.goto(station.url + of.format(case))
    charts = page.evaluate(_CHARTS, direction)

    assert charts and min(chart["letters"] for chart in charts) >= READ_PX
    assert max(chart["before"] for chart in charts) <= 1
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]

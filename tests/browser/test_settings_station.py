"""The station's part of the settings, and the row of sending on the first screen."""

import pytest
from playwright.sync_api import expect

from checklist import device, relay
from checklist.admission import make_code
from checklist.tables import STATIC
from checklist.web.parts import Parts
from tests.browser import weeks
from tests.browser.app import WORDS, expect_told, open_app, station_lines
from tests.browser.test_outboxes import Behind
from tests.midwife import PATIENCE_MS
from tests.server.near_hub import NOW, Post
from tests.server.tablet import Tablet


@pytest.fixture
def here(served, tmp_path):
    """The journal of a station that serves; whoever comes to it first is no longer the first."""
    served.start(STATIC, data=tmp_path / "post")
    journal = Behind(tmp_path / "post")
    yield journal
    journal.journal.close()


@pytest.fixture
def waiting(here, served, context):
    """A tablet that the station has not let in, at its settings."""
    here.admit(Tablet())
    midwife = open_app(context, served.url)
    expect_told(midwife.page, "home.station_waiting")
    open_settings(midwife)
    return midwife


def open_settings(midwife):
    midwife.page.locator("[data-key=settings]").click()
    midwife.expect_screen("settings")


def code_of(here) -> str:
    return make_code(here.journal, here.identity, "", Parts.now())


def states(here) -> list[str]:
    return sorted(row[0] for row in here.journal.reader.execute("select state from device where state <> 'station'"))


def test_a_wrong_code_is_one_sentence_and_changes_nothing(here, waiting):
    code_of(here)
    weeks.pair(waiting, "0000-0000")

    weeks.told_in_settings(waiting, "problem.code_refused")
    assert states(here) == ["admitted", "waiting"]
    assert station_lines(here.path.parent) == []


def test_a_right_code_as_people_type_it_lets_the_tablet_in(here, waiting):
    code = code_of(here)
    weeks.pair(waiting, f"{code[:4].lower()} {code[4:].lower()}")

    weeks.told_in_settings(waiting, "settings.station.let_in")
    weeks.go_home(waiting)
    weeks.send(waiting)
    assert states(here) == ["admitted", "admitted"]


def test_a_code_that_another_tablet_used_is_refused(here, waiting, browser, served):
    code = code_of(here)
    with browser.new_context() as elsewhere:
        other = open_app(elsewhere, served.url)
        open_settings(other)
        weeks.pair(other, code)
        weeks.told_in_settings(other, "settings.station.let_in")

    weeks.pair(waiting, code)

    weeks.told_in_settings(waiting, "problem.code_refused")
    assert states(here) == ["admitted", "admitted", "waiting"]


def test_a_retired_tablet_says_so_and_no_code_lets_it_in_again(here, waiting):
    own = here.journal.reader.execute("select device_id from device where state = 'waiting'").fetchone()[0]
    here.journal.write(lambda store: device.settle(store.connection, own, device.RETIRED, NOW))
    weeks.pair(waiting, code_of(here))

    weeks.told_in_settings(waiting, "problem.device_retired")
    weeks.go_home(waiting)
    waiting.page.locator("[data-key=send]").click()
    expect_told(waiting.page, "home.station_retired")
    assert states(here) == ["admitted", "retired"]


def test_before_the_station_was_reached_no_file_is_made(here, served, context):
    context.route("**/v1/heads", lambda route: route.abort())
    midwife = open_app(context, served.url)
    open_settings(midwife)
    midwife.page.locator("[data-key=stick]").click()

    weeks.told_in_settings(midwife, "settings.station.no_hub")


def test_the_first_screen_says_what_waits_for_the_hub_until_it_is_there(here, served, context, tmp_path):
    hub = Post(tmp_path, "hub")
    way = here.join(hub)
    midwife = open_app(context, served.url)
    weeks.send(midwife)
    row = midwife.page.locator("[data-key=send]")
    count = len(station_lines(here.path.parent))
    expect(row).to_contain_text(WORDS.text("home.hub_waiting", n=count), timeout=PATIENCE_MS)

    relay.exchange(here.journal, way, NOW)
    row.click()

    expect(row).not_to_contain_text(WORDS.messages["home.hub_waiting"].split("{")[0].strip(), timeout=PATIENCE_MS)
    hub.journal.close()

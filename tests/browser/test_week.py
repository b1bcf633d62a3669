"""Two stations and a hub, three browsers: births go up by network and by file, a remark comes down."""

import json

import pytest
from playwright.sync_api import expect

from checklist import certificate, device
from checklist.web.parts import Parts
from tests.browser import weeks
from tests.browser.app import WORDS, expect_begun, expect_told, kept_events, kept_lines
from tests.midwife import PATIENCE_MS
from tests.server.tablet import Tablet

# Births of this week at both posts.
WEEK = 5
REMARK = "Why did she push with the cup still high?"
ANSWER = "She could not be held back; two of us saw it."


@pytest.fixture
def places(tmp_path):
    """The hub, station A with plain http on its own machine, station B with a certificate."""
    found = weeks.Station(tmp_path / "hub"), weeks.Station(tmp_path / "a"), weeks.certified(tmp_path / "b")
    for place in found:
        place.start()
    yield found
    for place in found:
        place.kill()


@pytest.fixture
def browsers(browser_type, browser_type_launch_args, places):
    """Three browsers of their own: tablet A, tablet B, the supervisor."""
    trusting = weeks.trusting(browser_type_launch_args, certificate.kept(places[2].data))
    found = [browser_type.launch(**args) for args in (browser_type_launch_args, trusting, browser_type_launch_args)]
    yield found
    for browser in found:
        browser.close()


@pytest.fixture
def supervisor(places, browsers):
    """The hub's supervisor, signed in by the link of the new account."""
    hub = places[0]
    link = hub.run("account", "add", "Asha", "--role", "supervisor", "--role", "keeper", "--url", hub.url).split()[0]
    page = browsers[2].new_context().new_page()
    weeks.sign_in(page, link)
    return page


def let_in_by_code(tablet, station):
    """The post has a tablet already, so this one waits until the code is typed."""
    tablet.page.locator("[data-key=settings]").click()
    tablet.expect_screen("settings")
    weeks.pair(tablet, station.run("code").strip())
    weeks.told_in_settings(tablet, "settings.station.let_in")
    weeks.go_home(tablet)


def test_births_arrive_by_network_and_by_file_and_a_remark_is_read_offline(places, browsers, supervisor, tmp_path):
    hub, a, b = places
    b.write(lambda store: device.add(store.connection, Tablet().public_key, "first", device.ADMITTED, Parts.now()))
    near, far = weeks.tablet(browsers[0], a.url), weeks.tablet(browsers[1], b.url)
    let_in_by_code(far, b)
    for tablet, beds in ((near, "123"), (far, "64")):
        for bed in beds:
            weeks.birth(tablet, bed)

    by_network(hub, a, near)
    by_file(hub, b, far, supervisor, tmp_path)
    lines = kept_lines(near.page) + kept_lines(far.page)
    logs = {event["log"] for tablet in (near, far) for event in kept_events(tablet.page)}
    cases = {json.loads(line)["case"] for line in lines} - {""}
    assert hub.lines_of(logs) == sorted(lines)
    assert len(cases) == WEEK

    weeks.say_of(supervisor, hub.url, "3", REMARK)
    a.run("sync")
    weeks.send(near)
    expect_told(near.page, "remarks.new", n=1)
    a.kill()
    near.page.context.set_offline(True)
    answer_offline(near)

    a.start()
    near.page.context.set_offline(False)
    weeks.send(near)
    a.run("sync")
    supervisor.reload()
    expect(supervisor.locator("#remarks .timeline")).to_contain_text(ANSWER)

    weeks.say_of(supervisor, hub.url, "4", REMARK)
    no_way_back_by_file(hub, b, far, supervisor, tmp_path)


def by_network(hub, station, tablet) -> None:
    """The station joins by a code, and all that its tablet sent goes on to the hub."""
    weeks.send(tablet)
    code = hub.run("code").strip()
    assert "Joined the hub" in station.run("join", hub.url, code, "--name", "Hill post")
    assert "The hub holds everything." in station.run("sync")
    weeks.send(tablet)


def by_file(hub, station, tablet, page, folder) -> None:
    """The tablet's own file and the station's, each taken in twice: nothing is doubled."""
    hub.run("stick", "key", "--to", folder / "hub.key")
    station.run("stick", "trust", folder / "hub.key")
    weeks.send(tablet)
    own = weeks.own_file(tablet, folder)
    weeks.send(tablet)
    station.run("stick", "export", folder / "b.stick")

    events, new = weeks.take_in(page, hub.url, own)
    assert events == new > 0
    assert weeks.take_in(page, hub.url, folder / "b.stick")[0] >= events
    assert weeks.take_in(page, hub.url, own) == (events, 0)
    assert weeks.take_in(page, hub.url, folder / "b.stick")[1] == 0


def answer_offline(tablet) -> None:
    """With no station and no network: open the app anew, read the remark, answer it."""
    page = tablet.page
    begin_anew(tablet)
    expect_told(page, "remarks.new", n=1)
    page.locator("[data-key=remarks]").click()
    page.locator(".cases [data-key^=case-]").first.click()
    tablet.expect_screen("record")
    expect(page.locator(".remarks .entries")).to_contain_text(REMARK, timeout=PATIENCE_MS)
    page.locator(".answer-remark textarea").fill(ANSWER)
    page.locator("[data-key=answer-remark]").click()
    expect(page.locator(".remarks .entries")).to_contain_text(ANSWER, timeout=PATIENCE_MS)
    begin_anew(tablet)
    expect(page.locator("[data-key=remarks]")).to_have_count(0)


def begin_anew(tablet) -> None:
    """Open the app anew: it comes back to the open birth, and from there home."""
    tablet.page.reload()
    expect_begun(tablet.page)
    tablet.expect_screen("after")
    weeks.go_home(tablet)


def no_way_back_by_file(hub, station, tablet, page, folder) -> None:
    """A receipt says what the hub holds; it carries no remark, and the tablet shows none."""
    assert weeks.take_in(page, hub.url, folder / "b.stick")[1] == 0
    with page.expect_download() as coming:
        page.get_by_role("link", name=WORDS.text("stick.receipt")).click()
    coming.value.save_as(folder / "b.receipt")
    assert "the hub holds" in station.run("stick", "import", folder / "b.receipt")
    weeks.send(tablet)
    expect(tablet.page.locator("[data-key=remarks]")).to_have_count(0)

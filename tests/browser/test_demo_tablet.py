"""The demonstration on a tablet: every screen says so, and every case of it is practice."""

import pytest
from playwright.sync_api import expect

from checklist.journal import Journal
from tests.browser.app import WORDS, expect_begun, open_app
from tests.browser.looks import LOOK
from tests.midwife import PATIENCE_MS
from tests.server.running import Running

PHONE = {"width": 360, "height": 740}
PRACTICE = "select count(*) from case_summary where mode = 'practice'"


@pytest.fixture
def demo(tmp_path):
    """Run a station of invented cases; gives it and its journal."""
    station = Running("--demo", "--data", str(tmp_path / "station"))
    journal = Journal.open(tmp_path / "demo" / "station.sqlite3")
    yield station, journal
    station.kill()
    journal.close()


def test_a_browser_on_this_machine_plays_among_the_invented_cases(demo, context):
    station, journal = demo
    assert journal.reader.execute(PRACTICE).fetchone()[0] == 1

    # By number, as somebody may have noted it: the app answers by name.
    midwife = open_app(context, f"http://127.0.0.1:{station.port}/")
    page = midwife.page
    assert page.url == f"{station.url}/"
    strip = page.get_by_text(WORDS.text("app.demo"))
    expect(strip).to_be_visible()
    expect(page.get_by_text("Three Wells")).to_be_visible(timeout=PATIENCE_MS)
    midwife.start()

    expect(strip).to_be_visible()
    expect(page.locator("body[data-page=before][data-mode=practice]")).to_be_attached()
    page.get_by_role("button", name=WORDS.text("app.back")).click()
    with page.expect_response(lambda reply: reply.url.endswith("/batches")) as sent:
        page.get_by_role("button", name=WORDS.text("home.send_now")).click()

    assert sent.value.ok
    assert journal.reader.execute(PRACTICE).fetchone()[0] == 2


def test_a_told_birth_is_told_in_the_demonstration_too_and_talked_over_at_its_end(demo, context):
    station, _ = demo
    midwife = open_app(context, station.url)
    midwife.tap("home.practice")

    midwife.press(midwife.page.locator("[data-key=play-no_descent]"))

    midwife.expect_screen("before")
    expect(midwife.page.locator(".practice-line .telling")).not_to_be_empty()
    midwife.hold(midwife.key("practice.end"))
    midwife.expect_screen("debrief")


def test_any_other_birth_of_the_demonstration_stands_as_a_real_one_would(demo, context):
    station, _ = demo
    midwife = open_app(context, station.url)

    midwife.start()

    expect(midwife.page.locator(".practice-line")).to_have_count(0)


def test_under_three_strips_on_a_phone_nothing_of_the_live_screen_is_lost(demo, context):
    station, _ = demo
    context.add_init_script(LOOK)
    midwife = open_app(context, station.url, PHONE)
    midwife.tap("home.practice")
    midwife.press(midwife.page.locator("[data-key=play-no_descent]"))
    midwife.expect_screen("before")
    midwife.hold(midwife.choose_to_override())
    midwife.expect_screen("cup")
    midwife.apply()
    midwife.pull(1, "no")
    midwife.page.reload()
    expect_begun(midwife.page)
    midwife.expect_screen("pull")
    expect(midwife.page.get_by_text(WORDS.text("limit.poor_pulls.caution"))).to_be_visible()

    look = midwife.page.evaluate("look()")

    assert (look["cut"], look["over"]) == ([], [])
    stop = midwife.key("pull.stop")
    stop.scroll_into_view_if_needed()
    expect(stop).to_be_in_viewport(ratio=0.99)

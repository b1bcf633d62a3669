"""What the tablet says and does when its disk, its release or another page refuses."""

import re

import pytest
from playwright.sync_api import expect

from checklist.language import load
from checklist.tables import STATIC, TRANSLATIONS
from tests.browser.app import (
    copied, expect_begun, expect_told, kept_events, kept_lines, open_app, station,  # noqa: F401
)
from tests.midwife import Midwife

# A disk that refuses while the test says so.
REFUSING_DISK = """(() => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...told) {
    if (window.full) throw new DOMException("no room", "QuotaExceededError");
    return put.apply(this, told);
  };
})()"""
# What the tablet writes without a tap.
OWN = ("log_opened", "advice_shown")
SHUT_STORE = """(() => {
  const refuse = () => { throw new DOMException("shut", "InvalidStateError"); };
  IDBFactory.prototype.open = refuse;
})()"""


def alarm(midwife: Midwife):
    return midwife.page.get_by_role("alert").filter(has_text=midwife.words.text("app.not_saved", n="").split(":")[0])


def test_taps_that_the_disk_refuses_are_counted_aloud_shown_and_saved_later(station, context):  # noqa: F811
    context.add_init_script(REFUSING_DISK)
    midwife = open_app(context, station.url)
    midwife.start_at_once()
    midwife.apply()
    before = len(kept_lines(midwife.page))
    midwife.page.evaluate("window.full = true")

    midwife.tap("pull.pull", kept=False)
    expect(alarm(midwife)).to_contain_text("1")
    midwife.wait(1)
    midwife.tap("pull.pulling", kept=False)
    midwife.tap("app.yes", kept=False)
    # What the tablet itself writes down beside the three taps waits with them.
    expect(alarm(midwife)).to_contain_text(re.compile("[3-9]"))
    assert midwife.counts()["pulls"] == 1
    assert len(kept_lines(midwife.page)) == before
    midwife.page.evaluate("window.full = false")

    expect(alarm(midwife)).to_have_count(0, timeout=15_000)
    midwife.expect_kept()
    kinds = [event["kind"] for event in kept_events(midwife.page)[before:]]
    assert [kind for kind in kinds if kind not in OWN] == ["pull_began", "pull_ended", "descent_judged"]
    assert midwife.counts()["pulls"] == 1


def test_a_tablet_whose_store_is_shut_starts_all_the_same(station, context):  # noqa: F811
    context.add_init_script(SHUT_STORE)
    midwife = open_app(context, station.url)

    midwife.tap("home.start", kept=False, redraws=False)

    midwife.expect_screen("before")
    expect(alarm(midwife)).to_be_visible()


def test_a_second_page_reads_along_and_records_nothing(station, context):  # noqa: F811
    midwife = open_app(context, station.url)
    midwife.start_at_once()
    midwife.apply()
    second = open_app(context, station.url)
    expect_told(second.page, "app.reader")
    expect(second.key("home.start")).to_be_disabled()

    second.go_back_to_the_case()
    expect(second.key("pull.pull")).to_be_disabled()
    midwife.page.bring_to_front()
    midwife.begin_pull()

    expect(second.key("pull.pulling")).to_be_disabled(timeout=10_000)
    assert second.counts()["pulls"] == 1
    midwife.page.close()
    # Now the one that writes, it comes back to where the birth is.
    expect(second.key("pull.pulling")).to_be_enabled(timeout=15_000)


def test_a_newer_release_waits_for_the_open_case_and_is_taken_after(served, context, tmp_path):
    data = tmp_path / "data"
    served.start(STATIC, data=data)
    midwife = open_app(context, served.url)
    expect_told(midwife.page, "home.ready")
    midwife.start_at_once()
    first = midwife.page.get_attribute("html", "data-release")
    newer = copied(tmp_path / "newer")
    (newer / "css" / "base.css").write_text((newer / "css" / "base.css").read_text() + "/* newer */\n")
    served.start(newer, data=data)

    midwife.page.reload()
    expect_begun(midwife.page)
    midwife.expect_screen("cup")
    midwife.tap("app.back", redraws=False)
    expect_told(midwife.page, "home.update_waits")
    assert midwife.page.get_attribute("html", "data-release") == first
    midwife.go_back_to_the_case()
    midwife.apply()
    midwife.ask_to_stop()
    midwife.stop()
    midwife.close()
    midwife.tap("home.update", redraws=False)

    expect(midwife.page.locator(f"html:not([data-release='{first}'])[data-begun]")).to_be_attached(timeout=15_000)
    expect(midwife.key("home.start")).to_be_enabled()


@pytest.mark.parametrize("broken", ["", "{}", "not json", '{"id": "2026-11"}'])
def test_a_broken_protocol_is_told_in_a_sentence(served, context, tmp_path, broken):
    folder = copied(tmp_path / "broken")
    for path in (folder / "protocols").glob("*.json"):
        path.write_text(broken)
    served.start(folder, data=tmp_path / "data")

    page = context.new_page()
    page.goto(served.url)

    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("could not start", timeout=15_000)
    expect(alert).to_contain_text("The table of steps and limits could not be read.")


def test_the_page_of_a_failure_runs_the_way_of_its_language(served, context, tmp_path):
    folder, arabic = copied(tmp_path / "broken"), load(TRANSLATIONS, "ar")
    for path in (folder / "protocols").glob("*.json"):
        path.write_text("{}")
    served.start(folder, data=tmp_path / "data", translations=TRANSLATIONS, ready=("ar",))
    page = context.new_page()
    page.goto(served.url)
    page.evaluate("localStorage.setItem('settings', JSON.stringify({ language: 'ar' }))")

    page.reload()

    expect(page.get_by_role("alert")).to_contain_text(arabic.text("app.failed"), timeout=15_000)
    assert page.evaluate("[document.documentElement.lang, document.documentElement.dir]") == ["ar", "rtl"]
    assert page.get_by_role("heading").evaluate("(one) => getComputedStyle(one).direction") == "rtl"


def test_broken_words_are_told_in_plain_english(station, context):  # noqa: F811
    context.route("**/packs/*.json", lambda route: route.fulfill(status=200, body="{", content_type="application/json"))
    page = context.new_page()

    page.goto(station.url)

    expect(page.get_by_role("alert")).to_have_text(
        "This checklist could not start. Use the paper card, and open this page again near the station.", timeout=15_000)
    assert page.evaluate("[document.documentElement.lang, document.documentElement.dir]") == ["en", "ltr"]

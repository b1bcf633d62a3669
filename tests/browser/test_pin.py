"""The PIN: what it closes and what never, how tries slow down, and how it is let go."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from checklist import station as station_module
from checklist.tables import STATIC
from tests.browser.app import WORDS, expect_told, open_app, open_at
from tests.browser.posts import Place

EVENING = dt.datetime(2026, 3, 2, 20, 0, tzinfo=dt.UTC)
PIN = "0407"
WRONG = "1234"
_META = """async () => {
  const { openJournal } = await import(document.querySelector("script[type=module]").src.replace("app.js", "journal.js"));
  const row = await (await openJournal({ writer: false })).readMeta("pin");
  return { ...row, salt: Array.from(row.salt ?? []) };
}"""
_SLEEP = """() => {
  Object.defineProperty(document, "visibilityState", { value: "hidden", configurable: true });
  document.dispatchEvent(new Event("visibilitychange"));
  delete document.visibilityState;
}"""


@pytest.fixture
def place(served, tmp_path):
    """A post whose real station serves the app."""
    post = Place(served, STATIC, tmp_path / "station")
    post.start()
    return post


@pytest.fixture
def midwife(place, context):
    """A tablet with a PIN, on the first screen, its clock driven by the test."""
    tablet = open_at(context, place.url, EVENING)
    set_pin(tablet)
    return tablet


def type_pin(midwife, digits: str) -> None:
    """Type a PIN and wait until it was looked at."""
    for digit in digits:
        midwife.page.get_by_role("button", name=digit, exact=True).click()
    old = midwife.key("keypad.ok").element_handle()
    midwife.press(midwife.key("keypad.ok"), redraws=False)
    old.wait_for_element_state("hidden")


def set_pin(midwife) -> None:
    midwife.tap("home.settings")
    midwife.tap("settings.pin.set")
    type_pin(midwife, PIN)
    type_pin(midwife, PIN)
    expect_told(midwife.page, "settings.pin.is_set")
    midwife.tap("app.back")


def sleep(midwife) -> None:
    """The tablet's screen goes dark and comes back."""
    midwife.page.evaluate(_SLEEP)


def expect_closed(midwife) -> None:
    expect(midwife.page.get_by_role("heading", name=WORDS.text("pin.ask"))).to_be_visible()


def expect_open(midwife) -> None:
    expect(midwife.page.get_by_role("heading", name=WORDS.text("cases.title"))).to_be_visible()


def try_wrong(midwife, times: int) -> None:
    for _ in range(times):
        type_pin(midwife, WRONG)


@pytest.mark.parametrize("page", ["home.cases", "home.settings"])
def test_after_a_sleep_the_pin_is_asked_and_opens(midwife, page):
    sleep(midwife)

    midwife.tap(page)
    expect_closed(midwife)
    type_pin(midwife, PIN)

    expect(midwife.page.get_by_role("heading", name=WORDS.text("pin.ask"))).to_have_count(0)


def birth_in_bed_3(midwife) -> None:
    """A birth without a pull, told to its end."""
    midwife.start("3")
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.head_out()
    midwife.cup_off()
    midwife.born()


def test_start_and_the_open_case_with_its_record_are_never_closed(midwife):
    sleep(midwife)

    birth_in_bed_3(midwife)
    sleep(midwife)
    midwife.tap("after.record")

    midwife.expect_screen("record")
    midwife.tap("app.back")
    midwife.expect_screen("after")


def read_closed_birth(midwife, between=lambda: None) -> None:
    """Close a birth and open its record; `between` happens after the birth."""
    birth_in_bed_3(midwife)
    midwife.close()
    between()
    midwife.tap("home.cases")
    midwife.press(midwife.labelled(WORDS.text("home.bed", label="3")))
    midwife.expect_screen("record")


def test_the_record_of_a_closed_case_is_closed_too(midwife):
    read_closed_birth(midwife)

    sleep(midwife)

    expect_closed(midwife)
    type_pin(midwife, PIN)
    midwife.expect_screen("record")


def test_the_hand_over_of_a_closed_case_is_closed_while_another_birth_goes_on(midwife):
    read_closed_birth(midwife, lambda: (midwife.start(), midwife.tap("app.back")))
    midwife.tap("handover.open")

    sleep(midwife)

    expect_closed(midwife)


@pytest.mark.parametrize(("seconds", "is_open"), [(295, True), (305, False)], ids=["almost five minutes", "a little more"])
def test_it_stays_open_for_five_minutes_after_the_last_touch(midwife, seconds, is_open):
    midwife.wait(seconds)

    midwife.tap("home.cases")

    expect_open(midwife) if is_open else expect_closed(midwife)


def test_a_page_left_open_closes_by_itself(midwife):
    midwife.tap("home.cases")
    expect_open(midwife)

    midwife.wait(305)

    expect_closed(midwife)


@pytest.fixture
def restarted(place, profile):
    """The same tablet after its browser was killed, by what was done before."""
    def restart(before):
        tablet = open_at(profile.start(), place.url, EVENING)
        set_pin(tablet)
        before(tablet)
        profile.kill()
        again = open_at(profile.start(), place.url, EVENING + dt.timedelta(seconds=1))
        # What the start itself records is kept before anything is typed.
        again.wait(1)
        return again
    return restart


def test_every_start_asks_anew(restarted):
    midwife = restarted(lambda tablet: None)

    midwife.tap("home.cases")

    expect_closed(midwife)


def test_wrong_tries_are_remembered_when_the_tablet_starts_again(restarted):
    def fail(tablet):
        sleep(tablet)
        tablet.tap("home.cases")
        try_wrong(tablet, 3)

    midwife = restarted(fail)
    midwife.tap("home.cases")

    expect(midwife.page.get_by_text("Next try in 0:0")).to_be_visible()
    type_pin(midwife, PIN)
    expect_closed(midwife)


def test_ever_longer_waits_end_at_five_minutes_and_never_close_it_for_good(midwife):
    sleep(midwife)
    midwife.tap("home.cases")
    for wait in (0, 0, 5, 15, 30, 60, 120, 300, 300):
        type_pin(midwife, WRONG)
        told = f"Next try in {wait // 60}:{wait % 60:02d}" if wait else WORDS.text("pin.wrong")
        expect(midwife.page.get_by_text(told)).to_be_visible()
        midwife.wait(wait + 1)

    type_pin(midwife, PIN)

    expect_open(midwife)


def test_the_right_pin_before_its_time_opens_nothing(midwife):
    sleep(midwife)
    midwife.tap("home.cases")
    try_wrong(midwife, 3)

    type_pin(midwife, PIN)
    expect_closed(midwife)
    midwife.wait(6)
    type_pin(midwife, PIN)

    expect_open(midwife)


def test_only_a_salted_hash_of_600000_rounds_is_kept_in_both_stores(midwife):
    row = midwife.page.evaluate(_META)

    assert row["iterations"] == 600_000
    assert (len(row["salt"]), len(row["hash"])) == (16, 43)
    assert PIN not in str(row["hash"])
    assert midwife.page.evaluate("""async () => {
      const mirror = (await navigator.storageBuckets.open("mirror")).indexedDB;
      return new Promise((resolve) => {
        mirror.open("journal").onsuccess = ({ target: { result } }) => {
          result.transaction("meta").objectStore("meta").get("pin").onsuccess = (event) => resolve(event.target.result.value.hash);
        };
      });
    }""") == row["hash"]


def test_two_different_entries_set_nothing(place, context):
    midwife = open_at(context, place.url, EVENING)
    midwife.tap("home.settings")
    midwife.tap("settings.pin.set")

    type_pin(midwife, PIN)
    type_pin(midwife, WRONG)

    expect_told(midwife.page, "settings.pin.differs")
    midwife.tap("app.cancel")
    expect_told(midwife.page, "settings.pin.is_not")


def test_a_forgotten_pin_is_let_go_at_the_next_contact_and_nothing_is_lost(place, context):
    midwife = open_app(context, place.url)
    set_pin(midwife)
    midwife.start("3")
    midwife.tap("app.back")
    sleep(midwife)
    midwife.tap("home.cases")
    expect_closed(midwife)
    midwife.tap("app.back")
    device = midwife.page.evaluate("""async () => {
      const { openJournal } = await import(document.querySelector("script[type=module]").src.replace("app.js", "journal.js"));
      return (await (await openJournal({ writer: false })).readMeta("device")).id;
    }""")

    place.write(lambda store: station_module.reset_pin(store, station_module.found(store, 0), device, 0))
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("home.send_now")), redraws=False)

    expect(midwife.page.get_by_text(WORDS.text("home.all_sent"))).to_be_visible()
    midwife.tap("home.cases")
    expect_open(midwife)
    expect(midwife.labelled(WORDS.text("home.bed", label="3"))).to_be_visible()


def test_a_reset_is_followed_once_and_a_new_pin_holds(place, context):
    midwife = open_app(context, place.url)
    expect_told(midwife.page, "home.all_sent")
    device = midwife.page.evaluate("""async () => {
      const { openJournal } = await import(document.querySelector("script[type=module]").src.replace("app.js", "journal.js"));
      return (await (await openJournal({ writer: false })).readMeta("device")).id;
    }""")
    place.write(lambda store: station_module.reset_pin(store, station_module.found(store, 0), device, 0))
    midwife.page.reload()
    expect_told(midwife.page, "home.all_sent")

    set_pin(midwife)
    midwife.page.reload()
    expect_told(midwife.page, "home.all_sent")
    midwife.tap("home.cases")

    expect_closed(midwife)


def test_settings_say_what_it_can_and_cannot_protect(midwife):
    midwife.tap("home.settings")

    for name in ("can", "cannot", "forgotten"):
        expect_told(midwife.page, f"settings.pin.{name}")

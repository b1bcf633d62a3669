"""What is called kept lies in two stores, also after one of them was away for a while."""

import pytest
from playwright.sync_api import Page

from checklist.core.event import parse
from tests.browser.conftest import expect_begun, visit
from tests.browser.tapping import LINES, taps

NOTES = "tablet.journal.notes.map(({ code, store }) => [code, store])"
# Lets one store be shut, lets one refuse every write, lets the next writes fail; both named by window.faults.
FAULTS = """(() => {
  const { open } = IDBFactory.prototype;
  const { transaction } = IDBDatabase.prototype;
  const names = new WeakMap();
  const faults = window.faults = { shut: null, refuses: null, fails: 0 };
  IDBFactory.prototype.open = function (...told) {
    const name = this === indexedDB ? "primary" : "mirror";
    if (faults.shut === name) throw new DOMException("backing store", "UnknownError");
    const opening = open.apply(this, told);
    opening.addEventListener("success", () => names.set(opening.result, name));
    return opening;
  };
  IDBDatabase.prototype.transaction = function (stores, mode, ...rest) {
    const isWrite = mode === "readwrite" && this.name === "journal";
    if (isWrite && faults.fails > 0) {
      faults.fails -= 1;
      throw new DOMException("dying", "InvalidStateError");
    }
    if (isWrite && faults.refuses === names.get(this)) throw new DOMException("dying", "InvalidStateError");
    return transaction.call(this, stores, mode, ...rest);
  };
})()"""
# Takes rows away behind the journal's back: of one store, from a number on.
DROP = """async ([name, log, from]) => {
  const factory = name === "primary" ? indexedDB : (await navigator.storageBuckets.open("mirror")).indexedDB;
  const database = await new Promise((resolve) => {
    const opening = factory.open("journal", 1);
    opening.onsuccess = () => resolve(opening.result);
  });
  await new Promise((resolve) => {
    const dropping = database.transaction("events", "readwrite");
    dropping.objectStore("events").delete(IDBKeyRange.bound([log, from], [log, []]));
    dropping.oncomplete = resolve;
  });
  database.close();
}"""
TAP = "tablet.record('hiss_heard')"
SHUT_AT_THE_NEXT_TAP = f"(name) => {{ Object.assign(faults, {{ shut: name, fails: 1 }}); return {TAP}; }}"


@pytest.fixture
def page(server, profile) -> Page:
    page = profile.start().new_page()
    page.add_init_script(FAULTS)
    page.goto(server.url)
    expect_begun(page)
    return page


def come_back(page: Page) -> None:
    """Let a store that was shut open again, and wait until it has joined."""
    page.evaluate("faults.shut = null")
    page.wait_for_function("() => tablet.journal.isWhole()", timeout=30_000)


def restarted(profile, url: str) -> Page:
    profile.close()
    return visit(profile.start(), url)


@pytest.mark.parametrize("store", ["primary", "mirror"])
def test_a_store_that_was_shut_for_a_while_joins_again_by_itself(server, profile, page, store):
    page.evaluate(TAP)
    page.evaluate(SHUT_AT_THE_NEXT_TAP, store)
    assert not page.evaluate("tablet.journal.isWhole()")
    page.evaluate(TAP)

    come_back(page)
    page.evaluate(TAP)

    # The primary is read first, so a hole in it would show.
    assert taps(page) == 4
    assert page.evaluate(NOTES) == [["store_shut", store], ["restored", store]]
    page = restarted(profile, server.url)
    assert page.evaluate(NOTES) == []
    assert taps(page) == 4


def test_a_log_that_was_begun_beside_a_shut_store_goes_on_after_a_restart(server, profile, page):
    page.evaluate(SHUT_AT_THE_NEXT_TAP, "primary")
    page.evaluate(TAP)
    begun = page.evaluate("tablet.device.log()")
    come_back(page)

    page = restarted(profile, server.url)
    page.evaluate(TAP)

    assert page.evaluate("tablet.device.log()") == begun
    assert [parse(line)["facts"]["why"] for line in page.evaluate(LINES) if parse(line)["kind"] == "log_opened"] in (
        ["first", "error"], ["error", "first"])


def test_what_a_full_disk_drops_again_is_filled_in_again(server, profile, page):
    log = page.evaluate("tablet.device.log()")
    page.evaluate("""async (log) => {
      Object.assign(faults, { shut: "primary", fails: 1 });
      const seal = (n) => JSON.stringify({ case: "", kind: "hiss_heard", at: 1, n });
      for (let n = 2; n <= 600; n += 1) await tablet.journal.append(seal(n), log, n);
    }""", log)
    come_back(page)

    page.evaluate(DROP, ["primary", log, 2])
    page.evaluate(f"() => {{ faults.fails = 1; return {TAP}; }}")

    assert page.evaluate("async (log) => (await tablet.journal.readLog(log, 0, 1000)).length", log) == 600


@pytest.mark.slow
@pytest.mark.parametrize("store", ["primary", "mirror"])
def test_a_store_that_opens_and_takes_nothing_holds_no_tap_up(server, profile, page, store):
    page.evaluate(SHUT_AT_THE_NEXT_TAP, store)

    page.evaluate("(name) => Object.assign(faults, { shut: null, refuses: name, fails: 1 })", store)
    page.evaluate(f"() => {{ window.isKept = false; {TAP}.then(() => {{ window.isKept = true; }}); }}")
    page.wait_for_function("() => window.isKept", timeout=30_000)

    assert page.evaluate("tablet.states.at(-1)") == ["kept", 0]
    assert not page.evaluate("tablet.journal.isWhole()")
    page = restarted(profile, server.url)
    assert taps(page) == 2


@pytest.mark.slow
def test_a_primary_that_takes_nothing_leaves_the_journal_to_the_mirror(server, profile, page):
    page.evaluate("faults.refuses = 'primary'")

    page.evaluate(f"() => {{ window.isKept = false; {TAP}.then(() => {{ window.isKept = true; }}); }}")
    page.wait_for_function("() => window.isKept", timeout=30_000)

    assert page.evaluate(NOTES) == [["store_shut", "primary"]]
    page = restarted(profile, server.url)
    assert page.evaluate(NOTES) == [["restored", "primary"]]
    assert taps(page) == 1


def test_no_cursor_speaks_of_lines_that_a_store_missed(page):
    page.evaluate("""async () => {
      const { journal } = tablet;
      const epoch = journal.epoch();
      await Promise.all([1, 2, 3].map((seq) => journal.appendInbox(`line ${seq}`, "station", seq)));
      await journal.writeCursor("", { at: 1, outboxes: { station: { seq: 3 } } }, epoch);
    }""")
    begun = page.evaluate("tablet.journal.epoch()")
    page.evaluate(SHUT_AT_THE_NEXT_TAP, "primary")
    page.evaluate("Promise.all([4, 5].map((seq) => tablet.journal.appendInbox(`line ${seq}`, 'station', seq)))")
    come_back(page)

    page.evaluate("(epoch) => tablet.journal.writeCursor('', { at: 2, outboxes: { station: { seq: 5 } } }, epoch)", begun)

    assert page.evaluate("tablet.journal.readCursor('')") == {"at": 1, "outboxes": {"station": {"seq": 3}}, "station": ""}
    assert page.evaluate("tablet.journal.readInbox('station', 0, 3)") == ["line 1", "line 2", "line 3"]


def test_what_the_station_said_is_there_without_the_primary(server, profile, page):
    """The limits of the post came down that way, and must not become wider with a damaged store."""
    page.evaluate("""async () => {
      await tablet.journal.appendInbox("stricter", "station", 1);
      await tablet.journal.writeCursor("", { at: 1, outboxes: { station: { seq: 1 } } }, tablet.journal.epoch());
    }""")
    profile.close()

    page = profile.start().new_page()
    page.add_init_script(FAULTS)
    page.add_init_script("faults.shut = 'primary'")
    page.goto(server.url)
    expect_begun(page)

    assert page.evaluate(NOTES) == [["store_shut", "primary"]]
    assert page.evaluate("tablet.readDown()") == ["stricter"]

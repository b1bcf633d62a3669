"""What is called kept lies in two stores, also after one of them was away for a while."""

import pytest
from playwright.sync_api import Page

from checklist.core.event import parse
from tests.browser.conftest import expect_begun, visit
from tests.browser.tapping import LINES, taps

NOTES = "tablet.journal.notes.map(({ code, store }) => [code, store])"
# Told by window.faults: one store may be shut, some may refuse every write, one may not give a kind of rows; the next writes fail.
FAULTS = """(() => {
  const { open } = IDBFactory.prototype;
  const { transaction } = IDBDatabase.prototype;
  const names = new WeakMap();
  const faults = window.faults = { shut: null, refuse: [], withholds: null, fails: 0 };
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
    const name = names.get(this);
    if (isWrite && faults.refuse.includes(name)) throw new DOMException("dying", "InvalidStateError");
    if (mode === undefined && faults.withholds === `${name} ${stores}`) throw new DOMException("torn", "UnknownError");
    return transaction.call(this, stores, mode, ...rest);
  };
})();"""
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
TAP_UNHEARD = f"() => {{ window.isKept = false; {TAP}.then(() => {{ window.isKept = true; }}); }}"
SHUT_AT_THE_NEXT_TAP = f"(name) => {{ Object.assign(faults, {{ shut: name, fails: 1 }}); return {TAP}; }}"


def started(profile, url: str, fault: str = "") -> Page:
    """Switch the tablet on, with a fault from the beginning."""
    page = profile.start().new_page()
    page.add_init_script(FAULTS + fault)
    page.goto(url)
    expect_begun(page)
    return page


@pytest.fixture
def page(server, profile) -> Page:
    return started(profile, server.url)


SAY = """async ([lines, first, at, seq]) => {
  const { journal } = tablet;
  for (const [index, line] of lines.entries()) await journal.appendInbox(line, "station", first + index);
  await journal.writeCursor("", { at, outboxes: { station: { seq, hash: `end ${seq}` } } }, journal.epoch());
}"""


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


def test_a_log_that_a_release_of_before_named_goes_on(server, profile, page):
    page.evaluate(TAP)
    named = page.evaluate("""async () => {
      const log = tablet.device.log();
      await tablet.journal.writeMeta("log", log);
      await tablet.journal.writeMeta("writing", null);
      return log;
    }""")

    page = restarted(profile, server.url)

    assert page.evaluate("tablet.device.log()") == named
    assert page.evaluate(NOTES) == []


def test_a_mirror_that_stays_shut_is_one_doubt_and_a_new_one_when_it_was_back(server, profile, page):
    logs = [page.evaluate("tablet.device.log()")]
    for fault in ("faults.shut = 'mirror'", "faults.shut = 'mirror'", "", "faults.shut = 'mirror'"):
        page.evaluate(TAP)
        profile.close()
        page = started(profile, server.url, fault)
        logs.append(page.evaluate("tablet.device.log()"))

    first, second, third, back, again = logs
    assert first != second
    assert second == third
    assert again not in (first, second, back)


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

    page.evaluate("(name) => Object.assign(faults, { shut: null, refuse: [name], fails: 1 })", store)
    page.evaluate(TAP_UNHEARD)
    page.wait_for_function("() => window.isKept", timeout=30_000)

    assert page.evaluate("tablet.states.at(-1)") == ["kept", 0]
    assert not page.evaluate("tablet.journal.isWhole()")
    page = restarted(profile, server.url)
    assert taps(page) == 2


@pytest.mark.slow
def test_a_primary_that_takes_nothing_leaves_the_journal_to_the_mirror(server, profile, page):
    page.evaluate("faults.refuse = ['primary']")

    page.evaluate(TAP_UNHEARD)
    page.wait_for_function("() => window.isKept", timeout=30_000)

    assert page.evaluate(NOTES) == [["store_shut", "primary"]]
    page = restarted(profile, server.url)
    assert page.evaluate(NOTES) == [["restored", "primary"]]
    assert taps(page) == 1


def test_no_cursor_speaks_of_lines_that_a_store_missed(page):
    told(page, ["line 1", "line 2", "line 3"], 1)
    begun = page.evaluate("tablet.journal.epoch()")
    page.evaluate(SHUT_AT_THE_NEXT_TAP, "primary")
    page.evaluate("Promise.all([4, 5].map((seq) => tablet.journal.appendInbox(`line ${seq}`, 'station', seq)))")
    come_back(page)

    page.evaluate("(epoch) => tablet.journal.writeCursor('', { at: 2, outboxes: { station: { seq: 5 } } }, epoch)", begun)

    assert page.evaluate("tablet.readDown()") == ["line 1", "line 2", "line 3"]


@pytest.mark.slow
@pytest.mark.parametrize("rows", ["meta", "cursors"])
def test_a_primary_that_cannot_be_read_holds_no_tap_up(page, rows):
    page.evaluate(TAP)

    page.evaluate("(rows) => Object.assign(faults, { withholds: `primary ${rows}`, fails: 1 })", rows)
    page.evaluate(TAP_UNHEARD)
    page.wait_for_function("() => window.isKept", timeout=30_000)

    assert page.evaluate(NOTES) == [["store_shut", "primary"]]
    assert taps(page) == 2


@pytest.mark.slow
def test_the_first_store_that_takes_something_again_ends_the_waiting(page):
    page.evaluate("faults.refuse = ['primary', 'mirror']")
    page.evaluate(TAP_UNHEARD)
    # Long enough for the primary to be left out and for the mirror to have failed alone.
    page.wait_for_function("() => tablet.states.filter(([state]) => state === 'failing').length >= 6", timeout=60_000)
    assert not page.evaluate("window.isKept")

    page.evaluate("faults.refuse = ['primary']")

    page.wait_for_function("() => window.isKept", timeout=60_000)


def test_what_only_a_stubborn_primary_holds_is_copied_at_the_start(server, profile, page):
    page.evaluate(SHUT_AT_THE_NEXT_TAP, "mirror")
    page.evaluate("Promise.all(Array.from({ length: 20 }, () => tablet.record('hiss_heard')))")
    profile.close()
    page = started(profile, server.url, "faults.shut = 'primary'")
    page.evaluate(TAP)
    profile.close()

    page = started(profile, server.url, "faults.refuse = ['primary']")

    assert taps(page) == 22


def test_nothing_seems_gone_while_the_stores_are_opened_anew(page):
    page.evaluate(TAP)

    read = page.evaluate("""async () => {
      faults.fails = 1;
      const writing = tablet.record("hiss_heard");
      const answers = [];
      let isDone = false;
      writing.then(() => { isDone = true; });
      while (!isDone) {
        answers.push(await tablet.journal.readTips().then((found) => found.size, ({ code }) => code));
        await new Promise((resolve) => setTimeout(resolve, 1));
      }
      return answers;
    }""")

    assert len(read) > 10
    assert set(read) == {1}


def told(page: Page, lines: list[str], at: int, first: int = 1) -> None:
    """Keep lines that a station said, and the cursor that speaks of them."""
    page.evaluate(SAY, [lines, first, at, first + len(lines) - 1])


@pytest.mark.parametrize("later", [100, 100 - 3_600_000], ids=["in one exchange", "with the clock set back"])
def test_a_limit_that_the_mirror_alone_heard_stands_when_the_primary_is_back(page, later):
    told(page, ["wide"], 100)
    page.evaluate(SHUT_AT_THE_NEXT_TAP, "primary")
    told(page, ["stricter"], later, first=2)

    come_back(page)

    assert page.evaluate("tablet.readDown()") == ["wide", "stricter"]


def test_what_the_station_said_is_there_without_the_primary(server, profile, page):
    """The limits of the post came down that way, and must not become wider with a damaged store."""
    told(page, ["stricter"], 1)
    profile.close()

    page = started(profile, server.url, "faults.shut = 'primary'")

    assert page.evaluate(NOTES) == [["store_shut", "primary"]]
    assert page.evaluate("tablet.readDown()") == ["stricter"]

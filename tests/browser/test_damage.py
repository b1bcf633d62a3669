"""The journal when parts of the browser's storage are missing, refuse, or never answer."""

import pytest
from playwright.sync_api import Page

from checklist.core.event import parse
from tests.browser.conftest import expect_begun, visit
from tests.browser.tapping import LINES, taps

NOTES = "tablet.journal.notes.map(({ code, store }) => [code, store])"
# Each takes something away before the page runs, and gives it back on window.mend().
NO_BUCKETS = "Object.defineProperty(navigator, 'storageBuckets', { value: undefined })"
NOTHING_OPENS = """(() => {
  const open = IDBFactory.prototype.open;
  IDBFactory.prototype.open = function () { throw new DOMException("backing store", "UnknownError"); };
  window.mend = () => { IDBFactory.prototype.open = open; };
})()"""
PRIMARY_SHUT = """(() => {
  const open = IDBFactory.prototype.open;
  const transaction = IDBDatabase.prototype.transaction;
  IDBFactory.prototype.open = function (...told) {
    if (this === indexedDB) throw new DOMException("backing store", "UnknownError");
    return open.apply(this, told);
  };
  // The next write fails once, after which the primary opens again.
  window.mend = () => {
    IDBDatabase.prototype.transaction = function () {
      IDBDatabase.prototype.transaction = transaction;
      IDBFactory.prototype.open = open;
      throw new DOMException("dying", "InvalidStateError");
    };
  };
})()"""
# A transaction that never settles, as on a disk that does not answer.
STUCK = """(() => {
  const transaction = IDBDatabase.prototype.transaction;
  window.stick = () => {
    IDBDatabase.prototype.transaction = function (names, mode, ...rest) {
      const real = transaction.call(this, names, mode, ...rest);
      return mode === "readwrite" && this.name === "journal"
        ? { objectStore: () => ({ put: () => undefined }), commit: () => undefined } : real;
    };
  };
  window.mend = () => { IDBDatabase.prototype.transaction = transaction; };
})()"""
# Only the mirror refuses every write.
MIRROR_REFUSES = """(() => {
  const transaction = IDBDatabase.prototype.transaction;
  const mirrors = new WeakSet();
  const open = IDBFactory.prototype.open;
  IDBFactory.prototype.open = function (...told) {
    const opening = open.apply(this, told);
    if (this !== indexedDB) opening.addEventListener("success", () => mirrors.add(opening.result));
    return opening;
  };
  window.refuse = () => {
    IDBDatabase.prototype.transaction = function (names, mode, ...rest) {
      if (mode === "readwrite" && mirrors.has(this)) throw new DOMException("dying", "InvalidStateError");
      return transaction.call(this, names, mode, ...rest);
    };
  };
})()"""


def visit_with(context, url: str, damage: str) -> Page:
    page = context.new_page()
    page.add_init_script(damage)
    page.goto(url)
    expect_begun(page)
    return page


def test_a_browser_without_buckets_keeps_one_copy_and_says_so(server, context):
    page = visit_with(context, server.url, NO_BUCKETS)

    page.evaluate("tablet.record('hiss_heard')")

    assert page.evaluate(NOTES) == [["mirror_absent", "mirror"]]
    page.reload()
    expect_begun(page)
    assert taps(page) == 1
    # Each start lacks the mirror, which is no reason to doubt the last number.
    assert len(page.evaluate(LINES)) == 2


def test_the_mirror_carries_the_journal_alone_and_gives_it_back(server, profile):
    page = visit(profile.start(), server.url)
    page.evaluate("tablet.record('hiss_heard')")
    profile.close()

    page = visit_with(profile.start(), server.url, PRIMARY_SHUT)
    assert page.evaluate(NOTES) == [["store_shut", "primary"]]
    assert taps(page) == 1
    page.evaluate("tablet.record('hiss_heard')")
    logs = {parse(line)["log"] for line in page.evaluate(LINES)}
    assert len(logs) == 2
    profile.close()

    page = visit(profile.start(), server.url)
    assert page.evaluate(NOTES) == [["restored", "primary"]]
    assert taps(page) == 2


def test_a_primary_that_comes_back_in_mid_run_gets_what_it_missed(server, context):
    page = visit_with(context, server.url, PRIMARY_SHUT)
    page.evaluate("tablet.record('hiss_heard')")

    page.evaluate("() => { window.mend(); return tablet.record('hiss_heard'); }")
    page.evaluate("tablet.record('hiss_heard')")

    # The primary is read first, so a hole in it would show.
    assert taps(page) == 3
    assert page.evaluate(NOTES) == [["store_shut", "primary"], ["restored", "primary"]]


def test_with_no_store_at_all_taps_wait_in_memory_and_are_kept_later(server, context):
    page = visit_with(context, server.url, NOTHING_OPENS)

    page.evaluate("""() => {
      window.done = false;
      tablet.record("hiss_heard", {}, "").then(() => { window.done = true; });
    }""")
    page.wait_for_function("() => tablet.states.at(-1)?.[0] === 'failing'")
    assert page.evaluate("[window.done, tablet.states.at(-1)[1]]") == [False, 2]
    page.wait_for_function("() => tablet.states.filter(([state]) => state === 'failing').length >= 3")
    assert page.evaluate(NOTES) == [["store_shut", "primary"], ["store_shut", "mirror"]]
    page.evaluate("window.mend()")
    page.wait_for_function("() => window.done", timeout=20_000)

    assert taps(page) == 1
    assert page.evaluate("tablet.states.at(-1)") == ["kept", 0]


def test_a_disk_that_does_not_answer_is_called_slow_and_tried_again(server, context):
    page = visit_with(context, server.url, STUCK)
    page.evaluate("""() => {
      window.stick();
      window.done = false;
      tablet.record("hiss_heard").then(() => { window.done = true; });
    }""")

    page.wait_for_function("() => tablet.states.at(-1)[0] === 'failing'", timeout=20_000)
    assert page.evaluate("tablet.states.at(-1)") == ["failing", 1, "slow"]
    page.evaluate("window.mend()")
    page.wait_for_function("() => window.done", timeout=20_000)
    page.evaluate("tablet.record('hiss_heard')")

    assert taps(page) == 2
    # After any error in writing a new log goes on.
    assert len({parse(line)["log"] for line in page.evaluate(LINES)}) == 2


@pytest.mark.slow
def test_a_mirror_that_refuses_for_good_is_given_up_and_said(server, context):
    page = visit_with(context, server.url, MIRROR_REFUSES)
    page.evaluate("""() => {
      window.refuse();
      window.done = false;
      tablet.record("hiss_heard").then(() => { window.done = true; });
    }""")

    page.wait_for_function("() => window.done", timeout=30_000)

    assert page.evaluate(NOTES) == [["store_shut", "mirror"]]
    assert page.evaluate("tablet.states.at(-1)") == ["kept", 0]
    page.reload()
    expect_begun(page)
    assert taps(page) == 1


def test_the_ballast_lies_there_in_calm_and_is_given_back(server, context):
    page = visit(context, server.url)
    size = """async () => {
      const root = await navigator.storage.getDirectory();
      return (await (await root.getFileHandle("ballast")).getFile()).size;
    }"""

    assert page.evaluate("tablet.layBallast()") is True
    assert page.evaluate(size) == 4 * 1024 * 1024
    page.evaluate("tablet.dropBallast()")

    assert page.evaluate(f"({size})().catch((error) => error.name)") == "NotFoundError"


def test_the_free_room_is_told_without_waiting_for_a_permission(server, context):
    page = visit(context, server.url)

    told = page.evaluate("new Promise((resolve) => tablet.askRoom(resolve))")

    assert isinstance(told["persisted"], bool)
    assert told["free"] > 0

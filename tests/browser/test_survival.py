"""What was called kept is there after crashes, torn and wiped stores, and a full quota."""

import os
import random
import time

import pytest

from tests.browser.conftest import visit
from tests.browser.tapping import NOTES, kept, reasons, tap, tap_for_ever, taps

# Chromium believes its last measurement of free space for about 30 s.
QUOTA_NOTICED_S = 36


def test_one_log_goes_on_across_quiet_restarts_and_crashes(server, profile):
    page = visit(profile.start(), server.url)
    tap(page, 3)
    profile.close()
    page = visit(profile.start(), server.url)
    tap(page, 3)
    profile.kill()
    page = visit(profile.start(), server.url)
    tap(page, 3)

    places = kept(page)

    assert [seq for _, seq in places] == list(range(1, 11))
    assert len({log for log, _ in places}) == 1


@pytest.mark.parametrize("mirror", [False, True], ids=["primary", "mirror"])
def test_a_torn_record_and_two_restarts_lose_nothing(server, profile, mirror):
    page = visit(profile.start(), server.url)
    tap(page, 30)
    profile.kill()
    torn = profile.newest_log(mirror=mirror)
    os.truncate(torn, torn.stat().st_size - 20)

    page = visit(profile.start(), server.url)
    assert taps(page) == 30
    tap(page, 5)
    profile.close()
    page = visit(profile.start(), server.url)

    assert taps(page) == 35
    assert page.evaluate(NOTES) == []


@pytest.mark.parametrize("mirror", [False, True], ids=["primary", "mirror"])
def test_a_wiped_store_is_restored_and_reported(server, profile, mirror):
    page = visit(profile.start(), server.url)
    tap(page, 30)
    device = page.evaluate("tablet.device.id")
    profile.kill()
    flip(profile.newest_log(mirror=mirror))

    page = visit(profile.start(), server.url)

    assert taps(page) == 30
    assert page.evaluate(NOTES) == [["store_emptied", "mirror" if mirror else "primary", 31]]
    assert reasons(page) == ["first", "start"]
    assert page.evaluate("tablet.device.id") == device
    profile.close()
    page = visit(profile.start(), server.url)
    assert taps(page) == 30
    assert page.evaluate(NOTES) == []


def flip(file) -> None:
    data = bytearray(file.read_bytes())
    third = len(data) // 3
    data[third:third + 64] = bytes(byte ^ 0xFF for byte in data[third:third + 64])
    file.write_bytes(bytes(data))


def test_the_loss_of_both_stores_is_said(server, profile):
    page = visit(profile.start(), server.url)
    tap(page, 30)
    time.sleep(8)  # the hint outside the database reaches the disk within about 5 s
    profile.close()
    for mirror in (False, True):
        file = profile.newest_log(mirror=mirror)
        file.write_bytes(b"\xff" * file.stat().st_size)

    page = visit(profile.start(), server.url)

    assert page.evaluate(NOTES) == [["lost", "both", 31]]
    assert taps(page) == 0
    # Nothing is left to tell that this is not a new tablet, not even its key.
    assert reasons(page) == ["first"]


FORGET = """async ([isMirror, seq]) => {
  const factory = isMirror ? (await navigator.storageBuckets.open("mirror")).indexedDB : indexedDB;
  const database = await new Promise((resolve) => {
    const opening = factory.open("journal");
    opening.onsuccess = () => resolve(opening.result);
  });
  await new Promise((resolve) => {
    const transaction = database.transaction("events", "readwrite", { durability: "strict" });
    transaction.objectStore("events").delete([tablet.device.log(), seq]);
    transaction.oncomplete = resolve;
  });
}"""


def test_a_mirror_that_is_one_batch_behind_is_no_doubt(server, profile):
    page = visit(profile.start(), server.url)
    tap(page, 5)
    page.evaluate(FORGET, [True, 6])
    profile.close()

    page = visit(profile.start(), server.url)

    assert page.evaluate(NOTES) == [["caught_up", "mirror", 1]]
    assert reasons(page) == ["first"]
    assert taps(page) == 5


def test_a_gap_in_the_middle_is_found_and_mended_in_a_calm_moment(server, context):
    page = visit(context, server.url)
    tap(page, 5)
    page.evaluate(FORGET, [False, 3])

    found = page.evaluate("tablet.journal.check()")

    assert [(note["code"], note["store"], note["count"]) for note in found] == [("restored", "primary", 1)]
    assert [seq for _, seq in kept(page)] == [1, 2, 3, 4, 5, 6]
    assert page.evaluate("tablet.journal.check()") == []


@pytest.mark.slow
def test_a_full_quota_keeps_every_tap_and_says_why(server, profile):
    context = profile.start()
    page = visit(context, server.url)
    tap(page, 5)
    page.evaluate("tablet.layBallast()")
    session = context.new_cdp_session(page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": server.url, "quotaSize": 1})
    time.sleep(QUOTA_NOTICED_S)
    page.evaluate("""() => {
      window.done = 0;
      for (let n = 0; n < 3; n += 1) tablet.record("hiss_heard").then(() => { window.done += 1; });
    }""")
    page.wait_for_function("() => tablet.states.at(-1)[0] === 'failing'", timeout=20_000)
    assert page.evaluate("[window.done, tablet.states.at(-1)]") == [0, ["failing", 3, "full"]]

    session.send("Storage.overrideQuotaForOrigin", {"origin": server.url})
    page.wait_for_function("() => window.done === 3", timeout=30_000)
    tap(page, 1)
    profile.kill()
    page = visit(profile.start(), server.url)

    assert taps(page) == 9
    assert reasons(page) == ["first", "error"]


@pytest.mark.parametrize("attempt", range(int(os.environ.get("KILLS", "6"))))
def test_a_kill_at_a_random_moment_loses_nothing_called_kept(server, profile, attempt):
    page = visit(profile.start(), server.url)
    told = tap_for_ever(page)
    page.wait_for_timeout(random.uniform(0, 1200))
    profile.kill()

    page = visit(profile.start(), server.url)

    assert told
    assert set(told) <= set(kept(page))

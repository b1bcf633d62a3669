"""A tablet and a real station: nothing is lost, nothing is doubled, a fork is seen."""

import shutil
import sqlite3
import time

import pytest
from playwright.sync_api import Page

from checklist import device, station
from checklist.config import DATABASE
from checklist.core.event import parse
from checklist.journal import Journal
from checklist.sync import chain, genesis
from tests.browser.conftest import visit

EXCHANGE = "tablet.exchange()"
FAILED = "tablet.exchange().then(() => 'done', (error) => error.code ?? String(error))"
TAPS = """(count) => Promise.all(Array.from({ length: count }, () =>
  tablet.record("hiss_heard", {}, "00c0ffee00c0ffee")))"""
LINES = "Array.fromAsync(tablet.journal.readAll())"
# Sends the request, then loses the answer, as a line that breaks in between does.
LOSE_ANSWERS = """() => {
  tablet.fetch = async (...told) => { await fetch(...told); throw new TypeError("cut"); };
}"""
MEND_LINE = "() => { tablet.fetch = (...told) => fetch(...told); }"


class Place:
    """A post: its folder, its station as a process, and what is really stored there."""

    def __init__(self, served, static, data) -> None:
        self._served, self._static, self.data = served, static, data

    @property
    def url(self) -> str:
        return self._served.url

    def start(self) -> None:
        self._served.start(self._static, data=self.data)

    def stop(self) -> None:
        self._served.kill()

    def stored(self) -> list[str]:
        """Give every line of every tablet's log."""
        connection = sqlite3.connect(self.data / DATABASE)
        rows = connection.execute(
            "select line from event join log using (log_no) join device using (device_id)"
            " where device.state <> 'station' order by event_no"
        ).fetchall()
        connection.close()
        return [line for (line,) in rows]

    def write(self, work):
        """Do what a person at the station would do on a page."""
        journal = Journal.open(self.data / DATABASE)
        try:
            return journal.write(work)
        finally:
            journal.close()


@pytest.fixture
def post(served, one, tmp_path):
    place = Place(served, one, tmp_path / "station")
    place.start()
    return place


def same(page: Page, post: Place) -> bool:
    """Tell whether tablet and station hold the very same lines, each once."""
    return sorted(page.evaluate(LINES)) == sorted(post.stored())


def waiting(page: Page) -> int:
    return page.evaluate("tablet.waiting()")["count"]


def opened_because(page: Page) -> list[str]:
    events = [parse(line) for line in page.evaluate(LINES)]
    opened = sorted((event for event in events if event["kind"] == "log_opened"), key=lambda event: event["at"])
    return [event["facts"]["why"] for event in opened]


def test_a_first_exchange_brings_every_line_as_it_was_written(post, context):
    page = visit(context, post.url)
    page.evaluate("tablet.record('note_added', { text: 'Grüße · مرحبا · 🍼' })")
    page.evaluate(TAPS, 20)
    before = page.evaluate("tablet.waiting()")

    report = page.evaluate(EXCHANGE)

    assert (before["count"], before["lastContact"]) == (22, None)
    assert before["since"] == min(parse(line)["at"] for line in page.evaluate(LINES))
    assert report["sent"] == 22
    assert abs(report["ahead"]) < 5000
    assert same(page, post)
    after = page.evaluate("tablet.waiting()")
    assert (after["count"], after["since"]) == (0, None)
    assert after["lastContact"] == report["at"]


def test_an_exchange_with_nothing_new_sends_nothing(post, context):
    page = visit(context, post.url)
    page.evaluate(EXCHANGE)
    paths = []
    page.on("request", lambda request: paths.append(request.url.removeprefix(post.url)))

    assert page.evaluate(EXCHANGE)["sent"] == 0

    assert paths == ["/v1/heads"]


def test_a_long_log_goes_in_batches_that_a_station_takes(post, context):
    page = visit(context, post.url)
    for _ in range(4):
        page.evaluate(TAPS, 1000)
    sizes = []
    page.on("request", lambda request: sizes.append(len(request.post_data_buffer or b""))
            if request.url.endswith("/batches") else None)

    began = time.monotonic()
    page.evaluate(EXCHANGE)

    print(f"4,001 events in {time.monotonic() - began:.2f} s, {len(sizes)} batches of up to {max(sizes)} bytes")
    assert len(sizes) > 1
    assert max(sizes) <= 64 * 1024
    assert same(page, post)


def test_texts_that_do_not_shrink_still_fit(post, context):
    page = visit(context, post.url)
    page.evaluate("""async () => {
      for (let n = 0; n < 80; n += 1) {
        const bytes = crypto.getRandomValues(new Uint8Array(700));
        await tablet.record("note_added", { text: Array.from(bytes, (b) => String.fromCodePoint(0x4e00 + b * 70)).join("") });
      }
    }""")

    page.evaluate(EXCHANGE)

    assert same(page, post)


def test_a_killed_station_costs_nothing_and_catches_up(post, context):
    page = visit(context, post.url)
    page.evaluate(TAPS, 5)
    page.evaluate(EXCHANGE)
    post.stop()
    page.evaluate(TAPS, 5)

    assert page.evaluate(FAILED) == "station_unreachable"
    assert waiting(page) == 5
    post.start()
    page.evaluate(EXCHANGE)

    assert waiting(page) == 0
    assert same(page, post)


def test_a_lost_answer_doubles_nothing(post, context):
    page = visit(context, post.url)
    page.evaluate(EXCHANGE)
    page.evaluate(TAPS, 7)
    page.evaluate(LOSE_ANSWERS)
    assert page.evaluate(FAILED) == "station_unreachable"
    assert len(post.stored()) == 8
    assert waiting(page) == 7
    page.evaluate(MEND_LINE)

    page.evaluate(EXCHANGE)

    assert waiting(page) == 0
    assert same(page, post)


@pytest.mark.parametrize("answer", [
    "new Response('<title>Log in</title>', { headers: { 'content-type': 'text/html' } })",
    "new Response('Bad gateway', { status: 502, headers: { 'content-type': 'text/html' } })",
    "new Response('{\"state\": ', { headers: { 'content-type': 'application/json' } })",
], ids=["page of a captive portal", "gateway error", "cut answer"])
def test_what_is_not_a_station_counts_as_unreachable(post, context, answer):
    page = visit(context, post.url)
    page.evaluate(f"() => {{ tablet.fetch = async () => {answer}; }}")

    assert page.evaluate(FAILED) == "station_unreachable"
    assert waiting(page) == 1


def test_a_tap_does_not_wait_for_an_exchange(post, context):
    page = visit(context, post.url)
    page.evaluate("""() => {
      window.line = new Promise((resolve) => { window.mend = resolve; });
      tablet.fetch = async (...told) => { await window.line; return fetch(...told); };
      window.round = tablet.exchange();
    }""")

    place = page.evaluate("tablet.record('hiss_heard')")

    assert place["seq"] == 2
    page.evaluate("() => { window.mend(); return window.round; }")


def test_a_station_that_lost_everything_is_filled_again(post, context):
    page = visit(context, post.url)
    page.evaluate(TAPS, 30)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.rmtree(post.data)
    post.start()

    page.evaluate(EXCHANGE)

    assert same(page, post)


def test_a_station_restored_from_a_backup_is_filled_up(post, context, tmp_path):
    page = visit(context, post.url)
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.copytree(post.data, tmp_path / "backup")
    post.start()
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.rmtree(post.data)
    shutil.copytree(tmp_path / "backup", post.data)
    post.start()

    page.evaluate(EXCHANGE)
    assert same(page, post)
    page.evaluate(TAPS, 1)
    page.evaluate(EXCHANGE)

    assert same(page, post)
    assert opened_because(page) == ["first"]


def test_a_station_restored_while_the_tablet_went_on_is_filled_up(post, context, tmp_path):
    page = visit(context, post.url)
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.copytree(post.data, tmp_path / "backup")
    post.start()
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.rmtree(post.data)
    shutil.copytree(tmp_path / "backup", post.data)
    post.start()
    page.evaluate(TAPS, 10)

    # The station does not know what comes before the batch and says what it holds.
    page.evaluate(EXCHANGE)

    assert same(page, post)


def test_a_second_tablet_waits_for_a_person_and_loses_nothing(post, context, profile):
    first = visit(context, post.url)
    first.evaluate(EXCHANGE)
    second = visit(profile.start(), post.url)
    second.evaluate(TAPS, 3)

    assert second.evaluate(FAILED) == "device_waiting"
    assert second.evaluate(FAILED) == "device_waiting"
    assert waiting(second) == 4
    name = second.evaluate("tablet.device.id")
    post.write(lambda store: device.settle(store.connection, name, device.ADMITTED, 0))
    second.evaluate(EXCHANGE)

    assert sorted(first.evaluate(LINES) + second.evaluate(LINES)) == sorted(post.stored())


def test_a_retired_tablet_keeps_everything(post, context):
    page = visit(context, post.url)
    page.evaluate(EXCHANGE)
    name = page.evaluate("tablet.device.id")
    post.write(lambda store: device.settle(store.connection, name, device.RETIRED, 0))

    assert page.evaluate(FAILED) == "device_retired"
    assert waiting(page) == 0
    page.evaluate(TAPS, 3)
    assert page.evaluate(FAILED) == "device_retired"

    assert waiting(page) == 3
    assert len(page.evaluate(LINES)) == 4


def copy_of(profile, tmp_path):
    """Keep the profile as it lies on the disk now; gives what puts it back."""
    shutil.copytree(profile.path, tmp_path / "copy", symlinks=True)

    def restore() -> None:
        shutil.rmtree(profile.path)
        shutil.copytree(tmp_path / "copy", profile.path, symlinks=True)
    return restore


def test_a_restored_tablet_that_writes_on_makes_a_fork_and_begins_a_new_log(post, profile, tmp_path):
    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 3)
    page.evaluate(EXCHANGE)
    profile.close()
    restore = copy_of(profile, tmp_path)
    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 3)
    page.evaluate(EXCHANGE)
    profile.close()
    restore()

    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 2)
    page.evaluate(EXCHANGE)
    page.evaluate(EXCHANGE)
    page.evaluate(TAPS, 1)
    page.evaluate(EXCHANGE)

    assert opened_because(page) == ["first", "fork"]
    # Both histories are there: the three taps that the tablet forgot as well.
    assert set(page.evaluate(LINES)) < set(post.stored())
    assert len(post.stored()) == len(page.evaluate(LINES)) + 3
    assert waiting(page) == 0


def test_a_restored_tablet_learns_it_before_it_writes(post, profile, tmp_path):
    page = visit(profile.start(), post.url)
    page.evaluate(EXCHANGE)
    profile.close()
    restore = copy_of(profile, tmp_path)
    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 3)
    page.evaluate(EXCHANGE)
    profile.close()
    restore()

    page = visit(profile.start(), post.url)
    page.evaluate(EXCHANGE)
    page.evaluate(TAPS, 1)
    page.evaluate(EXCHANGE)

    assert opened_because(page) == ["first", "fork"]
    # No place was used twice, so the station holds no fork.
    places = [(event["log"], event["seq"]) for event in map(parse, post.stored())]
    assert len(places) == len(set(places)) == 6


def set_post(post: Place, name: str) -> None:
    told = station.Post(post=name, altitude_m=1200)
    post.write(lambda store: station.set_post(store, station.found(store, 0), told, int(time.time() * 1000)))


def test_the_station_s_settings_come_down_once(post, context):
    page = visit(context, post.url)
    set_post(post, "Hillside")
    assert page.evaluate(EXCHANGE)["received"] == 1
    set_post(post, "Riverside")

    received = [page.evaluate(EXCHANGE)["received"] for _ in range(2)]

    assert received == [1, 0]
    posts = [parse(line)["facts"]["post"] for line in page.evaluate("tablet.readStation()")]
    assert posts == ["Hillside", "Riverside"]


def test_settings_changed_on_the_way_are_refused(post, context):
    page = visit(context, post.url)
    set_post(post, "Hillside")
    page.evaluate("""() => {
      tablet.fetch = async (path, told) => {
        const answer = await fetch(path, told);
        if (!path.includes("/events")) return answer;
        return new Response((await answer.text()).replace("Hillside", "Wayside"), { headers: answer.headers });
      };
    }""")

    assert page.evaluate(FAILED) == "chain_mismatch"
    assert page.evaluate("tablet.readStation()") == []


def test_both_halves_compute_the_same_chain(post, context):
    page = visit(context, post.url)
    lines = ["{}", "ü", "x" * 4000]
    log = "0" * 31 + "1"

    places = page.evaluate("""async ([log, lines]) => {
      const start = await tablet.chain.beginning(log);
      return [start.hash, (await tablet.chain.afterAll(start, lines)).hash];
    }""", [log, lines])

    assert places == [genesis(log).hex(), chain(genesis(log), lines)[-1].hex()]

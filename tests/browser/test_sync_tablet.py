"""A tablet and a real station: nothing is lost, nothing is doubled, nothing waits."""

import time

import pytest

from checklist import device, station
from checklist.core.event import parse
from checklist.sync import chain, genesis
from tests.browser.conftest import visit
from tests.browser.posts import EXCHANGE, FAILED, TAPS, Place, same, waiting
from tests.browser.tapping import LINES

# Sends the request, then loses the answer, as a line that breaks in between does.
LOSE_ANSWERS = """() => {
  tablet.fetch = async (...told) => { await fetch(...told); throw new TypeError("cut"); };
}"""
MEND_LINE = "() => { tablet.fetch = (...told) => fetch(...told); }"


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


def test_a_line_of_the_station_that_went_missing_is_fetched_again(post, context):
    page = visit(context, post.url)
    for name in ("Hillside", "Riverside"):
        set_post(post, name)
        page.evaluate(EXCHANGE)
    page.evaluate("""async () => {
      const database = await new Promise((resolve) => {
        const opening = indexedDB.open("journal", 1);
        opening.onsuccess = () => resolve(opening.result);
      });
      const dropping = database.transaction("inbox", "readwrite");
      const rows = dropping.objectStore("inbox");
      rows.getAllKeys().onsuccess = ({ target }) => rows.delete(target.result[0]);
      await new Promise((resolve) => { dropping.oncomplete = resolve; });
      database.close();
    }""")

    assert page.evaluate(EXCHANGE)["received"] == 2

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

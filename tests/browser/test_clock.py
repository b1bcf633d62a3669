"""Stamps, jumps of the wall clock, what is due, the rounds of the exchange, the wake lock."""

import datetime as dt

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import visit

BEGAN = dt.datetime(2026, 3, 1, 8, 0, tzinfo=dt.UTC)
WATCH = """() => {
  window.jumps = [];
  const look = tablet.clock.watch((jump) => window.jumps.push(jump));
  setInterval(look, 1000);
}"""


@pytest.fixture
def page(server, context) -> Page:
    """A page whose wall clock, monotonic clock and timers the test drives."""
    page = context.new_page()
    page.clock.install(time=BEGAN)
    page.goto(server.url)
    page.wait_for_function("() => document.getElementById('role').textContent !== 'none'")
    return page


def test_a_stamp_holds_wall_page_run_and_tick(page):
    first = page.evaluate("tablet.clock.stamp()")
    page.clock.run_for(90_000)
    second = page.evaluate("tablet.clock.stamp()")

    assert abs(first["at"] - BEGAN.timestamp() * 1000) < 60_000
    assert first["boot"] == second["boot"]
    assert len(first["boot"]) == 8
    int(first["boot"], 16)
    assert 90_000 <= second["tick"] - first["tick"] < 100_000
    assert all(isinstance(stamp[key], int) for stamp in (first, second) for key in ("at", "tick"))


def test_each_page_run_has_a_boot_of_its_own(page):
    before = page.evaluate("tablet.clock.boot")

    page.reload()
    page.wait_for_function("() => window.tablet !== undefined")

    assert page.evaluate("tablet.clock.boot") != before


def test_a_clock_set_back_is_reported_once(page):
    page.evaluate(WATCH)
    page.clock.run_for(60_000)

    page.clock.set_system_time(BEGAN - dt.timedelta(hours=3))
    page.clock.run_for(30_000)

    [jump] = page.evaluate("window.jumps")
    assert jump["cause"] == "set"
    assert -3 * 3600_000 - 120_000 < jump["ms"] < -3 * 3600_000


def test_a_sleep_or_a_clock_set_forward_is_reported_without_guessing(page):
    page.evaluate(WATCH)
    page.clock.run_for(60_000)

    # The wall goes on and the tick stands still: what a sleeping tablet looks like.
    page.clock.set_system_time(BEGAN + dt.timedelta(minutes=21))
    page.clock.run_for(2_000)

    [jump] = page.evaluate("window.jumps")
    assert jump["cause"] == "unknown"
    assert 1_150_000 < jump["ms"] < 1_205_000


@pytest.mark.parametrize(("seconds", "reported"), [(4, 0), (5, 0), (6, 1)])
def test_a_jump_counts_past_five_seconds(page, seconds, reported):
    jumps = page.evaluate("""async ([seconds]) => {
      const { startClock } = await import(document.querySelector("script").src.replace("app.js", "clock.js"));
      let wall = 1e12;
      const jumps = [];
      const look = startClock({ wall: () => wall, tick: () => 0 }).watch((jump) => jumps.push(jump));
      wall += seconds * 1000;
      look();
      return jumps;
    }""", [seconds])

    assert len(jumps) == reported


def test_throttled_timers_do_not_slow_the_clock(page):
    page.evaluate("() => { window.began = tablet.clock.stamp(); window.looks = 0; tablet.lookOften(() => { window.looks += 1; }); }")

    page.clock.fast_forward(600_000)  # every timer fires once at most

    assert page.evaluate("window.looks") <= 2
    assert page.evaluate("tablet.clock.stamp().tick - window.began.tick") >= 600_000


def test_coming_back_to_life_is_a_look_at_once(page):
    page.evaluate("() => { window.looks = 0; window.stop = tablet.lookOften(() => { window.looks += 1; }, 1e9); }")

    page.evaluate("() => { document.dispatchEvent(new Event('visibilitychange')); window.dispatchEvent(new Event('pageshow')); }")
    assert page.evaluate("window.looks") == 2
    page.evaluate("() => { window.stop(); document.dispatchEvent(new Event('visibilitychange')); }")

    assert page.evaluate("window.looks") == 2


def test_what_is_due_rings_late_rather_than_never(page):
    split = page.evaluate("tablet.dueAt([{ at: 100, id: 'a' }, { at: 200, id: 'b' }, { at: 201, id: 'c' }], 200)")

    assert split == {
        "ripe": [{"at": 100, "id": "a", "late": 100}, {"at": 200, "id": "b", "late": 0}],
        "waiting": [{"at": 201, "id": "c"}],
    }


ROUNDS = """() => {
  window.told = [];
  window.fails = true;
  window.rounds = 0;
  window.syncing = tablet.startRounds({
    round: async () => {
      window.rounds += 1;
      if (window.fails) throw Object.assign(new Error("away"), { code: "station_unreachable", facts: {} });
      return { sent: 3 };
    },
    count: async () => ({ count: 3, since: 1, lastContact: null }),
    onState: (state) => window.told.push(state),
    every: 900_000,
    chance: () => 0.5,
  });
}"""


def test_a_failed_round_is_tried_again_later_and_later(page):
    page.evaluate(ROUNDS)
    counts = []

    for seconds in (29, 2, 58, 3, 116, 4):
        page.clock.run_for(seconds * 1000)
        counts.append(page.evaluate("window.rounds"))

    assert counts == [1, 2, 2, 3, 3, 4]
    last = page.evaluate("window.told.at(-1)")
    assert (last["busy"], last["waiting"], last["reason"]) == (False, 3, "station_unreachable")


def test_a_network_that_comes_back_starts_a_round_and_clears_the_reason(page):
    page.evaluate(ROUNDS)
    page.clock.run_for(1000)

    page.evaluate("() => { window.fails = false; window.dispatchEvent(new Event('online')); }")
    page.clock.run_for(1000)

    assert page.evaluate("window.rounds") == 2
    last = page.evaluate("window.told.at(-1)")
    assert (last["reason"], last["report"]) == (None, {"sent": 3})
    page.clock.run_for(899_000)
    assert page.evaluate("window.rounds") == 3


def test_two_rounds_never_run_at_once(page):
    page.evaluate("""() => {
      window.running = 0;
      window.most = 0;
      window.syncing = tablet.startRounds({
        round: async () => {
          window.most = Math.max(window.most, window.running += 1);
          await new Promise((resolve) => setTimeout(resolve, 5000));
          window.running -= 1;
        },
        count: async () => ({ count: 0, since: null, lastContact: null }),
        onState: () => undefined,
      });
      for (let n = 0; n < 5; n += 1) window.syncing.now();
    }""")
    page.clock.run_for(20_000)

    assert page.evaluate("window.most") == 1


LOCK = """() => {
  window.told = [];
  window.locks = [];
  navigator.wakeLock.request = async () => {
    if (window.refuse) throw new DOMException("battery", "NotAllowedError");
    const lock = new EventTarget();
    lock.release = async () => lock.dispatchEvent(new Event("release"));
    window.locks.push(lock);
    return lock;
  };
  window.keeper = tablet.wakeKeeper((state) => window.told.push(state));
}"""


def test_the_screen_is_held_awake_again_whenever_the_page_is_seen(page):
    page.evaluate(LOCK)
    page.evaluate("window.keeper.start()")
    page.evaluate("() => window.locks[0].release()")
    page.wait_for_function("() => window.told.length === 3")

    assert page.evaluate("window.told") == ["held", "lost", "held"]
    page.evaluate("window.keeper.stop()")
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
    assert page.evaluate("window.locks.length") == 2


def test_a_refused_wake_lock_is_said_and_asked_for_again(page):
    page.evaluate(LOCK)
    page.evaluate("() => { window.refuse = true; return window.keeper.start(); }")
    page.evaluate("() => { window.refuse = false; document.dispatchEvent(new Event('visibilitychange')); }")
    page.wait_for_function("() => window.told.length === 2")

    assert page.evaluate("window.told") == ["refused", "held"]


def test_a_real_browser_grants_the_wake_lock(server, context):
    page = visit(context, server.url)

    told = page.evaluate("""async () => {
      const told = [];
      const keeper = tablet.wakeKeeper((state) => told.push(state));
      await keeper.start();
      await keeper.stop();
      return told;
    }""")

    assert told == ["held"]

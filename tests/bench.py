"""Measure what a hand feels: a tap until it is kept and until it is seen, a cold start, the size.

Not part of the tests, since a busy machine makes it lie. By hand, at a quiet moment:

    python -m tests.bench
"""

import argparse
import gzip
import statistics
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, sync_playwright

from checklist.language import load
from checklist.shell import Release
from checklist.tables import STATIC, TRANSLATIONS
from tests.browser.app import expect_begun, expect_told
from tests.browsers import launch_args
from tests.midwife import TABLET, Midwife
from tests.profiles import Profile
from tests.servers import Served

FONTS = (".woff2", ".woff", ".ttf")
# Two of these lie between two taps of one key; sooner the second would be a bounce.
PAUSE_S = 0.4
GOALS = {"ratio": 1.5, "painted": 100, "start": 1000, "bytes": 150_000}

_WATCH = """() => {
  Object.assign(window, { durable: [], drawn: [], bare: [] });
  let began = null;
  document.body.addEventListener("click", () => { began = performance.now(); }, true);
  // The journal counts an event outside the database at the moment it calls it durable.
  const note = Storage.prototype.setItem;
  Storage.prototype.setItem = function (name, ...told) {
    if (name === "journal.kept" && began !== null) window.durable.push(performance.now() - began);
    return note.call(this, name, ...told);
  };
  new MutationObserver(() => {
    if (began === null || "saving" in document.body.dataset) return;
    window.drawn.push(performance.now() - began);
    began = null;
  }).observe(document.body, { attributes: true, attributeFilter: ["data-saving"] });
  window.painted = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) if (["click", "pointerdown"].includes(entry.name)) window.painted.push(entry.duration);
  }).observe({ type: "event", durationThreshold: 16 });
}"""
_OPEN = """() => new Promise((resolve) => {
  const opening = indexedDB.open("bench", 1);
  opening.onupgradeneeded = () => opening.result.createObjectStore("rows", { keyPath: "n" });
  opening.onsuccess = () => { window.database = opening.result; resolve(); };
})"""
# Taps and bare commits by turns, pressed by the page itself: a driver that asks how far a
# tap has come would be in its way. The bare one is the least that durable can cost here.
_BY_TURNS = """async (count) => {
  const rest = () => new Promise((resolve) => setTimeout(resolve, GAP_MS));
  const commit = () => new Promise((resolve, reject) => {
    const writing = window.database.transaction("rows", "readwrite", { durability: "strict" });
    writing.oncomplete = resolve;
    writing.onabort = () => reject(writing.error);
    writing.objectStore("rows").put({ n: performance.now(), line: "x".repeat(320) });
    writing.commit();
  });
  for (let n = 0; n < count; n += 1) {
    document.querySelector(`[data-key=${n % 2 ? "undo" : "hiss"}]`).click();
    await rest();
    const began = performance.now();
    await commit();
    window.bare.push(performance.now() - began);
    await rest();
  }
}""".replace("GAP_MS", str(round(PAUSE_S * 1000)))
_BEGUN = "performance.getEntriesByName('begun')[0].startTime"
_PAINTED = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null"


def main() -> None:
    """Measure everything and print one table."""
    told = _arguments()
    rows = [_bytes()]
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        chromium = playwright.chromium
        profile = Profile(chromium, launch_args(chromium, {}), Path(folder) / "profile")
        served = Served().start(STATIC, data=Path(folder) / "station")
        try:
            rows += _taps(profile, served, told)
            rows.append(_cold_starts(profile, served, told))
        finally:
            profile.close()
            served.kill()
    _print(rows)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--taps", type=int, default=60, help="taps to measure, each way (default 60)")
    parser.add_argument("--starts", type=int, default=5, help="cold starts to measure (default 5)")
    parser.add_argument("--slowed", type=int, default=6, help="how many times slower the processor is made (default 6)")
    return parser.parse_args()


def _progress(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


# ---- taps ----

def _taps(profile: Profile, served: Served, told: argparse.Namespace) -> list[tuple]:
    context = profile.start()
    page = context.new_page()
    page.set_viewport_size(TABLET)
    page.goto(served.url)
    midwife = Unhurried(page)
    expect_told(page, "home.ready")
    midwife.start_at_once()
    midwife.apply()
    midwife.page.evaluate(_WATCH)
    midwife.page.evaluate(_OPEN)
    # Nothing but the taps: the exchange with the station has its own time.
    context.set_offline(True)
    _progress(f"taps until kept, and bare commits by turns: {told.taps}")
    midwife.page.evaluate(_BY_TURNS, told.taps)
    bare, durable, drawn = midwife.page.evaluate("[window.bare, window.durable, window.drawn]")
    _slow(context, midwife.page, told.slowed)
    midwife.page.evaluate("window.painted.length = 0")
    _progress(f"taps until painted, {told.slowed} times slowed: {told.taps}")
    _tap_on(midwife, told.taps)
    midwife.wait(1)
    painted = midwife.page.evaluate("window.painted")
    profile.close()
    ratio = statistics.median(durable) / statistics.median(bare)
    return [
        ("a bare strict commit, ms", _spread(bare), ""),
        ("tap until durable in both stores, ms", _spread(durable), ""),
        ("  beside one bare commit", f"{ratio:.2f} times", f"<= {GOALS['ratio']}"),
        ("  beside two, one for each store", f"{ratio / 2:.2f} times", ""),
        ("tap until its tick is drawn, ms", _spread(drawn), ""),
        (f"tap until painted, {told.slowed} times slowed, ms", _spread(painted), f"p99 <= {GOALS['painted']}"),
    ]


class Unhurried(Midwife):
    """Hands at a page with the clock of the machine, which is what is measured: they rest in earnest."""

    def _rest(self, ms: int) -> None:
        self.page.wait_for_timeout(ms)


def _tap_on(midwife: Midwife, count: int) -> None:
    """Tap two keys by turns: a hiss, and its undo."""
    for number in range(count):
        midwife.tap("pull.hiss" if number % 2 == 0 else "app.undo")
        midwife.wait(PAUSE_S)


def _slow(context: BrowserContext, page: Page, times: int) -> None:
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": times})


# ---- cold starts ----

def _cold_starts(profile: Profile, served: Served, told: argparse.Namespace) -> tuple:
    served.kill()
    begun, painted = [], []
    for number in range(told.starts):
        _progress(f"cold start {number + 1} of {told.starts}, station dead, {told.slowed} times slowed")
        context = profile.start()
        page = context.new_page()
        _slow(context, page, told.slowed)
        page.goto(served.url)
        expect_begun(page)
        begun.append(page.evaluate(_BEGUN))
        painted.append(page.evaluate(_PAINTED) or begun[-1])
        profile.close()
    both = [max(pair) for pair in zip(begun, painted, strict=True)]
    return (f"cold start until seen, {told.slowed} times slowed, ms", _spread(both), f"<= {GOALS['start']}")


# ---- size ----

def _bytes() -> tuple:
    """Sum what a first visit loads: every file packed, the words of one language, no font, no spare copy."""
    release = Release.build(STATIC, {"en": load(TRANSLATIONS, "en").as_json()})
    files = [file for address, file in release.files.items() if not address.endswith(FONTS)]
    packed = [len(gzip.compress(file.data)) if file.shrinks else len(file.data) for file in files]
    worker = len(gzip.compress((STATIC / "sw.js").read_bytes()))
    return ("the app on the wire, bytes", f"{sum(packed) + worker:,} in {len(packed) + 1} files", f"<= {GOALS['bytes']:,}")


def _spread(times: Iterable[float]) -> str:
    ordered = sorted(times)
    return f"median {statistics.median(ordered):.1f}, p99 {ordered[min(len(ordered) - 1, round(0.99 * len(ordered)))]:.1f}, n {len(ordered)}"


def _print(rows: list[tuple]) -> None:
    for what, found, goal in rows:
        print(f"{what:44} {found:40} {goal}".rstrip())


if __name__ == "__main__":
    main()

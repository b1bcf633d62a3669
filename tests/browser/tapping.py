"""Tap on the small page and read back what its journal holds."""

from playwright.sync_api import Page

from checklist.core.event import parse

TAPS = """async ([count, theCase]) => {
  const places = [];
  for (let n = 0; n < count; n += 1) places.push(await tablet.record("hiss_heard", {}, theCase));
  return places;
}"""
LINES = "Array.fromAsync(tablet.journal.readAll())"
TAP_FOR_EVER = """() => {
  const tapForEver = async () => {
    const { log, seq } = await tablet.record("hiss_heard");
    window.acknowledge(log, seq);
    window.hasKept = true;
    tapForEver();
  };
  tapForEver();
}"""
NOTES = "tablet.journal.notes.map(({ code, store, count }) => [code, store, count])"
CASE = "00c0ffee00c0ffee"


def tap(page: Page, count: int, case: str = CASE) -> list[dict]:
    return page.evaluate(TAPS, [count, case])


def tap_for_ever(page: Page) -> list[tuple[str, int]]:
    """Tap without end, once the first tap is kept; gives the places that are called kept, more and more of them."""
    told: list[tuple[str, int]] = []
    page.expose_function("acknowledge", lambda log, seq: told.append((log, seq)))
    page.evaluate(TAP_FOR_EVER)
    page.wait_for_function("() => window.hasKept")
    return told


def kept(page: Page) -> list[tuple[str, int]]:
    events = [parse(line) for line in page.evaluate(LINES)]
    return sorted((event["log"], event["seq"]) for event in events)


def taps(page: Page) -> int:
    return sum(parse(line)["kind"] == "hiss_heard" for line in page.evaluate(LINES))


def reasons(page: Page) -> list[str]:
    """Why each log was opened, in order of time."""
    opened = [parse(line) for line in page.evaluate(LINES)]
    opened = sorted((event for event in opened if event["kind"] == "log_opened"), key=lambda event: event["at"])
    return [event["facts"]["why"] for event in opened]

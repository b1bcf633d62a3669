"""Hear what the tablet says aloud: every burst with its weight and the moment it began."""

from dataclasses import dataclass

from playwright.sync_api import Page

# A burst buzzes first and then starts its tones; both are noted, and both still happen.
SPY = """(() => {
  const bursts = window.bursts = [];
  const buzz = navigator.vibrate?.bind(navigator);
  Object.defineProperty(navigator, "vibrate", { configurable: true, value: (pattern) => {
    bursts.push({ buzzes: [].concat(pattern).length, at: Date.now(), tones: [] });
    return buzz ? buzz(pattern) : true;
  } });
  const { start, stop } = OscillatorNode.prototype;
  OscillatorNode.prototype.start = function (when, ...told) {
    this.began = when;
    return start.call(this, when, ...told);
  };
  OscillatorNode.prototype.stop = function (when, ...told) {
    // A click is shorter than any pulse; what is ended sooner was noted at its start.
    if (!this.noted && when - this.began > 0.1) bursts.at(-1)?.tones.push(this.began);
    this.noted = true;
    return stop.call(this, when, ...told);
  };
})()"""
# The pattern of IEC 60601-1-8, partly from memory: ten pulses for the high, three for the medium.
PULSES = {10: "high", 3: "medium"}


@dataclass(frozen=True)
class Burst:
    """One burst: "high" or "medium", its pulses in s after its start, the wall ms it came at."""

    weight: str
    pulses: tuple[float, ...]
    buzzes: int
    at: int


def bursts(page: Page) -> list[Burst]:
    """Give every burst that was heard so far."""
    return [_burst(told) for told in page.evaluate("window.bursts")]


def weights(page: Page) -> list[str]:
    """Give the weights of what was heard, in order."""
    return [burst.weight for burst in bursts(page)]


def _burst(told: dict) -> Burst:
    starts = sorted({round(start, 2) for start in told["tones"]})
    pulses = tuple(round(start - starts[0], 2) for start in starts)
    return Burst(PULSES.get(len(pulses), f"{len(pulses)} pulses"), pulses, told["buzzes"], told["at"])

"""How fast a hand can mean one key after another: slower than a bounce, and than a screen that changes under it."""

from playwright.sync_api import ElementHandle

# The same key within this time is taken for a bounce, and no hand is that fast.
GUARD_MS = 750
# A hand that has seen the screen change aims anew, and takes longer than this.
SETTLE_MS = 450
# A bounce strays less than this.
NEAR_PX = 100
FAR = [-1e6, -1e6]
# A key out of sight is scrolled to first, as a hand would, so that its place is where it will be tapped.
_LANDING = """(key) => {
  key.scrollIntoViewIfNeeded();
  const { x, y, width, height } = key.getBoundingClientRect();
  return [key.dataset.key, performance.now(), "settling" in document.body.dataset, x + width / 2, y + height / 2];
}"""


class Pace:
    """What a hand tapped last: when, where, and each key by its name."""

    def __init__(self) -> None:
        self._last: dict[str, float] = {}
        self._at, self._spot, self._aimed = -1e6, FAR, ("", FAR)

    def rest(self, key: ElementHandle) -> float:
        """Tell in ms how long the hand takes until it can mean this key."""
        name, now, settles, *spot = key.evaluate(_LANDING)
        self._aimed = name, spot
        is_near = max(abs(one - other) for one, other in zip(spot, self._spot, strict=True)) < NEAR_PX
        return max(self._last.get(name, -1e6) + GUARD_MS - now, SETTLE_MS if settles else 0, self._at + SETTLE_MS - now if is_near else 0)

    def tapped(self, now: float) -> None:
        """Note that the key aimed at was tapped, at this time of its page in ms."""
        name, self._spot = self._aimed
        self._at = self._last[name] = now

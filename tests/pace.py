"""How fast a hand can mean one key after another: slower than a bounce, and than a screen that changes under it."""

from playwright.sync_api import ElementHandle

# The same key within this time is taken for a bounce, and no hand is that fast.
GUARD_MS = 750
# A hand that has seen the screen change aims anew, and takes longer than this.
SETTLE_MS = 450
_LANDING = '(key) => [key.dataset.key, performance.now(), "settling" in document.body.dataset, key.matches(".digit")]'


class Pace:
    """What a hand tapped last: when, and each key by its name."""

    def __init__(self) -> None:
        self._last: dict[str, float] = {}
        self._at, self._aimed = -1e6, ""

    def rest(self, key: ElementHandle) -> float:
        """Tell in ms how long the hand takes until it can mean this key."""
        name, now, settles, is_digit = key.evaluate(_LANDING)
        self._aimed = name
        # Where the next key stands is known once it has been scrolled to; no hand goes from one to another any faster.
        soon = 0 if is_digit else self._at + SETTLE_MS - now
        return max(self._last.get(name, -1e6) + GUARD_MS - now, SETTLE_MS if settles else 0, soon)

    def tapped(self, now: float) -> None:
        """Note that the key aimed at was tapped, at this time of its page in ms."""
        self._at = self._last[self._aimed] = now

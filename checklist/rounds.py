"""Decide when a station speaks to its hub: at the start, soon after something new, now and then.

A failed session is tried again later and later, and never sooner than the hub
asked. Runs beside the intake and never holds it up. Knows no message.
"""

import logging
import random
from collections.abc import Callable
from threading import Condition, Thread

from checklist.errors import ChecklistError

# Seconds. Births come in bursts of taps, so what is new waits a little for its neighbours.
SETTLE_S = 20
EVERY_S = 15 * 60
FIRST_RETRY_S = 30
# How long a station without a hub waits before it looks again for one.
IDLE_S = 60

_log = logging.getLogger(__name__)


class Rounds:
    """One thread that holds sessions; work() is one, and raises when it failed."""

    def __init__(
        self, work: Callable[[], object], *, settle_s: float = SETTLE_S,
        chance: Callable[[], float] = random.random,
    ) -> None:
        self._work, self._settle_s, self._chance = work, settle_s, chance
        self._news = Condition()
        self._woken = self._ended = False
        self._thread = Thread(target=self._run, name="rounds", daemon=True)

    def start(self) -> None:
        """Begin with a session at once."""
        self._thread.start()

    def wake(self) -> None:
        """Say that something new is there; returns at once."""
        with self._news:
            self._woken = True
            self._news.notify()

    def stop(self) -> None:
        """End the rounds; a session that is under way ends by itself."""
        with self._news:
            self._ended = True
            self._news.notify()

    def _run(self) -> None:
        failures = 0
        while not self._ended:
            error = self._session()
            if error is None or error.code == "hub_missing":
                failures = 0
                self._rest(IDLE_S if error else EVERY_S * (0.5 + self._chance()), early=True)
            else:
                failures += 1
                self._rest(pause(failures, error, self._chance()), early=False)

    def _session(self) -> ChecklistError | None:
        with self._news:
            self._woken = False
        try:
            self._work()
        except ChecklistError as error:
            return error
        except Exception:
            # A bug must not end the rounds, and must be seen.
            _log.exception("a session with the hub broke off")
            return ChecklistError("unexpected")
        return None

    def _rest(self, seconds: float, *, early: bool) -> None:
        """Wait; where early, news end the wait once they have settled."""
        with self._news:
            self._news.wait_for(lambda: self._ended or (early and self._woken), seconds)
            if self._woken and early and not self._ended:
                self._news.wait_for(lambda: self._ended, self._settle_s)


def pause(failures: int, error: ChecklistError, chance: float) -> float:
    """Give the seconds until the next try; chance, 0 to 1, spreads many stations out."""
    wait = min(FIRST_RETRY_S * 2 ** (failures - 1), EVERY_S) * (0.5 + chance)
    asked = str(error.facts.get("retry_after", ""))
    # No hub may silence a station for longer than an hour by one word.
    return max(wait, min(int(asked), 3600) * (1 + chance / 2)) if asked.isdecimal() else wait

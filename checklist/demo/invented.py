"""Fill a folder that holds nothing real with as many invented births as are asked for.

They enter as everything enters: signed by invented devices, through the intake.
"""

import random
from collections.abc import Callable
from pathlib import Path

from flask import Flask

from checklist import device, intake, keys, sender
from checklist.config import INVENTED, is_invented
from checklist.demo.births import POSTS
from checklist.demo.copies import choose, copy
from checklist.demo.teller import Teller
from checklist.web.parts import NAME, Parts

DAY_MS = 86_400_000
# A month on average.
MONTH_MS = round(30.44 * DAY_MS)
# A birth is over, and its tablet was set up, within this.
ROOM_MS = 2 * DAY_MS


def claim(folder: Path) -> bool:
    """Mark a folder as invented; False, with nothing changed, when it holds anything unmarked."""
    if is_invented(folder):
        return True
    if folder.exists() and any(folder.iterdir()):
        return False
    folder.mkdir(parents=True, exist_ok=True)
    (folder / INVENTED).write_text("Every case in this folder is invented.\n")
    return True


def fill(
    app: Flask, posts: int, cases: int, months: int, seed: int, told: Callable[[int], None]
) -> int:
    """Add so many cases of so many posts over so many months; gives how many events.

    told hears of each post how many cases it brought. The same seed makes the same births.
    """
    shared: Parts = app.extensions[NAME]
    rng = random.Random(seed)
    now, stored = shared.now(), 0
    first = now - months * MONTH_MS
    for number in range(posts):
        share = (number + 1) * cases // posts - number * cases // posts
        name = f"{list(POSTS)[number % len(POSTS)]} {number + 1}"
        private_key, teller = _tablet(shared, name, first - ROOM_MS)
        lines = teller.lines
        for one in choose(rng, share, first, now - ROOM_MS):
            lines += copy(one, teller.log, len(lines) + 1, name, shared.release)
        for body in sender.cut(private_key, teller.log, lines):
            stored += intake.take(shared.journal, body, "", now).stored
        told(share)
    return stored


def _tablet(shared: Parts, name: str, now: int) -> tuple[str, Teller]:
    """Let a new tablet in; gives its private key and its log, just opened."""
    private_key = keys.new_private_key()
    public_key = keys.public_key_of(private_key)
    shared.journal.write(
        lambda store: device.add(store.connection, public_key, name, device.ADMITTED, now)
    )
    return private_key, Teller(keys.device_id(public_key), now)

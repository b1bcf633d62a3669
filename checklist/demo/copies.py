"""Make many invented births out of a few: each told once, then copied under other names.

Telling looks at the case after every tap, which is slow; a copy only changes ids, times
and post. Knows no journal and no clock.
"""

import json
import random
import secrets
from dataclasses import dataclass, replace
from functools import cache

from checklist.demo.births import BIRTHS, POSTS, Birth
from checklist.demo.rows import ALTITUDE_M, Row, Tap, tap
from checklist.demo.teller import Teller
from checklist.station import OUTER_SAME_CONTRACTION_S

# How often each birth is copied, of a hundred. Invented: no source, made to show each.
WEIGHTS = {
    "easy": 40, "perineal": 16, "came off once": 9, "came off twice": 4, "too long": 3,
    "no descent": 5, "head high": 2, "thin air": 7, "gaps": 5, "corrected": 5, "restart": 4,
}
# Tellings of one birth, each with other waits, points and tears.
TELLINGS = 12
TEARS = ("none", "none", "none", "1", "1", "2", "2", "3a", "unsure")
_POST, _LOG, _BASE_MS = "@post", "0" * 32, 0


@dataclass(frozen=True)
class Line:
    """What a copy of one line changes: when (ms after the opening), page, target (or 0)."""

    kind: str
    after_ms: int
    boot: str
    tail: str
    target: int


@dataclass(frozen=True)
class Chosen:
    """One birth to be copied: which, in which telling, when (wall ms)."""

    name: str
    telling: int
    at_ms: int


def choose(rng: random.Random, cases: int, first_ms: int, last_ms: int) -> list[Chosen]:
    """Draw births between two moments, in order of time."""
    names = rng.choices(list(WEIGHTS), list(WEIGHTS.values()), k=cases)
    chosen = [
        Chosen(name, rng.randrange(TELLINGS), rng.randrange(first_ms, last_ms)) for name in names
    ]
    return sorted(chosen, key=lambda one: one.at_ms)


def copy(chosen: Chosen, log: str, seq: int, post: str, release: str) -> list[str]:
    """Give the lines of one birth as events of a log, from number seq on.

    Its ids are new each time, so that the same births twice are twice as many.
    """
    case = secrets.token_hex(8)
    pages: dict[str, str] = {}
    lines = []
    for number, line in enumerate(told(chosen.name, chosen.telling)):
        boot = pages.setdefault(line.boot, secrets.token_hex(4))
        tail = line.tail
        if line.target:
            tail = tail.replace(_LOG, log).replace(
                f'"target_seq":{line.target}', f'"target_seq":{seq + line.target - 2}'
            )
        if line.kind == "case_opened":
            tail = tail.replace(_POST, post).replace("@release", release)
        lines.append(
            f'{{"log":"{log}","seq":{seq + number},"case":"{case}","kind":"{line.kind}",'
            f'"at":{chosen.at_ms + line.after_ms},"boot":"{boot}"{tail}'
        )
    return lines


@cache
def told(name: str, telling: int) -> list[Line]:
    """Tell one birth, with waits and findings of its own; the same each time."""
    birth = next(birth for birth in BIRTHS if birth.name == name)
    rng = random.Random(f"{name} {telling}")
    teller = Teller("0" * 32, _BASE_MS, log=_LOG)
    teller.tell(_BASE_MS, _opening(birth), _varied(birth.rows(), rng))
    return [_line(text) for text in teller.lines[1:]]


def _line(text: str) -> Line:
    event = json.loads(text)
    boot = event["boot"]
    return Line(
        event["kind"], event["at"] - _BASE_MS, boot, text.split(f'"boot":"{boot}"', 1)[1],
        event["facts"].get("target_seq", 0),
    )


def _opening(birth: Birth) -> dict:
    return {
        "mode": birth.mode, "release": "@release", "language": "en", "post": _POST,
        "gauge_unit": POSTS[birth.post], "same_contraction_s": OUTER_SAME_CONTRACTION_S,
        "altitude_m": ALTITUDE_M,
    }


def _varied(rows: list[Row], rng: random.Random) -> list[Row]:
    """Let nobody be as quick, no baby as well and no mother as whole as another."""
    varied: list[Row] = []
    for row in rows:
        row = replace(row, wait_s=round(row.wait_s * rng.uniform(0.8, 1.2), 1))
        if isinstance(row, Tap) and row.kind == "apgar_scored":
            score = row.facts["score"] - rng.choice((0, 0, 0, 1, 2))
            row = replace(row, facts=row.facts | {"score": score})
        varied.append(row)
        if isinstance(row, Tap) and row.kind == "placenta_delivered":
            varied.append(tap(30, "tear_graded", grade=rng.choice(TEARS)))
    return varied

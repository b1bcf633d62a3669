"""Tell made-up births as real tablets would on their worst day.

Taps come twice, late, in the wrong order and with clocks that jump; they are taken
back and amended, with sense and without; logs break off, go on elsewhere, and fork.
The same seed gives the same log.
"""

from random import Random

from checklist.core.event import seal
from checklist.core.kinds import known_kinds
from tests.births import Tap, birth

HOUR_MS = 3_600_000
# Close to midnight, at the turn of a year, and in 1970, where clocks without a battery begin.
STARTS = (1_764_114_600_000, 1_767_225_590_000, 1_772_323_190_000, 5_000)
TEXTS = (
    "Bett 3", "plain", "", "0", "7", "__proto__", "constructor", "\u2028\u2029", "\U0001f476\U0001f3ff",
    "مرحبا", "\"\\/\b\f\n\r\t", "\x00\x7f", "é", "é", "\ufffd\uffff", "a" * 41, "<b>&amp;</b>",
)
ODD_FACTS = (0, -1, 1, 10**15, 2**53 - 1, True, False, *TEXTS)
STEPS_MS = (0, 1, 4_999, 5_000, 5_001, 60_000, HOUR_MS, 9 * HOUR_MS)


def random_log(seed: int) -> dict:
    """Make up one log: {lines, stamps}; the stamps are moments to judge it at."""
    rng = Random(seed)
    taps = birth(rng)
    if rng.random() < 0.6:
        taps = _fumbled(rng, taps)
    tablet = _Tablet(rng, calm=rng.random() < 0.4)
    for tap in taps:
        tablet.tap(*tap)
    lines = _carried(rng, tablet.lines)
    return {"lines": lines, "stamps": tablet.stamps()}


def _fumbled(rng: Random, taps: list[Tap]) -> list[Tap]:
    """Drop, double and swap some taps, and put in some that make no sense."""
    told: list[Tap] = []
    for tap in taps:
        chance = rng.random()
        if chance < 0.04:
            continue
        told.append(tap)
        if chance > 0.95:
            told.append((*tap[:2], rng.choice((0, 0.3, 5))))
        if 0.04 < chance < 0.07:
            told.append(_odd_tap(rng))
    for place in range(1, len(told)):
        if rng.random() < 0.04:
            told[place - 1], told[place] = told[place], told[place - 1]
    return told


def _odd_tap(rng: Random) -> Tap:
    kind = rng.choice([*known_kinds(), "from_a_newer_version", "constructor", "has_own"])
    names = ["item", "answer", "value", "stage", "pa", "cause", "heard", "bpm", "newer", "mode", "next"]
    facts = {name: rng.choice(ODD_FACTS) for name in rng.sample(names, rng.randint(0, 4))}
    return (kind, facts, rng.uniform(0, 30))


class _Tablet:
    """One tablet that writes one case, in one log or in several."""

    def __init__(self, rng: Random, *, calm: bool) -> None:
        self.rng = rng
        self.calm = calm
        self.lines: list[str] = []
        self.places: list[tuple[str, int, str]] = []
        self.log, self.seq = f"{rng.getrandbits(128):032x}", 0
        self.case = f"{rng.getrandbits(64):016x}"
        self.boot, self.tick = f"{rng.getrandbits(32):08x}", rng.randint(0, 10**6)
        self.wall = rng.choice(STARTS) + rng.randint(0, 10_000)

    def tap(self, kind: str, facts: dict, wait_s: float) -> None:
        """Let time pass and tell one tap, with what goes wrong around it."""
        self._pass(round(wait_s * 1000))
        if not self.calm:
            self._disturb()
        self._write(kind, self._spoiled(facts), self._ago())
        while self.places and self.rng.random() < (0.03 if self.calm else 0.08):
            self._correct()

    def stamps(self) -> list[dict]:
        """Give moments to judge at: now, later, after sleep, and in another page run."""
        here = {"at": self.wall, "boot": self.boot, "tick": self.tick}
        later = self.rng.choice((0, 1_000, 9_999, 10_000, 60_000, 20 * 60_000))
        slept = self.rng.choice(STEPS_MS)
        aside = self.wall + self.rng.choice((-HOUR_MS, -1, 0, 1, 90_000, HOUR_MS))
        return [
            here,
            {**here, "at": self.wall + later, "tick": self.tick + later},
            {**here, "at": self.wall + slept + later, "tick": self.tick + later},
            {"at": max(aside, 0), "boot": "0" * 8, "tick": 17},
        ]

    def _pass(self, ms: int) -> None:
        self.tick += ms
        self.wall += ms

    def _disturb(self) -> None:
        chance = self.rng.random()
        if chance < 0.03:
            self.wall = max(0, self.wall + self.rng.choice((-1, 1)) * self.rng.choice(STEPS_MS))
        elif chance < 0.05:
            self._jump_told()
        elif chance < 0.08:
            self._restart()
        elif chance < 0.09:
            self.wall = self.rng.choice(STARTS)

    def _jump_told(self) -> None:
        gap = self.rng.choice(STEPS_MS)
        self.wall += gap
        cause = self.rng.choice(("unknown", "slept", "set"))
        self._write("clock_jumped", {"ms": gap, "cause": cause}, 0)

    def _restart(self) -> None:
        self.boot, self.tick = f"{self.rng.getrandbits(32):08x}", 0
        self.wall = max(0, self.wall + self.rng.choice((3_000, 60_000, -60_000)))
        if self.rng.random() < 0.5:
            self.log, self.seq = f"{self.rng.getrandbits(128):032x}", 0

    def _ago(self) -> int:
        return self.rng.choice((1, 5, 30, 60, 120, 600)) if self.rng.random() < 0.06 else 0

    def _spoiled(self, facts: dict) -> dict:
        if self.calm or not facts or self.rng.random() > 0.04:
            return facts
        name = self.rng.choice([*facts, "newer"])
        return {**facts, name: self.rng.choice(ODD_FACTS)}

    def _write(self, kind: str, facts: dict, ago: int) -> None:
        self.seq += self.rng.choice((1, 1, 1, 1, 1, 2))
        self.lines.append(self._sealed(kind, facts, ago))
        self.places.append((self.log, self.seq, kind))
        if not self.calm and self.rng.random() < 0.01:
            # A fork: the same number in the same log says something else as well.
            self.lines.append(self._sealed(kind, {**facts, "newer": 1}, ago))

    def _sealed(self, kind: str, facts: dict, ago: int) -> str:
        return seal({
            "log": self.log, "seq": self.seq, "case": self.case, "kind": kind,
            "at": self.wall, "boot": self.boot, "tick": self.tick, "ago": ago,
            "protocol": "", "facts": facts,
        })

    def _correct(self) -> None:
        self._pass(self.rng.choice((700, 5_000)))
        log, seq, kind = self.rng.choice(self.places[-12:])
        if self.rng.random() < 0.1:
            log, seq = f"{self.rng.getrandbits(128):032x}", self.rng.randint(1, 9)
        target = {"target_log": log, "target_seq": seq}
        if self.rng.random() < 0.5:
            self._write("withdrawn", target, 0)
        else:
            self._write("amended", {**target, **_changes(self.rng, kind)}, 0)


def _changes(rng: Random, kind: str) -> dict:
    """Choose new facts for a kind: some fit it, some do not."""
    sensible = {
        "descent_judged": {"set_descent": rng.choice(("yes", "no", "unsure"))},
        "cup_applied": {"set_mm": rng.choice((40, 60, 99))},
        "suction_set": {"set_stage": rng.choice(("first", "working", "released"))},
        "rim_swept": {"set_clear": rng.choice(("yes", "no"))},
        "clock_jumped": {"set_cause": rng.choice(("set", "slept", "never"))},
        "scalp_checked": {"set_finding": rng.choice(("whole", "cut"))},
        "baby_observed": {"set_answer": rng.choice(("boggy", "flat", "yes", "no"))},
        "apgar_scored": {"set_minute": 5, "set_heart": rng.choice((0, 2, 3))},
        "tier_lowered": {"set_tier": rng.choice((1, 2, 3))},
    }
    if kind in sensible and rng.random() < 0.6:
        return sensible[kind]
    if rng.random() < 0.7:
        return {"set_ago": rng.choice((0, 1, 30, 90, 600, 604_800, 604_801))}
    return {"set_" + rng.choice(("facts", "value", "answer", "ago")): rng.choice(ODD_FACTS)}


def _carried(rng: Random, lines: list[str]) -> list[str]:
    """Carry the lines over a bad network: in any order, some more than once."""
    carried = list(lines)
    if rng.random() < 0.5:
        carried += rng.sample(lines, min(3, len(lines)))
        rng.shuffle(carried)
    return carried

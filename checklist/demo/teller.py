"""Tell invented births as a tablet records them, line by line, into one log.

After every tap and while the cup is on it looks at the case as the tablet does, and
writes down the advice that would have been shown. Knows no journal.
"""

import secrets
from dataclasses import dataclass, field

from checklist.core.alarm import to_show
from checklist.core.case import fold
from checklist.core.checks import verdict
from checklist.core.event import seal
from checklist.core.limits import advise
from checklist.core.measures import measures
from checklist.demo.rows import Change, Decide, Restart, Row, TakeBack, Tap
from checklist.tables import protocol_in_force

# The tablet looks four times a second; no advice of the demonstration is so near another.
LOOK_MS = 5000
# How long a page runs before its first tap.
FIRST_TAP_MS = 20_000


@dataclass
class Teller:
    """One device's log as it grows: device id, lines, and where the clocks stand (ms)."""

    device: str
    wall_ms: int
    log: str = field(default_factory=lambda: secrets.token_hex(16))
    lines: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._digest, self._protocol = protocol_in_force()
        self._case, self._events, self._folded = "", [], None
        self._begin_page()
        self._write("log_opened", {"device": self.device, "why": "first"})

    def tell(self, opened_ms: int, opening: dict, rows: list[Row]) -> str:
        """Tell one case from its opening at a wall time; gives its id."""
        self.wall_ms = opened_ms
        self._begin_page()
        self._case, self._events = secrets.token_hex(8), []
        self._write("case_opened", opening)
        for row in rows:
            self._pass(row.wait_s)
            self._do(row)
            self._look()
        return self._case

    def _do(self, row: Row) -> None:
        match row:
            case Tap():
                self._write(row.kind, row.facts, ago_s=row.ago_s)
            case TakeBack():
                self._write("withdrawn", self._target(row.kind))
            case Change():
                changes = {f"set_{name}": value for name, value in row.changes.items()}
                self._write("amended", self._target(row.kind) | changes)
            case Decide():
                found = verdict(self._folded, self._protocol)["verdict"]
                told = {"decision": row.decision, "verdict": found}
                self._write("decision_made", told | row.facts)
            case Restart():
                self._begin_page()

    def _target(self, kind: str) -> dict:
        event = next(event for event in reversed(self._events) if event["kind"] == kind)
        return {"target_log": event["log"], "target_seq": event["seq"]}

    def _begin_page(self) -> None:
        self._boot, self._tick_ms = secrets.token_hex(4), FIRST_TAP_MS

    def _pass(self, seconds: float) -> None:
        """Let time pass; only while the cup is on does it bring advice by itself."""
        ms = round(seconds * 1000)
        runs = measures(self._folded, self._stamp())["cup_running"]
        while ms > 0:
            step = min(ms, LOOK_MS) if runs else ms
            ms -= step
            self.wall_ms += step
            self._tick_ms += step
            if runs:
                self._look()

    def _look(self) -> None:
        found = advise(self._folded, self._protocol, self._stamp())
        for finding in to_show(self._folded, found):
            names = ("limit", "level", "message", "value", "bound")
            told = {name: finding[name] for name in names if finding[name] is not None}
            self._write("advice_shown", told)

    def _write(self, kind: str, facts: dict, *, ago_s: int = 0) -> None:
        event = {
            "log": self.log, "seq": len(self.lines) + 1, "case": self._case, "kind": kind,
            **self._stamp(), "ago": ago_s,
            # Where a log begins, no protocol was in force yet.
            "protocol": self._digest if self._case else "", "facts": facts,
        }
        self.lines.append(seal(event))
        if self._case:
            self._events.append(event)
            self._folded = fold(self._events)

    def _stamp(self) -> dict:
        return {"at": self.wall_ms, "boot": self._boot, "tick": self._tick_ms}

"""Tell births in the words of the trade; each telling is a list of sealed events.

A story is a value: every word gives a new one, so that two stories may share their
beginning. Times are seconds of the tablet's own clock unless a name says otherwise.
"""

import json
from dataclasses import dataclass, replace

from checklist.core.event import parse, seal
from checklist.core.units import pascals
from checklist.tables import protocol_in_force

# 23:50:00 UTC, so that ten minutes later it is another day.
START_MS = 1_764_114_600_000
LOG = "a" * 32
CASE = "c" * 16
BOOT = "b0000000"
CUP = {"cup": "soft", "mm": 60, "placement": "flexing_median"}
FULL = {"mmhg": 600_000, "kpa": 80_000, "kgf_cm2": 800, "bar": 800, "inhg": 23_600}


@dataclass(frozen=True)
class Story:
    """What was tapped so far, and where the tablet's clocks stand."""

    lines: tuple[str, ...] = ()
    log: str = LOG
    seq: int = 0
    boots: int = 0
    tick_ms: int = 0
    wall_ms: int = START_MS
    ago_s: int = 0

    @property
    def events(self) -> list[dict]:
        """The events as they are read back from their lines."""
        return [parse(line) for line in self.lines]

    @property
    def stamp(self) -> dict:
        """Where the tablet's clocks stand: {at, boot, tick}."""
        return {"at": self.wall_ms, "boot": f"b{self.boots:07x}", "tick": self.tick_ms}

    def now(self, seconds_later: float = 0) -> dict:
        """The stamp so many seconds after the last word."""
        return self.after(seconds_later).stamp

    def tells(self, kind: str, **facts: object) -> "Story":
        """Tell an event of any kind with any facts."""
        digest, _ = protocol_in_force()
        event = {
            "log": self.log,
            "seq": self.seq + 1,
            "case": CASE,
            "kind": kind,
            **self.stamp,
            "ago": self.ago_s,
            "protocol": digest,
            "facts": facts,
        }
        return replace(self, lines=(*self.lines, seal(event)), seq=self.seq + 1, ago_s=0)

    # Clocks.

    def after(self, seconds: float = 0, minutes: float = 0) -> "Story":
        """Let time pass on both clocks."""
        ms = round(seconds * 1000 + minutes * 60_000)
        return replace(self, tick_ms=self.tick_ms + ms, wall_ms=self.wall_ms + ms)

    def at(self, minutes: float) -> "Story":
        """Go on at so many minutes of the tablet's own clock, which began at 0."""
        return self.after(minutes * 60 - self.tick_ms / 1000)

    def ago(self, seconds: int) -> "Story":
        """Say of the next event that it happened so long before its tap."""
        return replace(self, ago_s=seconds)

    def sleeps(self, seconds: float) -> "Story":
        """Let the wall clock go on while the tablet's own clock stands still."""
        return replace(self, wall_ms=self.wall_ms + round(seconds * 1000))

    def reboots(self, after: float = 0) -> "Story":
        """Start the page again: a new run with its own clock at 0."""
        there = self.sleeps(after)
        return replace(there, boots=self.boots + 1, tick_ms=0)

    def writes_to(self, log: str) -> "Story":
        """Go on in another log of the same device."""
        return replace(self, log=log * 32, seq=0)

    # Corrections, of the nth event told, counted from 1, or from the last by -1.

    def withdraws(self, number: int) -> "Story":
        """Take an event back."""
        return self.tells("withdrawn", **self._target(number))

    def amends(self, number: int, **changes: object) -> "Story":
        """Change facts of an event; ``ago`` is one of them."""
        told = {f"set_{name}": value for name, value in changes.items()}
        return self.tells("amended", **self._target(number), **told)

    def _target(self, number: int) -> dict:
        line = self.lines[number - 1 if number > 0 else number]
        event = json.loads(line)
        return {"target_log": event["log"], "target_seq": event["seq"]}

    # Before.

    def opened(self, **facts: object) -> "Story":
        return self.tells("case_opened", **{"mode": "real", "altitude_m": 0, **facts})

    def answered(self, item: str, answer: str, **facts: object) -> "Story":
        return self.tells("check_answered", item=item, answer=answer, **facts)

    def answered_all(self, **other: str) -> "Story":
        """Answer every question with its first good answer, but for those named."""
        story = self
        for row in protocol_in_force()[1]["questions"]:
            if row.get("form") == "plan":
                continue
            story = _answer(story, row, other.get(row["id"]))
        return story.planned()

    def planned(self, next: str = "theatre_here", **facts: object) -> "Story":
        return self.tells("plan_agreed", next=next, **facts)

    def decided(self, decision: str = "proceed", verdict: str = "go") -> "Story":
        return self.tells("decision_made", decision=decision, verdict=verdict)

    # Cup.

    def cup_on(self, **facts: object) -> "Story":
        return self.tells("cup_applied", **{**CUP, **facts})

    def suction(self, stage: str, unit: str, reading: int) -> "Story":
        pa = pascals(unit, reading)
        return self.tells("suction_set", stage=stage, pa=pa, unit=unit, reading=reading)

    def first_suction(self) -> "Story":
        return self.suction("first", "kpa", 20_000)

    def working_suction(self, reading: int = 75_000) -> "Story":
        return self.suction("working", "kpa", reading)

    def swept(self, clear: str = "yes") -> "Story":
        return self.tells("rim_swept", clear=clear)

    def ready(self) -> "Story":
        """Put the cup on by the book, half a minute in all."""
        story = self.cup_on().after(10).first_suction().after(5).swept()
        return story.after(5).working_suction().after(10).swept()

    def cup_off(self, why: str = "birth") -> "Story":
        return self.tells("cup_removed", why=why)

    # Pulling.

    def begins(self) -> "Story":
        return self.tells("pull_began")

    def ends(self) -> "Story":
        return self.tells("pull_ended")

    def judged(self, descent: str) -> "Story":
        return self.tells("descent_judged", descent=descent)

    def pull(self, seconds: float = 40, descent: str | None = None, after: float = 120) -> "Story":
        """Wait for the contraction, pull in it, and judge it three seconds later."""
        story = self.after(after).begins().after(seconds).ends()
        return story.after(3).judged(descent) if descent else story

    def perineum(self) -> "Story":
        return self.tells("perineum_reached")

    def hiss(self) -> "Story":
        return self.tells("hiss_heard")

    def detached(self, cause: str = "leak") -> "Story":
        return self.tells("cup_detached", cause=cause)

    def scalp(self, finding: str = "whole") -> "Story":
        return self.tells("scalp_checked", finding=finding)

    def heart(self, bpm: int | None = 140, heard: str = "yes") -> "Story":
        facts = {} if bpm is None else {"bpm": bpm}
        return self.tells("fetal_heart_counted", heard=heard, **facts)

    # Advice and end.

    def shown(self, limit: str, level: str, message: str | None = None) -> "Story":
        message = message or f"limit.{limit}.{level}"
        return self.tells("advice_shown", limit=limit, level=level, message=message)

    def answers(self, limit: str, choice: str) -> "Story":
        return self.tells("advice_answered", limit=limit, choice=choice)

    def head_out(self) -> "Story":
        return self.tells("head_born")

    def born(self) -> "Story":
        return self.tells("baby_born", sex="girl")

    def stopped(self, why: str = "pulls") -> "Story":
        return self.tells("vacuum_stopped", why=why, next="theatre_here")

    def closed(self) -> "Story":
        return self.tells("case_closed", why="complete")

    # The hours after.

    def sees(self, what: str, answer: str) -> "Story":
        return self.tells("baby_observed", what=what, answer=answer)

    def measures(self, what: str, value: int) -> "Story":
        return self.tells("baby_observed", what=what, value=value)

    def looks(self, lane: str) -> "Story":
        """Tell a whole round of looking at mother or baby."""
        return self.tells(f"{lane}_observed", what="round")

    def gives(self, medicine: str, to: str = "mother") -> "Story":
        return self.tells("medicine_given", to=to, medicine=medicine)

    def apgar(self, minute: int, **points: int) -> "Story":
        return self.tells("apgar_scored", minute=minute, **points)

    def lowers(self, tier: int, by: str = "doctor") -> "Story":
        return self.tells("tier_lowered", tier=tier, by=by)


def a_case() -> Story:
    """A story of which nothing is told yet."""
    return Story()


def ready_to_pull(**facts: object) -> Story:
    """A case by the book, up to the moment before the first pull."""
    return a_case().opened(**facts).answered_all().decided().ready()


def _answer(story: Story, row: dict, given: str | None) -> Story:
    if row.get("form") == "label":
        return story.answered(row["id"], given or "bed 2")
    if given is None and "bands" in row:
        value = 140 if row["form"] == "bpm" else 273
        return story.answered(row["id"], "value", value=value)
    good = [answer["id"] for answer in row["answers"] if answer["verdict"] == "go"]
    return story.answered(row["id"], given or good[0])

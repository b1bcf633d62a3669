"""The taps of an invented birth, in phrases: questions, cup, pulls, care.

A phrase is a list of rows, each with the seconds since the row before. Advice is no
row: the teller sees to it. Knows no clock.
"""

from dataclasses import dataclass, replace

from checklist.core.units import pascals
from checklist.tables import protocol_in_force

# Where every post of the demonstration lies, in metres, and how far help is, in minutes.
ALTITUDE_M = 2400
HELP_MIN = 120
TERM_DAYS = 277
BPM = 138


@dataclass(frozen=True)
class Tap:
    """One event: seconds after the one before; ago is how many seconds earlier it was."""

    wait_s: float
    kind: str
    facts: dict
    ago_s: int = 0


@dataclass(frozen=True)
class TakeBack:
    """Take back the last event of a kind."""

    wait_s: float
    kind: str


@dataclass(frozen=True)
class Change:
    """Change facts of the last event of a kind; ago is one of them."""

    wait_s: float
    kind: str
    changes: dict


@dataclass(frozen=True)
class Decide:
    """Decide on the answers; the verdict is what the protocol makes of them."""

    wait_s: float
    decision: str
    facts: dict


@dataclass(frozen=True)
class Restart:
    """The tablet goes off and its page begins anew."""

    wait_s: float


Row = Tap | TakeBack | Change | Decide | Restart


def tap(wait_s: float, kind: str, **facts: object) -> Row:
    """Tell one event."""
    return Tap(wait_s, kind, facts)


def late(ago_s: int, row: Tap) -> Row:
    """Tell of a row that it happened so many seconds before its tap."""
    return replace(row, ago_s=ago_s)


def asked(bed: str, *, only: tuple[str, ...] = (), **other: str | int) -> list[Row]:
    """Answer every question well but those named; only: leave all others open."""
    rows: list[Row] = [tap(6, "check_answered", item="bed", answer=bed)]
    for number, row in enumerate(protocol_in_force()[1]["questions"]):
        if row["id"] == "bed" or (only and row["id"] not in only):
            continue
        # Nobody answers like a clock.
        wait_s = 3 + number * 7 % 5
        rows.append(_answer(wait_s, row, other.get(row["id"])))
    return rows


def _answer(wait_s: float, row: dict, given: str | int | None) -> Row:
    if row.get("form") == "plan":
        facts = {"next": given or "transfer", "minutes": HELP_MIN, "who": "assistant"}
        return Tap(wait_s + 8, "plan_agreed", facts)
    if "bands" in row and not isinstance(given, str):
        value = given or (BPM if row["form"] == "bpm" else TERM_DAYS)
        return tap(wait_s + 4, "check_answered", item=row["id"], answer="value", value=value)
    good = [answer["id"] for answer in row["answers"] if answer["verdict"] == "go"]
    return tap(wait_s, "check_answered", item=row["id"], answer=given or good[0])


def go(role: str = "midwife") -> list[Row]:
    """Decide to put the cup on."""
    return [Decide(6, "proceed", {"role": role})]


def cup(
    kind: str = "soft", mm: int = 60, working: int = 65_000, unit: str = "kpa",
    placement: str = "flexing_median",
) -> list[Row]:
    """Put the cup on by the book; working suction in thousandths of the gauge's unit."""
    first = {"kpa": 20_000, "mmhg": 150_000}[unit]
    bring = "step_fold" if kind == "soft" else "step_sideways"
    return [
        tap(12, "check_answered", item="cup_kind", answer=kind),
        tap(3, "check_answered", item="cup_mm", answer="value", value=mm),
        tap(9, "check_answered", item="step_wet", answer="done"),
        tap(7, "check_answered", item=bring, answer="done"),
        tap(14, "cup_applied", cup=kind, mm=mm, placement=placement),
        swept(8),
        suction(10, "first", unit, first),
        swept(9),
        suction(20, "working", unit, working),
        swept(8),
    ]


def swept(wait_s: float, clear: str = "yes") -> Row:
    """Sweep the rim."""
    return tap(wait_s, "rim_swept", clear=clear)


def suction(wait_s: float, stage: str, unit: str, reading: int) -> Row:
    """Read the gauge."""
    pa = pascals(unit, reading)
    return tap(wait_s, "suction_set", stage=stage, pa=pa, unit=unit, reading=reading)


def pull(wait_s: float, seconds: float, descent: str | None = "yes") -> list[Row]:
    """Pull once, so long after the row before, and judge it unless nobody did."""
    rows = begin(wait_s) + [tap(seconds, "pull_ended", source="key")]
    return rows + ([tap(3, "descent_judged", descent=descent)] if descent else [])


def pull_to_perineum(wait_s: float, seconds: float) -> list[Row]:
    """Pull once, with the head on the perineum at its end: one tap that says two things."""
    seen = [tap(3, "perineum_reached"), tap(0, "descent_judged", descent="yes")]
    return pull(wait_s, seconds, None) + seen


def begin(wait_s: float) -> list[Row]:
    """Begin a pull whose end is something else: the birth, or the cup coming off."""
    return [tap(wait_s, "pull_began", source="key")]


def heart(wait_s: float, bpm: int = BPM) -> Row:
    """Count the fetal heart, in beats a minute."""
    return tap(wait_s, "fetal_heart_counted", heard="yes", bpm=bpm)


def stopped(wait_s: float, limit: str, why: str) -> list[Row]:
    """Stop at the limit that says so, and call for the transfer."""
    return [
        tap(wait_s, "advice_answered", limit=limit, choice="stopped", role="midwife"),
        tap(0, "vacuum_stopped", why=why, next="transfer"),
        tap(12, "help_called", what="transfer", who="assistant"),
    ]


def born(wait_s: float, sex: str) -> list[Row]:
    """Head, cup off, baby; girl or boy is told a little later, as a change of the birth."""
    return [
        tap(wait_s, "head_born"),
        tap(8, "cup_removed", why="birth"),
        tap(40, "baby_born"),
        Change(25, "baby_born", {"sex": sex}),
    ]


def care(one: int = 8, five: int = 9, ten: int = 10) -> list[Row]:
    """Look after both for an hour and a quarter, with Apgar points at 1, 5 and 10 min."""
    return [
        _medicine(10, "oxytocin"),
        tap(28, "apgar_scored", minute=1, score=one),
        tap(241, "apgar_scored", minute=5, score=five),
        tap(80, "newborn_team_told"),
        tap(140, "placenta_delivered", complete="yes"),
        tap(82, "apgar_scored", minute=10, score=ten),
        tap(600, "mother_observed", what="antibiotic_allergy", answer="none"),
        _medicine(90, "antibiotic", allergy="none"),
        _medicine(2460, "vitamin_k"),
        tap(720, "case_closed", why="complete"),
    ]


def left(wait_s: float) -> list[Row]:
    """Take the cup off, listen, and leave for the theatre."""
    return [
        tap(wait_s, "cup_removed", why="stop"),
        heart(50),
        *gone(1500),
    ]


def gone(wait_s: float) -> list[Row]:
    """Leave for the theatre."""
    return [tap(wait_s, "transfer_left"), tap(120, "case_closed", why="transferred")]


def _medicine(wait_s: float, name: str, **facts: object) -> Row:
    table = protocol_in_force()[1]["medicines"]
    row = next(medicine for medicine in table if medicine["id"] == name)
    given = {fact: row[fact] for fact in ("to", "dose", "unit", "route")}
    return tap(wait_s, "medicine_given", medicine=name, **given, **facts)

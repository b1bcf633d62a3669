"""The tables of an export and what each column means: the data dictionary.

Ranges, choices and units come from the table of kinds, so that they are said once.
"""

from dataclasses import dataclass

from checklist.tables import kinds

NAME_PATTERN = "[a-z][a-z0-9_]{0,39}"
PSEUDONYM = "[0-9a-f]{20}"
MS, S = "ms", "s"


@dataclass(frozen=True)
class Column:
    """One column. type: string, integer, boolean or datetime; like: "kind.fact" it is taken from.

    needed: never empty; holds: "label" or "text" when it may name a person and is left
    out unless asked for; pattern: what a string must look like; most: longest string.
    """

    name: str
    type: str
    about: str
    unit: str = ""
    like: str = ""
    needed: bool = False
    holds: str = ""
    pattern: str = ""
    most: int = 0
    choices: tuple[str, ...] = ()
    least: int | None = None

    @property
    def spec(self) -> dict:
        """Give the row of the fact it is taken from, or nothing."""
        if not self.like:
            return {}
        kind, fact = self.like.split(".")
        return kinds()[kind]["facts"][fact]


@dataclass(frozen=True)
class Table:
    """One table: its columns, what names a row, and the table its rows belong to."""

    name: str
    about: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    within: str = ""
    within_key: tuple[str, ...] = ()


def _case(about: str = "The case the row belongs to.") -> Column:
    return Column("case", "string", about, needed=True, pattern=PSEUDONYM)


def _count(name: str, about: str) -> Column:
    return Column(name, "integer", about, "count", needed=True, least=0)


def _at(name: str, about: str, *, needed: bool = False) -> Column:
    return Column(name, "datetime", about, "UTC", needed=needed)


CASES = Table(
    "cases", "One row a case: one woman's birth, from thinking of vacuum to the end of the record.",
    (
        _case("Pseudonym of the case; the same in every export of one hub unless asked otherwise."),
        Column("device", "string", "Pseudonym of the tablet that told the case first.", needed=True, pattern=PSEUDONYM),
        Column("post", "string", "Name of the post, as set there.", most=60),
        Column("label", "string", "Bed or initials.", holds="label", most=60),
        _at("opened_at", "When the case was opened, by the tablet's clock."),
        _at("closed_at", "When it was closed."),
        Column("closed_why", "string", "Why it was closed.", like="case_closed.why"),
        Column("protocol", "string", "Digest of the protocol in force when the case was opened.", pattern="[0-9a-f]{0,64}"),
        Column("altitude_m", "integer", "Height of the post above sea level.", like="case_opened.altitude_m"),
        Column("decision", "string", "What was decided before a start, last told.", like="decision_made.decision"),
        Column("verdict", "string", "What the answers came to when it was decided.", like="decision_made.verdict"),
        Column("override", "string", "yes: started against the verdict, as recorded.", choices=("yes",)),
        Column("plan_next", "string", "Agreed plan if the vacuum fails.", pattern=NAME_PATTERN),
        Column("plan_minutes", "integer", "How far away that is.", like="plan_agreed.minutes"),
        Column("cup", "string", "Kind of the cup first put on.", like="cup_applied.cup"),
        Column("cup_mm", "integer", "Its size.", like="cup_applied.mm"),
        Column("placement", "string", "Where it lay on the head.", like="cup_applied.placement"),
        _count("applications", "Times a cup was recorded as put on."),
        _count("pulls", "Pulls recorded: all traction in one contraction is one."),
        _count("descent_pulls", "Pulls before the head was on the perineum."),
        _count("perineal_pulls", "Pulls with the head on the perineum."),
        _count("poor_pulls", "Last pulls in a row after which the head had not come down."),
        _count("unjudged_pulls", "Ended pulls of which nobody said whether the head came down, or was not sure."),
        _count("detachments", "Times the cup was recorded as having come off."),
        Column("cup_s", "integer", "Time from the first cup on to off for good, or to the last entry; empty without a cup.", S, least=0),
        Column("cup_s_least", "integer", "The least it can have been where a clock moved.", S, least=0),
        Column("cup_time", "string", "running: not off at the last entry; estimated: start not told; doubtful: a clock moved.", choices=("running", "estimated", "doubtful")),
        Column("traction_s", "integer", "Sum of all traction; empty without a pull.", S, least=0),
        Column("suction_pa", "integer", "Deepest suction recorded.", like="suction_set.pa"),
        _at("head_born_at", "When the head was born."),
        _at("baby_born_at", "When the baby was born."),
        Column("sex", "string", "Sex of the baby, as recorded.", like="baby_born.sex"),
        _at("stopped_at", "When the vacuum was stopped, unless it was gone on with."),
        Column("stopped_why", "string", "Why it was stopped.", like="vacuum_stopped.why"),
        Column("stopped_next", "string", "What was to happen next.", pattern=NAME_PATTERN),
        _at("left_at", "When mother and baby left for another place."),
        *(Column(f"apgar_{minute}", "integer", f"Apgar score at {minute} min, last told; built from its parts where those were told.", like="apgar_scored.score") for minute in (1, 5, 10)),
        Column("weight_g", "integer", "Birth weight: the first weight told.", "g", least=0),
        Column("scalp", "string", "Finding of the last look at the scalp under the cup.", like="scalp_checked.finding"),
        Column("tear", "string", "Grade of the tear, last told.", like="tear_graded.grade"),
        Column("blood_loss_ml", "integer", "Blood loss in all: the sum of what was told.", like="blood_loss_measured.ml"),
        Column("blood_loss_how", "string", "How it was found.", like="blood_loss_measured.how"),
        Column("placenta_complete", "string", "Whether the placenta is complete, last told.", like="placenta_delivered.complete"),
        _count("stops_shown", "Times the tablet advised to stop."),
        _count("late_entries", "Entries told later than they happened."),
        _count("oddities", "Entries that contradict others or the vocabulary."),
        _count("events", "Entries of the case, those taken back included."),
    ),
    ("case",),
)
ANSWERS = Table(
    "answers", "One row for each question of a case that was answered; the last answer counts.",
    (
        _case(),
        Column("question", "string", "Id of the question in the protocol.", needed=True, pattern=NAME_PATTERN),
        Column("answer", "string", "Id of the answer; value stands for a number; empty: the answer is free text.", pattern="[a-z0-9][a-z0-9_.]{0,39}"),
        Column("number", "integer", "The number told, in the unit of the question's row.", like="check_answered.value"),
    ),
    ("case", "question"), "cases", ("case",),
)
PULLS = Table(
    "pulls", "One row a pull, numbered in the order in which they began.",
    (
        _case(),
        Column("pull", "integer", "Number of the pull in its case.", needed=True, least=1),
        Column("phase", "string", "descent until the head is on the perineum, then perineal.", needed=True, choices=("descent", "perineal")),
        Column("began_ms", "integer", "When it began, since the first entry of the case.", MS, needed=True),
        Column("ended_ms", "integer", "When it ended; empty while it goes on.", MS),
        Column("end", "string", "told: its end was recorded; taken: it is taken from what came next; empty while it goes on.", choices=("told", "taken")),
        Column("traction_s", "integer", "Traction in it, rests left out; empty while it goes on.", S, least=0),
        Column("pieces", "integer", "Times traction was taken up in it.", "count", needed=True, least=1),
        Column("descent", "string", "Whether the head came down.", like="descent_judged.descent"),
        Column("came_off", "string", "yes: the cup came off in it, as recorded.", choices=("yes",)),
        Column("suction_pa", "integer", "Suction last read before it began.", like="suction_set.pa"),
    ),
    ("case", "pull"), "cases", ("case",),
)
EVENTS = Table(
    "events", "One row an entry of a case, in the order in which it happened.",
    (
        _case(),
        Column("event", "integer", "Number of the entry in its case, by the time it happened.", needed=True, least=1),
        Column("kind", "string", "What happened; unknown: told by a newer version.", needed=True, pattern=NAME_PATTERN),
        Column("group", "string", "The group of that kind.", pattern=NAME_PATTERN),
        _at("at", "When it happened, by the tablet's clock, told lateness taken off."),
        Column("ms", "integer", "The same on the clock of the case, which never runs backwards.", MS, needed=True),
        Column("ago_s", "integer", "How much earlier it happened than it was told.", S, needed=True, least=0),
        Column("taken_back", "boolean", "true: a later entry took it back.", needed=True),
        Column("changed", "boolean", "true: a later entry changed it; the row holds what stands.", needed=True),
        Column("doubts", "integer", "Times the clock was in doubt before it.", "count", needed=True, least=0),
    ),
    ("case", "event"), "cases", ("case",),
)
FACTS = Table(
    "facts", "One row for each fact of an entry: numbers, choices, and with --with-text what was typed.",
    (
        _case(),
        Column("event", "integer", "The entry it belongs to.", needed=True, least=1),
        Column("fact", "string", "Name of the fact in the table of kinds.", needed=True, pattern=NAME_PATTERN),
        Column("code", "string", "A choice or an id of the protocol; true or false for a flag.", pattern="[a-z0-9][a-zA-Z0-9_.-]{0,59}"),
        Column("number", "integer", "A whole number."),
        Column("unit", "string", "Its unit; the word scale: in the unit of the protocol's row.", most=40),
        Column("text", "string", "What somebody typed.", holds="text", most=2000),
    ),
    ("case", "event", "fact"), "events", ("case", "event"),
)
TABLES = (CASES, ANSWERS, PULLS, EVENTS, FACTS)


def kept(table: Table, holds: frozenset[str]) -> tuple[Column, ...]:
    """Give the columns of a table; what may name a person only when asked for."""
    return tuple(column for column in table.columns if not column.holds or column.holds in holds)


def package(holds: frozenset[str], about: str) -> dict:
    """Give the descriptor of all tables as a Frictionless data package."""
    return {
        "profile": "tabular-data-package",
        "name": "vacuum-births",
        "title": "Vacuum Birth Checklist: real cases",
        "description": about,
        "resources": [_resource(table, holds) for table in TABLES],
    }


def _resource(table: Table, holds: frozenset[str]) -> dict:
    schema: dict = {
        "fields": [_field(column) for column in kept(table, holds)],
        "missingValues": [""],
        "primaryKey": list(table.key),
    }
    if table.within:
        reference = {"resource": table.within, "fields": list(table.within_key)}
        schema["foreignKeys"] = [{"fields": list(table.within_key), "reference": reference}]
    return {
        "name": table.name,
        "profile": "tabular-data-resource",
        "path": f"{table.name}.csv",
        "description": table.about,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"lineTerminator": "\r\n"},
        "schema": schema,
    }


def _field(column: Column) -> dict:
    unit = column.unit or column.spec.get("unit", "")
    field = {"name": column.name, "type": column.type, "description": column.about}
    if unit:
        field["unit"] = unit
    bounds = _constraints(column)
    return field | ({"constraints": bounds} if bounds else {})


def _constraints(column: Column) -> dict:
    spec, found = column.spec, {}
    if column.needed:
        found["required"] = True
    if column.choices or "choices" in spec:
        found["enum"] = list(column.choices or spec["choices"])
    if column.pattern:
        found["pattern"] = column.pattern
    if column.most:
        found["maxLength"] = column.most
    if column.least is not None or "min" in spec:
        found["minimum"] = column.least if column.least is not None else spec["min"]
    if "max" in spec and column.type == "integer":
        found["maximum"] = spec["max"]
    return found

"""Write real cases into an SQLite file of their own, to be asked with SQL.

A new file that takes over what is named here, rather than a copy of the journal from
which secrets are removed: a table that somebody adds later, a key left in a freed page,
can then never leave by mistake. Practice cases, keys, accounts, sessions and codes stay.
"""

import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.export.chosen import Held, Reader
from checklist.export.columns import TABLES, Table
from checklist.export.csv_files import moment
from checklist.export.rows import ROWS

HOLDS = frozenset({"label", "text"})
TYPES = {"string": "text", "integer": "integer", "boolean": "integer", "datetime": "text"}
CASES_IN_ONE_COMMIT = 500
# Rows come by date and are kept by id, so more of the file is touched at once.
CACHE_KIB = 65_536
README = (
    ("what", "Real cases of a vacuum birth checklist, one row a case, answer, pull, entry and fact."),
    ("names", "Cases stand under their own ids, with bed or initials and what was typed: keep this file as you keep the records."),
    ("empty", "NULL means not recorded, and never no."),
    ("times", "Text in UTC, by the tablet's own clock; columns that end in _ms are milliseconds since the first entry of the case."),
    ("line", "Table line holds each entry byte for byte as its tablet wrote it. What proves it, chain and signature, is in the export of lines, which is complete."),
    ("columns", "Table dictionary says of every column what it means, its unit and its choices."),
    ("limits", "A memory aid and a record; it measures nothing itself."),
)
VIEWS = {
    "cases_by_month": "select post, substr(opened_at, 1, 7) as month, count(*) as cases,"
    " sum(pulls > 0 or applications > 0) as with_a_cup, sum(stopped_at is not null) as stopped,"
    " sum(baby_born_at is not null) as babies_born from cases group by post, month",
    "timeline": "select e.\"case\", e.event, e.at, e.ms, e.kind, e.taken_back,"
    " group_concat(f.fact || '=' || coalesce(f.code, f.number, f.text), ' ') as said"
    " from events e left join facts f on f.\"case\" = e.\"case\" and f.event = e.event"
    " group by e.\"case\", e.event",
    "pulls_in_each_case": "select \"case\", post, pulls, descent_pulls, perineal_pulls, detachments,"
    " cup_s / 60.0 as cup_min, traction_s / 60.0 as traction_min from cases where pulls > 0",
}


def write(reader: Reader, target: Path, told: Callable[[int], None]) -> int:
    """Write the chosen cases into a new file; told hears of each. Gives how many there are.

    The file appears under its name only when complete, and checked by opening it
    read-only. Raises journal_damaged when that check fails.
    """
    part = target.with_name(f"{target.name}.part")
    part.unlink(missing_ok=True)
    try:
        # Opened first, so that no one but its owner may ever read it.
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        written = _fill(part, reader, told)
        check(part)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return written


def check(path: Path) -> None:
    """Open a file read-only and let SQLite look through it; raises journal_damaged."""
    connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    try:
        said = [row[0] for row in connection.execute("pragma integrity_check")]
        said += ["foreign key"] * len(connection.execute("pragma foreign_key_check").fetchall())
    except sqlite3.DatabaseError as error:
        said = [str(error)]
    finally:
        connection.close()
    if said != ["ok"]:
        raise ChecklistError("journal_damaged", file=path.name, why=said[0])


def _fill(path: Path, reader: Reader, told: Callable[[int], None]) -> int:
    connection = sqlite3.connect(path, isolation_level=None)
    written = 0
    try:
        # A file that is thrown away when it fails needs no journal; the end is synced.
        connection.execute("pragma journal_mode = off")
        connection.execute("pragma synchronous = off")
        connection.execute(f"pragma cache_size = -{CACHE_KIB}")
        _make(connection)
        connection.execute("begin")
        for held in reader.cases():
            _add(connection, held)
            written += 1
            told(1)
            if written % CASES_IN_ONE_COMMIT == 0:
                connection.execute("commit")
                connection.execute("begin")
        connection.execute("commit")
    finally:
        connection.close()
    with path.open("rb") as done:
        os.fsync(done.fileno())
    return written


def _make(connection: sqlite3.Connection) -> None:
    connection.execute("create table readme (about text primary key, said text not null)")
    connection.executemany("insert into readme values (?, ?)", README)
    connection.execute(
        "create table dictionary (in_table text, name text, type text, unit text, choices text,"
        " meaning text, primary key (in_table, name))"
    )
    for table in TABLES:
        connection.execute(_sql(table))
        connection.executemany(
            "insert into dictionary values (?, ?, ?, ?, ?, ?)",
            [
                (
                    table.name, column.name, column.type, column.unit or column.spec.get("unit"),
                    " ".join(column.choices or column.spec.get("choices", ())) or None, column.about,
                )
                for column in table.columns
            ],
        )
    connection.execute(
        'create table line ("case" text not null references cases, log text not null,'
        " seq integer not null, line text not null)"
    )
    connection.execute('create index line_case on line ("case")')
    for name, query in VIEWS.items():
        connection.execute(f"create view {name} as {query}")


def _sql(table: Table) -> str:
    columns = [
        f'"{column.name}" {TYPES[column.type]}{" not null" if column.needed else ""}'
        for column in table.columns
    ]
    quoted = ", ".join(f'"{name}"' for name in table.key)
    columns.append(f"primary key ({quoted})")
    if table.within:
        within = ", ".join(f'"{name}"' for name in table.within_key)
        columns.append(f"foreign key ({within}) references {table.within}")
    return f"create table {table.name} ({', '.join(columns)}) without rowid"


def _add(connection: sqlite3.Connection, held: Held) -> None:
    for table in TABLES:
        marks = ", ".join("?" for _ in table.columns)
        connection.executemany(
            f"insert into {table.name} values ({marks})",
            [
                [
                    (moment(row[column.name]) or None) if column.type == "datetime" else row[column.name]
                    for column in table.columns
                ]
                for row in ROWS[table.name](held.case, held.case_id, held.device)
            ],
        )
    connection.executemany(
        "insert into line values (?, ?, ?, ?)",
        [
            (held.case_id, event["log"], event["seq"], line)
            for event, line in zip(held.events, held.lines, strict=True)
        ],
    )

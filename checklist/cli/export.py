"""checklist export: write events out as they were stored; below it the exports of cases."""

import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from checklist.cli.common import NO_INPUT, Refusal, data_options, open_existing, unwritable
from checklist.cli.export_cases import csv_export, fhir_export, sqlite_export
from checklist.whole_files import WholeFiles


@click.group(invoke_without_command=True)
@click.option("--case", "case_id", help="Only this case, instead of everything.")
@click.option(
    "--to", "target", type=click.Path(path_type=Path, dir_okay=False),
    help="File to write; it appears only when complete.  [default: standard output]",
)
@data_options
@click.pass_context
def export(
    context: click.Context, case_id: str | None, target: Path | None, data: Path, demo: bool
) -> None:
    """Export events as JSON lines, byte for byte as the devices wrote them.

    With csv, fhir or sqlite: real cases in that form, each with its own --help.

    \b
    Examples:
      checklist export --to all.jsonl
      checklist export --case 1f2e3d4c5b6a7988 > case.jsonl
    \b
    Exit codes:
      0   everything was written
      2   wrong use
      66  there is no journal, or no such case
      73  the file cannot be written
    """
    if context.invoked_subcommand:
        return
    journal = open_existing(data, demo)
    try:
        count = _count(journal.reader, case_id)
        if case_id and not count:
            raise Refusal(f"The journal holds no case {case_id}.", NO_INPUT)
        with _opened(target) as out, _progress(count, target) as bar:
            for line in _lines(journal.reader, case_id):
                out.write(line.encode() + b"\n")
                bar.update(1)
    except BrokenPipeError:
        # The reader, a pager for instance, has seen enough.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    except OSError as error:
        raise unwritable(target, error) from error
    finally:
        journal.close()
    if target:
        click.echo(f"wrote {count} events to {target}")


for command in (csv_export, fhir_export, sqlite_export):
    export.add_command(command)


def _count(reader: sqlite3.Connection, case_id: str | None) -> int:
    if case_id:
        query, values = "select count(*) from event where case_id = ?", (case_id,)
    else:
        query, values = "select count(*) from event", ()
    return reader.execute(query, values).fetchone()[0]


def _lines(reader: sqlite3.Connection, case_id: str | None) -> Iterator[str]:
    where, values = ("where case_id = ?", (case_id,)) if case_id else ("", ())
    for row in reader.execute(
        f"select line from event {where} order by log_no, seq, event_no", values
    ):
        yield row["line"]


def _progress(count: int, target: Path | None):
    # On standard output a bar would stand among the lines.
    return click.progressbar(
        length=count, label="exporting", hidden=target is None, file=sys.stderr
    )


@contextmanager
def _opened(target: Path | None) -> Iterator:
    if target is None:
        yield sys.stdout.buffer
        return
    with WholeFiles() as files:
        yield files.open(target)

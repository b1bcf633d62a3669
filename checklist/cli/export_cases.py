"""checklist export csv|fhir|sqlite: real cases in open forms, with progress, written down."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import click

from checklist import station, trail
from checklist.cli.common import NO_INPUT, Refusal, data_options, open_existing, unwritable
from checklist.export import csv_files, fhir, sqlite_file
from checklist.export.chosen import Filter, Reader
from checklist.export.pseudonym import Pseudonyms
from checklist.journal import Journal
from checklist.web.parts import Parts

DAY = click.DateTime(["%Y-%m-%d"])
STEP = 100


def _choosing(command: Callable) -> Callable:
    """Add what every one of these commands asks: which post, which days, which journal."""
    for option in (
        click.option("--to", "last", type=DAY, help="Last day on which a case was opened, by UTC."),
        click.option("--from", "first", type=DAY, help="First day, by UTC."),
        click.option("--post", help="Only this post.  [default: every post]"),
    ):
        command = option(command)
    return data_options(command)


def _naming(command: Callable) -> Callable:
    return click.option(
        "--new-names", is_flag=True,
        help="Pseudonyms of this export alone, so that nobody can join it to another.",
    )(command)


@click.command("csv")
@click.option(
    "--out", required=True, type=click.Path(path_type=Path, file_okay=False),
    help="Folder to write the tables into.",
)
@click.option("--with-labels", is_flag=True, help="With bed or initials.")
@click.option("--with-text", is_flag=True, help="With what people typed: notes, reasons, places.")
@_naming
@_choosing
def csv_export(
    out: Path, with_labels: bool, with_text: bool, new_names: bool, post: str | None,
    first: datetime | None, last: datetime | None, data: Path, demo: bool,
) -> None:
    """Write real cases as CSV tables with a data dictionary, datapackage.json.

    An empty cell means not recorded, and never no. Cases stand under pseudonyms,
    the same in every export of one hub; bed, initials and typed text are left out.

    \b
    Examples:
      checklist export csv --out cases-2026 --from 2026-01-01 --to 2026-12-31
      checklist export csv --out for-ministry --new-names
    \b
    Exit codes:
      0   everything was written
      2   wrong use
      66  there is no journal, or no such case
      73  the files cannot be written
    """
    holds = frozenset(
        name for name, asked in (("label", with_labels), ("text", with_text)) if asked
    )
    chosen = _filter(post, first, last)
    kind = " ".join(["csv", *sorted(f"with-{name}" for name in holds)])
    with _opened(data, demo, kind, chosen, out) as (journal, reader, told):
        names = _names(journal, new_names)
        written = csv_files.write_folder(reader, names, out, holds, told)
    click.echo(f"wrote {written} cases to {out}")


@click.command("fhir")
@click.option(
    "--out", required=True, type=click.Path(path_type=Path),
    help="File for one Bundle; with --bulk a folder for one file a type.",
)
@click.option("--bulk", is_flag=True, help="NDJSON, one file a resource type, for bulk import.")
@click.option("--case", "case_id", help="Only this case.")
@_naming
@_choosing
def fhir_export(
    out: Path, bulk: bool, case_id: str | None, new_names: bool, post: str | None,
    first: datetime | None, last: datetime | None, data: Path, demo: bool,
) -> None:
    """Write real cases as FHIR R4 resources: a Bundle, or NDJSON files.

    Mothers and babies have no names; what was not recorded is absent and never no.

    \b
    Examples:
      checklist export fhir --out case.json --case 1f2e3d4c5b6a7988
      checklist export fhir --out bulk --bulk --from 2026-01-01
    \b
    Exit codes:
      0   everything was written
      2   wrong use
      66  there is no journal, or no such case
      73  the files cannot be written
    """
    chosen = _filter(post, first, last, case_id)
    with _opened(data, demo, "fhir bulk" if bulk else "fhir", chosen, out) as (journal, reader, told):
        names, now = _names(journal, new_names), Parts.now()
        if bulk:
            written = fhir.write_bulk(reader, names, now, out, told)
        else:
            written = fhir.write_bundle(reader, names, now, out, told)
    click.echo(f"wrote {written} cases to {out}")


@click.command("sqlite")
@click.option(
    "--out", required=True, type=click.Path(path_type=Path, dir_okay=False), help="File to write.",
)
@_choosing
def sqlite_export(
    out: Path, post: str | None, first: datetime | None, last: datetime | None,
    data: Path, demo: bool,
) -> None:
    """Write real cases into an SQLite file with tables, views and a dictionary.

    It holds bed or initials and what was typed: keep it as you keep the records.
    Keys, accounts and practice cases are not in it.

    \b
    Example:
      checklist export sqlite --out cases.sqlite3 --post "Hill post"
    \b
    Exit codes:
      0   everything was written
      2   wrong use
      66  there is no journal, or no such case
      73  the file cannot be written
    """
    chosen = _filter(post, first, last)
    with _opened(data, demo, "sqlite", chosen, out) as (_, reader, told):
        written = sqlite_file.write(reader, out, told)
    click.echo(f"wrote {written} cases to {out}")


def _filter(
    post: str | None, first: datetime | None, last: datetime | None, case_id: str | None = None
) -> Filter:
    if first and last and last < first:
        raise click.UsageError("The last day lies before the first.")
    return Filter.of_days(post, first and first.date(), last and last.date(), case_id)


def _names(journal: Journal, new_names: bool) -> Pseudonyms:
    if new_names:
        return Pseudonyms.of_one_export()
    identity = journal.write(lambda store: station.found(store, Parts.now()))
    return Pseudonyms.of_hub(identity.private_key)


@contextmanager
def _opened(
    data: Path, demo: bool, kind: str, chosen: Filter, out: Path
) -> Iterator[tuple[Journal, Reader, Callable[[int], None]]]:
    """Open the journal, choose, write down that this leaves, and show how far it is."""
    journal = open_existing(data, demo)
    try:
        reader = Reader(journal.path, chosen)
        try:
            if chosen.case_id and not reader.count:
                raise Refusal(f"The journal holds no real case {chosen.case_id}.", NO_INPUT)
            _check_place(out)
            target = f"{kind}: {chosen}, cases={reader.count}"
            journal.write(
                lambda store: trail.note(store.connection, "", "exported", target, Parts.now())
            )
            with click.progressbar(
                length=reader.count, label="exporting", file=sys.stderr, update_min_steps=STEP
            ) as bar:
                yield journal, reader, bar.update
        finally:
            reader.close()
    except OSError as error:
        raise unwritable(out, error) from error
    finally:
        journal.close()


def _check_place(out: Path) -> None:
    """Refuse a place that cannot be written before anything is written down as exported."""
    if not os.access(out if out.is_dir() else out.absolute().parent, os.W_OK):
        raise PermissionError(f"no folder {out.absolute().parent} that may be written to")

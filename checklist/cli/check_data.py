"""checklist check-data: look through the journal for damage."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from checklist import summary
from checklist.audit import find_damage
from checklist.cli.common import data_options, open_existing

STEP = 1000


@click.command("check-data")
@click.option("--rebuild", is_flag=True, help="First make the list of cases again from the events.")
@data_options
def check_data(rebuild: bool, data: Path, demo: bool) -> None:
    """Check every event of the journal: chains, numbers, signatures, owners.

    Nothing is ever repaired or removed; only the list of cases, which is made
    from the events, can be made again with --rebuild.

    \b
    Examples:
      checklist check-data
      checklist check-data --rebuild --data /srv/checklist
    \b
    Exit codes:
      0   everything is as it must be
      1   something is wrong; each finding is one line
      2   wrong use
      66  there is no journal
      70  the file is no journal any more
    """
    journal = open_existing(data, demo)
    try:
        reader = journal.reader
        if rebuild:
            cases = reader.execute("select count(distinct case_id) from event").fetchone()[0]
            with _bar(cases, "making the list") as told:
                journal.write(lambda store: summary.rebuild(store.connection, told))
        events = reader.execute("select count(*) from event").fetchone()[0]
        with _bar(events, "checking") as told:
            damage = list(find_damage(reader, told))
    finally:
        journal.close()
    for finding in damage:
        click.echo(finding)
    click.echo(f"{events} events checked, {len(damage)} findings")
    if damage:
        raise SystemExit(1)


@contextmanager
def _bar(length: int, label: str) -> Iterator[Callable[[int], None]]:
    with click.progressbar(
        length=length, label=label, file=sys.stderr, update_min_steps=STEP
    ) as bar:
        yield bar.update

"""checklist retain: let births go by the rule of this hub."""

import re
import sys
from pathlib import Path

import click

from checklist import retention
from checklist.cli.common import data_options, open_existing
from checklist.web.parts import Parts

AGE = re.compile(r"([1-9][0-9]{0,4})d")


def _days(_ctx: click.Context, _param: click.Parameter, said: str) -> int:
    found = AGE.fullmatch(said)
    if found is None or int(found[1]) < retention.LEAST_DAYS:
        raise click.BadParameter(f"write days, at least {retention.LEAST_DAYS}d, for instance 730d")
    return int(found[1])


@click.command()
@click.option(
    "--older-than", "days", required=True, callback=_days, metavar="DAYS",
    help="Let births go whose last entry is older, for instance 730d.",
)
@click.option("--do/--dry-run", "really", default=False, help="Let go; only say it by default.")
@click.option(
    "--no-level-above", "said_alone", is_flag=True,
    help="There is no level above this hub, and nobody else will hold these births.",
)
@data_options
def retain(days: int, really: bool, said_alone: bool, data: Path, demo: bool) -> None:
    """Let go births that are older than a rule says and that the level above holds.

    All of a birth goes: every entry and its rows in the lists. Its hashes and
    signatures stay, so that the logs can go on and nothing comes back by being
    sent again; the sums of its month stay too.

    \b
    Examples:
      checklist retain --older-than 730d
      checklist retain --older-than 730d --do
    \b
    Exit codes:
      0   done, or said what would be done
      2   wrong use
      65  no level above has said that it holds anything
      66  there is no journal
      70  the journal is damaged
    """
    journal = open_existing(data, demo)
    try:
        before = Parts.now() - days * retention.DAY_MS
        found = retention.plan(journal.reader, before, said_alone=said_alone)
        if really:
            with click.progressbar(
                length=len(found.cases), label="letting go", file=sys.stderr
            ) as bar:
                found = retention.run(
                    journal, before, Parts.now(), said_alone=said_alone, told=bar.update
                )
    finally:
        journal.close()
    verb = "let go" if really else "would let go"
    click.echo(f"{verb} {len(found.cases)} births with {found.events} events")
    if found.unheld:
        click.echo(f"{found.unheld} older births stay: the level above has not said that it holds them")

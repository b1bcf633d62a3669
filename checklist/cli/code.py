"""checklist code: make a one-time code that lets a device or a station in."""

import time
from pathlib import Path

import click

from checklist.cli.common import data_options, open_station


@click.command()
@data_options
def code(data: Path, demo: bool) -> None:
    """Make a code for one tablet, or for one station that is to report here.

    It is good for ten minutes and once; five wrong tries void it.

    \b
    Example:
      checklist code
    \b
    Exit codes:
      0   the code is on the standard output
      2   wrong use
      66  there is no journal
    """
    from checklist.admission import make_code

    with open_station(data, demo) as (journal, identity):
        made = make_code(journal, identity, "", time.time_ns() // 1_000_000)
    click.echo(f"{made[:4]}-{made[4:]}")

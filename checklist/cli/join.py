"""checklist join: make another station the hub of this one."""

import time
from pathlib import Path

import click

from checklist.cli.common import data_options, open_station


@click.command()
@click.argument("url")
@click.argument("code")
@click.option("--name", default="", help="What the hub's people call this station.")
@click.option(
    "--authority", type=click.Path(path_type=Path, dir_okay=False, exists=True),
    help="Certificates (PEM) to trust for this hub instead of the system's.",
)
@data_options
def join(
    url: str, code: str, name: str, authority: Path | None, data: Path, demo: bool
) -> None:
    """Report to the hub at URL from now on, let in by a CODE that was made there.

    The code is good for ten minutes and once. Compare the hub's letters that
    are shown with those on its page of devices. Everything recorded before goes along.

    \b
    Example:
      checklist join https://hub.example.org K7QH-2M9D --name "Hill post"
    \b
    Exit codes:
      0   joined
      2   wrong use
      64  plain http to another machine
      66  there is no journal
      69  the hub cannot be reached
      75  too many wrong codes were tried there
      76  what answered did not prove that it knows the code
      77  the code does not fit, or this station was retired there
    """
    from checklist import upstream

    with open_station(data, demo) as (journal, identity):
        hub_id = upstream.join(
            journal, identity, url=url.rstrip("/"), code=code, name=name,
            authority=str(authority.resolve()) if authority else "",
            now=time.time_ns() // 1_000_000,
        )
    click.echo(f"Joined the hub {hub_id[:4]} {hub_id[4:8]} at {url}.")

"""checklist invent: fill an empty folder with invented cases."""

import sys
from pathlib import Path

import click

from checklist.cli.common import CANNOT_WRITE, Refusal, unwritable


@click.command()
@click.option(
    "--data", type=click.Path(path_type=Path, file_okay=False), required=True,
    help="Folder to fill: an empty one, or one that this command filled before.",
)
@click.option("--cases", default=1000, show_default=True, type=click.IntRange(1, 1_000_000), help="Births.")
@click.option("--posts", default=20, show_default=True, type=click.IntRange(1, 10_000), help="Posts, each with a tablet.")
@click.option("--months", default=36, show_default=True, type=click.IntRange(1, 600), help="Time over which they are spread.")
@click.option("--seed", default=0, show_default=True, help="The same seed makes the same births.")
def invent(data: Path, cases: int, posts: int, months: int, seed: int) -> None:
    """Fill a folder with invented cases, to try the review with as many as will come.

    They play in the Velinda Highlands, which are on no map. Every page of a station
    that serves such a folder says that its cases are invented; they are real in
    nothing but their mode, so that the review counts them.

    \b
    Example:
      checklist invent --data invented --cases 10000 --posts 100
    \b
    Exit codes:
      0   the cases are in the journal
      2   wrong use
      70  the journal or the language files are damaged
      73  the folder cannot be written, or holds what is not invented
    """
    # Loaded here, so that the other commands and every --help stay quick.
    from checklist import create_app
    from checklist.config import Settings
    from checklist.demo.invented import claim, fill
    from checklist.web.parts import NAME

    try:
        claimed = claim(data)
    except OSError as error:
        raise unwritable(data, error) from error
    if not claimed:
        raise Refusal(f"{data} holds something that is not invented: nothing was changed.", CANNOT_WRITE)
    app = create_app(Settings(data=data, demo=True))
    try:
        with click.progressbar(length=cases, label="cases", file=sys.stderr) as bar:
            events = fill(app, posts, cases, months, seed, bar.update)
    finally:
        app.extensions[NAME].journal.close()
    click.echo(f"{cases} cases, {posts} posts, {events} events in {data}")

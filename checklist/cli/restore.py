"""checklist restore: go on after the folder was put back from a backup."""

import time
from pathlib import Path

import click

from checklist.cli.common import Refusal, data_options, open_station
from checklist.errors import ERRORS, ChecklistError


@click.command()
@click.option("--alone", is_flag=True, help="Go on although the hub cannot be reached.")
@data_options
def restore(alone: bool, data: Path, demo: bool) -> None:
    """Go on after the folder of this station was put back from a backup.

    Run it once, with the station stopped and before it serves again. It fetches from
    the hub what the backup lacks, and begins new logs for what this station says, since
    it cannot know what it said after the backup. The tablets send again by themselves
    what was lost here.

    \b
    Example:
      checklist restore
    \b
    Exit codes:
      0   the station may serve again
      2   wrong use
      66  there is no journal
      69  the hub cannot be reached; nothing was changed
      76  what answered is not the hub that was joined
      77  the hub takes nothing from this station any more
    """
    from checklist import peer, station, trail, upstream
    from checklist.store import SqliteStore

    def now() -> int:
        return time.time_ns() // 1_000_000

    with open_station(data, demo) as (journal, identity):
        back = 0
        if peer.read(journal.reader) and not alone:
            try:
                back = upstream.session(journal, identity, now).fetched
            except ChecklistError as error:
                raise Refusal(
                    f"The hub could not give back what this copy lacks ({error.code}). Nothing was changed."
                    " Try again where it is in reach, or go on without it by --alone.",
                    ERRORS[error.code].exit,
                ) from error

        def work(store: SqliteStore) -> None:
            trail.note(store.connection, "", "restored", f"{back} came back", now())
            station.renew(store, identity, now())

        journal.write(work)
    click.echo(f"{back} events came back from the hub. The station goes on in a new log.")

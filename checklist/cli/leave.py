"""checklist leave: report to no hub any more."""

import time
from pathlib import Path

import click

from checklist.cli.common import data_options, open_station


@click.command()
@data_options
def leave(data: Path, demo: bool) -> None:
    """Report to no hub any more.

    All that was recorded stays here, and so does what the hub said. To report again,
    join with a new code; then everything goes there that it does not hold.

    \b
    Example:
      checklist leave
    \b
    Exit codes:
      0   this station reports to nobody
      2   wrong use
      66  there is no journal, or no hub was joined
    """
    from checklist import peer, relay_state, trail
    from checklist.store import SqliteStore

    with open_station(data, demo) as (journal, _):
        waiting = relay_state.waiting(journal.reader)["count"]

        def work(store: SqliteStore) -> dict:
            hub = peer.leave(store.connection)
            now = time.time_ns() // 1_000_000
            trail.note(store.connection, "", "hub_left", f"{hub['hub_id']} {hub['url']}", now)
            return hub

        hub = journal.write(work)
    click.echo(f"Left the hub {hub['hub_id'][:4]} {hub['hub_id'][4:8]} at {hub['url']}.")
    if waiting:
        click.echo(f"{waiting} entries had not reached it; they stay here.")

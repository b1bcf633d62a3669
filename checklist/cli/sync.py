"""checklist sync: send the hub what it lacks, and fetch what it says."""

import time
from pathlib import Path

import click

from checklist.cli.common import Refusal, data_options, open_station

REFUSED = 65


@click.command()
@data_options
def sync(data: Path, demo: bool) -> None:
    """Hold one session with the hub of this station.

    Nothing is ever lost by a session that breaks off: the next goes on from there.

    \b
    Example:
      checklist sync
    \b
    Exit codes:
      0   the hub holds everything
      65  the hub refused some of it; it stays here
      66  there is no journal, or no hub was joined
      69  the hub cannot be reached
      74  the disk here or there is full
      75  the hub is busy; try again later
      76  what answered is not the hub that was joined
      77  the hub no longer takes anything from this station
    """
    from checklist import relay_state, upstream

    with open_station(data, demo) as (journal, identity):
        report = upstream.session(
            journal, identity, lambda: time.time_ns() // 1_000_000, told=_progress
        )
        left = relay_state.waiting(journal.reader)
    click.echo(f"Sent {report.sent} events, fetched {report.fetched}.")
    _tell_words(report.packs)
    kept = left["count"] + left["kept_back"]
    if report.settled and not kept:
        click.echo("The hub holds everything.")
        return
    reasons = sorted(set(report.refused.values())) or ["device_retired"]
    raise Refusal(f"Not at the hub, kept here: {kept} ({', '.join(reasons)}).", REFUSED)


def _tell_words(report) -> None:
    if report.came:
        click.echo(f"Words came into force: {', '.join(report.came)}.")
    refused = [f"{tag} ({code})" for tag, code in report.refused.items()]
    if report.failure or report.waits:
        refused.append(report.failure or "more next time")
    if refused:
        click.echo(f"Words that did not come yet: {', '.join(refused)}.")


def _progress(report) -> None:
    click.echo(f"{report.sent} events sent", err=True)

"""checklist certificate: make the certificate by which tablets know this station."""

from datetime import UTC, datetime
from pathlib import Path

import click

from checklist import certificate as made
from checklist.cli.common import chosen_folder, data_options


@click.command()
@click.argument("names", nargs=-1)
@click.option(
    "--new", "anew", is_flag=True,
    help="Make a new authority: every tablet must then be told to trust it again.",
)
@data_options
def certificate(names: tuple[str, ...], anew: bool, data: Path, demo: bool) -> None:
    """Make or renew the certificate for NAMES, the names and addresses of this machine.

    Without NAMES those that can be found are taken: host name, the same with
    .local, addresses on the local network. The first time a local authority is
    made too, good for ten years; tablets trust it once (see /trust). It can vouch
    for .local, for private addresses and for the names that it was made with,
    and for nothing else. The certificate itself is good for 397 days: run this
    command again to renew it, and start the station again.

    \b
    Examples:
      checklist certificate
      checklist certificate hill-post.local 192.168.4.1
      checklist serve --host 0.0.0.0
    \b
    Exit codes:
      0   made or renewed
      2   wrong use
      66  the authority's key cannot be read
      73  the folder cannot be written, or the authority may not vouch for a name
    """
    folder = chosen_folder(data, demo)
    try:
        wanted = made.read_names(list(names) or made.found_names())
    except ValueError as error:
        raise click.BadParameter(f"{error} is neither a name nor an address", param_hint="NAMES") from None
    now = datetime.now(UTC)
    if anew or made.authority_of(folder) is None:
        made.make_authority(folder, wanted, now, anew=anew)
        click.echo("Made a new authority.")
    leaf = made.make_leaf(folder, wanted, now)
    click.echo(f"The certificate is for {', '.join(made.names_in(leaf))}")
    click.echo(f"and good until {leaf.not_valid_after_utc:%Y-%m-%d}; it lies in {made.folder_of(folder)}")
    authority = made.authority_of(folder)
    click.echo(f"Fingerprint (SHA-256) of the authority: {made.fingerprint(authority)}")

"""checklist serve: run the station."""

import signal
from pathlib import Path

import click
from flask import Flask

from checklist import accounts
from checklist.cli.common import chosen_folder, data_options
from checklist.config import Settings
from checklist.web.local import is_loopback
from checklist.web.parts import NAME, ROUNDS


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port", default=8765, show_default=True, type=click.IntRange(0, 65535),
    help="Port to listen on; 0 takes any free one.",
)
@data_options
@click.option(
    "--certificate", type=click.Path(path_type=Path, dir_okay=False),
    help="Certificate chain (PEM); its key lies beside it with the ending .key.",
)
def serve(
    host: str, port: int, data: Path, demo: bool, certificate: Path | None
) -> None:
    """Serve the checklist to this machine, or with a certificate to the network.

    Plain http is refused for any address but loopback: browsers give a page
    from there neither offline work nor keys.

    \b
    Examples:
      checklist serve
      checklist serve --demo
      checklist serve --host 0.0.0.0 --certificate post.pem
    \b
    Exit codes:
      0   stopped by Ctrl-C or a signal
      2   wrong use
      64  an address on the network without a certificate
      66  the certificate or its key cannot be read
      69  the address is in use
      70  the journal or the language files are damaged
      73  the data folder cannot be written
    """
    # Loaded here, so that the other commands and every --help stay quick.
    from checklist import create_app, server
    from checklist.demo import fill

    settings = Settings(
        data=chosen_folder(data, demo), demo=demo, host=host, port=port, certificate=certificate
    )
    server.refuse_plain_network(settings)
    app = create_app(settings)
    try:
        listening = server.prepare(app, settings)
        if demo:
            fill(app)
        address = server.address(listening, settings)
        _report_upward(app)
        _serve(listening, address, settings, _first_link(app, address))
    finally:
        if ROUNDS in app.extensions:
            app.extensions[ROUNDS].stop()
        app.extensions[NAME].journal.close()


def _report_upward(app: Flask) -> None:
    """Hold sessions with the hub, if one was joined, beside all else."""
    from checklist import upstream
    from checklist.rounds import Rounds

    shared = app.extensions[NAME]
    app.extensions[ROUNDS] = Rounds(
        lambda: upstream.session(shared.journal, shared.identity, shared.now)
    )
    app.extensions[ROUNDS].start()


def _first_link(app: Flask, address: str) -> str | None:
    """Give the link by which the first account is made; at a loopback-only station none is needed."""
    from checklist import accounts
    from checklist.web.local import is_loopback

    shared = app.extensions[NAME]
    if is_loopback(shared.settings.host) or shared.settings.demo:
        return None
    now = shared.now()
    token = shared.journal.write(lambda store: accounts.first_link(store.connection, now))
    return token and f"{address}station/account/link/{token}"


def _serve(listening, address: str, settings: Settings, first: str | None) -> None:
    # A service manager's signal ends the station like Ctrl-C does.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        click.echo(f"The checklist is at {address}")
        if first:
            click.echo(f"There is no account yet. Make the first one, once, within a day: {first}")
        click.echo(f"Its journal is in {settings.data}. Press Ctrl-C to stop.")
        listening.serve()
    except KeyboardInterrupt:
        click.echo("Stopped.")
    finally:
        listening.stop()

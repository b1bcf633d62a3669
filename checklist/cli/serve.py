"""checklist serve: run the station."""

import signal
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread

import click
from flask import Flask

from checklist import accounts
from checklist import certificate as made
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
    help="Certificate chain (PEM); its key lies beside it with the ending .key."
    "  [default: that of checklist certificate]",
)
@click.option(
    "--plain-port", type=click.IntRange(0, 65535),
    help="Port on which plain http explains itself.  [default: one above --port]",
)
def serve(
    host: str, port: int, data: Path, demo: bool, certificate: Path | None, plain_port: int | None
) -> None:
    """Serve the checklist to this machine, or with a certificate to the network.

    Plain http is refused for any address but loopback: browsers give a page
    from there neither offline work nor keys. With the certificate that
    checklist certificate made, a plain door beside it explains how a tablet
    comes to trust this station, and lets nobody in.

    \b
    Examples:
      checklist serve
      checklist serve --demo
      checklist serve --host 0.0.0.0
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

    folder = chosen_folder(data, demo)
    if certificate is None and not is_loopback(host):
        certificate = made.kept(folder)
    settings = Settings(data=folder, demo=demo, host=host, port=port, certificate=certificate)
    server.refuse_plain_network(settings)
    app = create_app(settings)
    try:
        listening = server.prepare(app, settings)
        if demo:
            fill(app)
        address = server.address(listening, settings)
        _report_upward(app)
        with _plain_door(app, settings, listening, plain_port) as door:
            _serve(listening, address, settings, _first_link(app, address), door)
    finally:
        if ROUNDS in app.extensions:
            app.extensions[ROUNDS].stop()
        app.extensions[NAME].journal.close()


@contextmanager
def _plain_door(app: Flask, settings: Settings, listening, port: int | None):
    """Hold the plain door open beside a station with a certificate of its own authority."""
    from checklist import server

    own = settings.certificate is not None and settings.certificate == made.kept(settings.data)
    if not own or is_loopback(settings.host):
        yield None
        return
    _warn_of_end(settings.certificate)
    above = listening.bind_addr[1] + 1 if settings.port else 0
    door = server.prepare_door(app, settings, listening, above if port is None else port)
    thread = Thread(target=door.serve, name="plain door", daemon=True)
    thread.start()
    try:
        yield door.bind_addr[1]
    finally:
        door.stop()
        thread.join()


def _warn_of_end(certificate: Path) -> None:
    left = made.days_left(certificate, datetime.now(UTC))
    if left < made.WARN_DAYS:
        said = f"is good for {left} more days" if left >= 0 else "is good no more"
        click.echo(f"The certificate {said}: run checklist certificate.", err=True)


def _report_upward(app: Flask) -> None:
    """Hold sessions with the hub, if one was joined, beside all else."""
    from checklist import upstream
    from checklist.rounds import Rounds

    shared = app.extensions[NAME]

    def work() -> None:
        report = upstream.session(shared.journal, shared.identity, shared.now).packs
        if report.came:
            shared.releases.now()
        # What else went wrong with words waits for the next round: births must not wait for it.
        if report.waits:
            rounds.wake()

    rounds = app.extensions[ROUNDS] = Rounds(work)
    rounds.start()


def _first_link(app: Flask, address: str) -> str | None:
    """Give the link by which the first account is made; at a loopback-only station none is needed."""
    shared = app.extensions[NAME]
    if is_loopback(shared.settings.host) or shared.settings.demo:
        return None
    now = shared.now()
    token = shared.journal.write(lambda store: accounts.first_link(store.connection, now))
    return token and f"{address}station/account/link/{token}"


def _serve(
    listening, address: str, settings: Settings, first: str | None, door: int | None
) -> None:
    # A service manager's signal ends the station like Ctrl-C does.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        click.echo(f"The checklist is at {address}")
        if first:
            click.echo(f"There is no account yet. Make the first one, once, within a day: {first}")
        if door:
            click.echo(f"Tablets learn to trust it at http://<name of this machine>:{door}/trust")
        click.echo(f"Its journal is in {settings.data}. Press Ctrl-C to stop.")
        listening.serve()
    except KeyboardInterrupt:
        click.echo("Stopped.")
    finally:
        listening.stop()

"""checklist stick: carry what waits to the hub by memory stick, and its receipt back."""

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from checklist import receipt, sealing, stick, stick_export, stick_import, trail
from checklist.cli.common import NO_INPUT, Refusal, data_options, open_station, unwritable
from checklist.config import is_invented
from checklist.web.parts import Parts
from checklist.whole_files import WholeFiles

READABLE = click.Path(path_type=Path, dir_okay=False, exists=True)
WRITABLE = click.Path(path_type=Path, dir_okay=False)


@click.group("stick")
def stick_group() -> None:
    """Carry events to the hub on a memory stick, sealed so that only the hub reads them.

    \b
    Examples:
      checklist stick key --to hub.key          at the hub, once
      checklist stick trust hub.key             at the station, once
      checklist stick export /media/usb/week-48.stick
      checklist stick import /media/usb/week-48.stick --receipt /media/usb/week-48.receipt
    \b
    Exit codes:
      0   done
      2   wrong use, or the file cannot be opened
      65  the file is damaged, cut off, altered, or lacks what comes before it
      66  there is no journal, or no hub is known to seal to
      73  the file cannot be written
      77  the file is for another hub, or from a sender that nobody admitted
    """


@stick_group.command("key")
@click.option("--to", "target", type=WRITABLE, help="File to write the key to, for the stations.")
@data_options
def key(target: Path | None, data: Path, demo: bool) -> None:
    """Show the key that files for this hub are sealed to, and write it to a file.

    \b
    Example:
      checklist stick key --to hub.key
    """
    with open_station(data, demo) as (journal, identity):
        said = journal.write(lambda store: sealing.found(store, identity, Parts.now()))
        if target:
            with _written(target) as out:
                out.write(_text(said))
    click.echo(f"Fingerprint of this hub's key: {sealing.fingerprint(said['seal'])}")


@stick_group.command("trust")
@click.argument("file", type=READABLE)
@data_options
def trust(file: Path, data: Path, demo: bool) -> None:
    """Take FILE for the key of this station's hub; compare the fingerprint by telephone.

    \b
    Example:
      checklist stick trust hub.key
    """
    said = sealing.read(file.read_bytes()[: receipt.LARGEST])
    with open_station(data, demo) as (journal, _):
        journal.write(lambda store: _trust(store.connection, said))
    click.echo(f"Trusted hub {said['hub']}")
    click.echo(f"Fingerprint of its key: {sealing.fingerprint(said['seal'])}")


@stick_group.command("export")
@click.argument("file", type=WRITABLE)
@click.option("--all", "everything", is_flag=True, help="Also what the hub acknowledged already.")
@data_options
def export(file: Path, everything: bool, data: Path, demo: bool) -> None:
    """Write FILE: everything that the hub has not acknowledged, sealed to the hub.

    \b
    Examples:
      checklist stick export /media/usb/week-48.stick
      checklist stick export --all /media/usb/all.stick
    """
    with open_station(data, demo) as (journal, identity):
        reader = journal.reader
        hub = sealing.of_hub(reader)
        if hub is None:
            raise Refusal("No hub is known to seal to: see checklist stick trust.", NO_INPUT)
        about = stick_export.count(reader, everything=everything)
        written: list[int] = []
        label = stick.new_label(hub["hub"])
        invented = demo or is_invented(data)
        with _written(file) as out, _bar(about, "writing") as told:
            size = stick.write(out, label, hub["seal"], stick_export.gather(
                reader, identity, label, everything=everything, now=Parts.now(),
                demo=invented,
                told=lambda count: (written.append(count), told(count)),
            ))
        # The bar goes by an estimate; what is told and kept is what lies in the file.
        events = sum(written)
        journal.write(lambda store: trail.note(
            store.connection, "", "stick_exported", f"{hub['hub']} {events}", Parts.now()
        ))
    click.echo(f"wrote {events} events, {size} bytes, to {file}")


@stick_group.command("import")
@click.argument("file", type=READABLE)
@click.option("--admit", is_flag=True, help="Let the sender in, after comparing its fingerprint.")
@click.option("--receipt", "target", type=WRITABLE, help="Write the hub's receipt to this file.")
@data_options
def import_(file: Path, admit: bool, target: Path | None, data: Path, demo: bool) -> None:
    """Take in FILE, a file of events at the hub or a receipt at the station.

    The whole file is checked first; when any part of it is bad, nothing changes.

    \b
    Examples:
      checklist stick import week-48.stick --receipt week-48.receipt
      checklist stick import week-48.receipt
    """
    invented = demo or is_invented(data)
    with open_station(data, demo) as (journal, identity), file.open("rb") as source:
        beginning = source.peek(len('{"receipt"'))
        if receipt.looks_like_one(beginning):
            text = source.read(receipt.LARGEST)
            logs = journal.write(lambda store: receipt.take(store, identity, text, Parts.now()))
            click.echo(f"the hub holds {logs} logs" if logs else "nothing new in this receipt")
            return
        with _bar(2 * stick.size_of(source), "checking, then storing") as told:
            taken = stick_import.take(
                journal, identity, source, Parts.now(), admit=admit, demo=invented, told=told
            )
        if target:
            text = receipt.make(journal.reader, identity, taken.sender, Parts.now())
            with _written(target) as out:
                out.write(text)
    click.echo(f"{taken.events} events in the file, {taken.stored} of them new")
    if taken.kept_back:
        click.echo(f"{taken.kept_back} events of retired devices were left out")


def _text(said: dict) -> bytes:
    return json.dumps(said).encode() + b"\n"


def _trust(connection, said: dict) -> None:
    sealing.trust(connection, said, Parts.now())
    trail.note(connection, "", "hub_trusted", said["hub"], Parts.now())


@contextmanager
def _written(target: Path) -> Iterator:
    """Open a file that appears only when complete and on the disk."""
    try:
        with WholeFiles() as files:
            yield files.open(target)
    except OSError as error:
        raise unwritable(target, error) from error


@contextmanager
def _bar(length: int, label: str) -> Iterator[Callable[[int], None]]:
    with click.progressbar(length=length, label=label, file=sys.stderr) as bar:
        yield bar.update

"""What several commands share: where the journal lies, and how to refuse."""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from checklist import packs, station
from checklist.config import DATABASE, data_folder, demo_folder
from checklist.errors import ERRORS, ChecklistError
from checklist.journal import Journal
from checklist.language import SOURCE, STATION, Pack, load, read_lists, speaking, tablet_pack
from checklist.tables import TRANSLATIONS

NO_INPUT = 66
CANNOT_WRITE = ERRORS["data_unwritable"].exit


class Refusal(click.ClickException):
    """One sentence for a person, and an exit code."""

    def __init__(self, message: str, exit_code: int) -> None:
        super().__init__(message)
        self.exit_code = exit_code


def unwritable(target: Path | None, error: OSError) -> Refusal:
    """Say that a file or folder cannot be written, and why."""
    return Refusal(f"{target} cannot be written: {error}.", CANNOT_WRITE)


def data_options(command: Callable) -> Callable:
    """Add --data and --demo to a command."""
    data = click.option(
        "--data",
        type=click.Path(path_type=Path, file_okay=False),
        default=data_folder,
        show_default="the user's data folder",
        help="Folder of the station's journal.",
    )
    demo = click.option(
        "--demo", is_flag=True, help='Use the invented cases in the folder "demo" beside it.'
    )
    return data(demo(command))


def chosen_folder(data: Path, demo: bool) -> Path:
    """Give the folder that --data and --demo mean."""
    return demo_folder(data) if demo else data


def open_existing(data: Path, demo: bool) -> Journal:
    """Open a journal that is there already; a command that reads makes none."""
    path = chosen_folder(data, demo) / DATABASE
    if not path.is_file():
        raise Refusal(f"There is no journal in {path.parent}.", NO_INPUT)
    return Journal.open(path)


@contextmanager
def open_station(data: Path, demo: bool) -> Iterator[tuple[Journal, station.Identity]]:
    """Open the journal of a station that has run before, and give its identity with it."""
    journal = open_existing(data, demo)
    try:
        now = time.time_ns() // 1_000_000
        identity = journal.write(lambda store: station.found(store, now))
        try:
            yield journal, identity
        except ChecklistError:
            # What is refused is said in the post's language, which the open journal still knows.
            click.get_current_context().find_root().obj = words_of(journal, identity)
            raise
    finally:
        journal.close()


def words_of(journal: Journal, identity: station.Identity) -> Pack:
    """Give the words of the post's language where its pack is in force and all that a station says is ready, else English."""
    source = load(TRANSLATIONS, SOURCE)
    known = {SOURCE: source}
    try:
        post = station.settings(journal.reader, identity) or station.Post()
        if body := packs.body_in_force(journal.reader, post.language):
            known[post.language] = tablet_pack(body, source, read_lists(TRANSLATIONS))
    except (sqlite3.Error, ChecklistError):
        # Whatever else is damaged must not hide what went wrong first.
        return source
    return speaking(known, post.language, STATION)

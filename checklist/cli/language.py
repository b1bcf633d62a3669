"""checklist language: begin a language, keep it up with the English, check it, pack it."""

import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import contextmanager
from functools import wraps
from pathlib import Path

import click

from checklist.cli.common import NO_INPUT, Refusal, chosen_folder, data_options, unwritable
from checklist.language import Pack, load
from checklist.tables import TRANSLATIONS
from checklist.translation.checks import ASK, BLOCK, WARN, Finding, word_of
from checklist.translation.consistency import inconsistent
from checklist.translation.folder import Folder
from checklist.translation.ledger import HOW
from checklist.translation.lint import lint
from checklist.translation.source import SOURCE
from checklist.translation.workshop import OWN, Workshop
from checklist.whole_files import WholeFiles

FOUND = 1

_by = click.option("--by", required=True, help="Name of the person whose work this is.")


def _placed(command: Callable) -> Callable:
    """Add --translations, --data and --demo; the command gets the workshop."""
    @click.option(
        "--translations", type=click.Path(path_type=Path, file_okay=False),
        show_default='"translations" in the data folder',
        help="Folder of your own languages. Those that came with the program stand behind it.",
    )
    @data_options
    @wraps(command)
    def opened(translations: Path | None, data: Path, demo: bool, **given: object) -> None:
        own = translations or chosen_folder(data, demo) / OWN
        try:
            command(Workshop(TRANSLATIONS, own), **given)
        except OSError as error:
            raise unwritable(own, error) from error

    return opened


@click.group()
def language() -> None:
    """Work on a language: begin it, bring it to today's English, check it, make its pack.

    Who wrote, checked and approved a text is kept with it; a file that comes back
    brings no approval. Pages of the station do the same with less typing.

    \b
    Examples:
      checklist language add sw
      checklist language export sw --out sw.po
      checklist language import sw sw.po --by "Asha"
      checklist language check sw
      checklist language pack sw --by "Chidi" --out packs
    \b
    Exit codes:
      0   done; for check: nothing that blocks
      1   check found what blocks
      2   wrong use
      65  the file or table is refused, the language is there already, or nothing is ready
      66  there is no such language or file
      70  the list of who checked what is damaged
      73  the folder cannot be written
      75  somebody else works on the languages just now
    """


@language.command()
@click.argument("tag")
@_placed
def add(workshop: Workshop, tag: str) -> None:
    """Begin the language TAG (sw, pt-BR, or any that nobody has heard of).

    \b
    Example:
      checklist language add sw
    """
    folder = workshop.add(tag)
    table = folder.language
    click.echo(f"Began {tag} ({table.english}) in {workshop.own / tag}.")
    for name in ("name", "sample"):
        if not getattr(table, name) or getattr(table, name) == tag:
            click.echo(f"Fill in by hand in its language.toml: {name}")


@language.command()
@click.argument("tag")
@_placed
def update(workshop: Workshop, tag: str) -> None:
    """Bring TAG to today's English, by id: a text whose English changed is a draft again.

    \b
    Example:
      checklist language update sw
    """
    done = workshop.open(tag).update()
    for name in done["stale"]:
        click.echo(f"changed\t{name}")
    click.echo(f"{tag}: {len(done['new'])} to write, {len(done['stale'])} whose English changed, {len(done['left'])} kept apart")


@language.command()
@click.argument("tag")
@click.option("--asks", is_flag=True, help="Also what a second person is to be asked, and what does not go together.")
@_placed
def check(workshop: Workshop, tag: str, asks: bool) -> None:
    """Check every text of TAG; with TAG en, the English itself.

    \b
    Example:
      checklist language check sw --asks
    """
    words, counts = load(TRANSLATIONS, SOURCE), Counter()
    if tag == SOURCE:
        found = ((name, lint(entry)) for name, entry in workshop.source.items())
    else:
        folder = workshop.open(tag)
        counts.update(folder.states().values())
        apart = inconsistent(folder.source, folder.catalog.forms())
        found = (
            (name, [*folder.findings(name), *apart.get(name, ())]) for name in folder.source if folder.forms(name)
        )
    levels = Counter()
    with _progress(found, len(workshop.source)) as told:
        lines = list(_lines(told, words, levels, asks or tag == SOURCE))
    click.echo("".join(f"{line}\n" for line in lines), nl=False)
    _sum_up(tag, counts, levels, len(workshop.source))
    if tag != SOURCE:
        _readiness(folder)
    if levels[BLOCK]:
        raise SystemExit(FOUND)


@language.command()
@click.argument("tag")
@_by
@click.option("--out", required=True, type=click.Path(path_type=Path, file_okay=False), help="Folder for the pack and its sound.")
@_placed
def pack(workshop: Workshop, tag: str, by: str, out: Path) -> None:
    """Make the pack of TAG: only whole lists, and only texts that may be used.

    A second person approves its table (units, decimal mark) on the station's page first.

    \b
    Example:
      checklist language pack sw --by "Chidi" --out packs
    """
    made = workshop.open(tag).pack(by, _now())
    target = out / f"{made.digest}.json"
    _write(target, made.body)
    for digest, path in made.clips.items():
        _write(out / "voice" / f"{digest}.webm", path.read_bytes())
    for one in made.left_out:
        click.echo(f"left out\t{one.list}\t{len(one.obstacles)} texts not ready")
    for one in made.marked:
        click.echo(f"in the source language\t{one.list}\t{len(one.obstacles)} texts not ready")
    click.echo(f"wrote {target}: {len(made.body)} bytes, {len(made.clips)} clips")


@language.command("export")
@click.argument("tag")
@click.option("--out", required=True, type=click.Path(path_type=Path, dir_okay=False), help="PO file to write.")
@_placed
def export_po(workshop: Workshop, tag: str, out: Path) -> None:
    """Write a PO file of TAG for a translator who works elsewhere.

    \b
    Example:
      checklist language export sw --out sw.po
    """
    _write(out, workshop.open(tag).export_po())
    click.echo(f"wrote {out}")


@language.command("import")
@click.argument("tag")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@_by
@click.option("--how", type=click.Choice(HOW), default="person", show_default=True, help="Who or what wrote the texts.")
@_placed
def import_po(workshop: Workshop, tag: str, file: Path, by: str, how: str) -> None:
    """Take a PO FILE of TAG back in; each changed text is a draft by whoever brought it.

    \b
    Example:
      checklist language import sw sw.po --by "Asha"
    """
    try:
        data = file.read_bytes()
    except OSError as error:
        raise Refusal(f"{file} cannot be read: {error}.", NO_INPUT) from error
    taken = workshop.open(tag).import_po(data, by, _now(), how)
    for fate in ("changed", "stale", "unknown", "empty", "control"):
        for name in getattr(taken, fate):
            click.echo(f"{fate}\t{name}")
    click.echo(f"{len(taken.taken)} taken, {len(taken.same)} as they were, {len(taken.changed)} changed here meanwhile, "
               f"{len(taken.stale)} from other English, {len(taken.unknown)} unknown, "
               f"{len(taken.empty) + len(taken.control)} blank or with a hidden sign")


def _lines(found: Iterable[tuple[str, list[Finding]]], words: Pack, levels: Counter, whole: bool) -> Iterable[str]:
    for name, findings in found:
        for finding in findings:
            levels[finding.level] += 1
            if whole or finding.level == BLOCK:
                detail = f" ({finding.detail})" if finding.detail else ""
                yield f"{finding.level}\t{name}\t{finding.code}\t{words.text(word_of(finding.code))}{detail}"


def _sum_up(tag: str, states: Counter, levels: Counter, total: int) -> None:
    told = [f"{states[state]} {state}" for state in ("missing", "draft", "checked", "approved") if states]
    told.append(f"{levels[BLOCK]} that block, {levels[ASK]} to ask, {levels[WARN]} to weigh")
    click.echo(f"{tag}: {total} texts: {', '.join(told)}")


def _readiness(folder: Folder) -> None:
    for name, one in folder.readiness().items():
        click.echo(f"list\t{name}\t{'ready' if one.ready else f'{len(one.missing)} texts not ready'}")


@contextmanager
def _progress(found: Iterable, total: int):
    with click.progressbar(found, length=total, label="checking", file=sys.stderr, update_min_steps=100) as bar:
        yield bar


def _write(target: Path, data: bytes) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with WholeFiles() as files:
            files.open(target).write(data)
    except OSError as error:
        raise unwritable(target, error) from error


def _now() -> int:
    return time.time_ns() // 1_000_000

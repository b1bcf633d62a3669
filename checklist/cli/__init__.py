"""The command line: one group, one verb a file."""

from collections.abc import Mapping

import click

from checklist.cli.account import account
from checklist.cli.certificate import certificate
from checklist.cli.check_data import check_data
from checklist.cli.code import code
from checklist.cli.export import export
from checklist.cli.invent import invent
from checklist.cli.join import join
from checklist.cli.language import language
from checklist.cli.leave import leave
from checklist.cli.replay import replay
from checklist.cli.restore import restore
from checklist.cli.retain import retain
from checklist.cli.serve import serve
from checklist.cli.stick import stick_group
from checklist.cli.sync import sync
from checklist.errors import ERRORS, ChecklistError
from checklist.language import SOURCE, Pack, load
from checklist.tables import TRANSLATIONS
from checklist.translation.obstacles import QUESTION, Obstacle


class Commands(click.Group):
    """A group whose commands end with a sentence and the exit code of the error table."""

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; an error that a person can act on never shows a trace."""
        try:
            return super().invoke(ctx)
        except ChecklistError as error:
            click.echo(f"{ctx.info_name}: {sentence(error, ctx.obj)}", err=True)
            ctx.exit(ERRORS[error.code].exit)


def sentence(error: ChecklistError, words: Pack | None = None) -> str:
    """Say what went wrong, with the facts that help; in English while no station's words are known."""
    words = words or load(TRANSLATIONS, SOURCE)
    said, facts = words.text(f"problem.{error.code}"), error.facts
    why = f"refusal.{facts.get('why')}"
    if error.code == "review_refused" and why in words:
        said, facts = f"{said} {words.text(why)}", {name: facts[name] for name in facts if name != "why"}
    facts = ", ".join(f"{name} {_kept_out(words, value) if name == 'obstacles' else value}" for name, value in facts.items())
    return f"{said} ({facts})" if facts else said


def _kept_out(words: Pack, found: Mapping[str, list[Obstacle]]) -> str:
    """Name the texts that are kept out of use, each with the codes of what does that."""
    def said(one: Obstacle) -> str:
        return words.text("languages.unanswered", what=one.code) if one.kind == QUESTION else one.code

    return "; ".join(f"{name}: {', '.join(map(said, obstacles))}" for name, obstacles in found.items())


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="vacuum-birth-checklist")
def main() -> None:
    """Offline checklist, memory aid and record for vacuum-assisted birth.

    It does not replace training, judgement, local protocols or the law on who may do what.

    \b
    Example:
      checklist serve
    """


for command in (
    certificate, serve, replay, export, check_data, invent, account, code, join, language, leave, restore, retain, stick_group, sync,
):
    main.add_command(command)

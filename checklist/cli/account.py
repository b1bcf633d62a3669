"""checklist account: make, list and close the accounts of a station."""

import time
from contextlib import closing
from datetime import datetime
from pathlib import Path

import click

from checklist import accounts
from checklist.accounts import LINK_MS, ROLES
from checklist.cli.common import Refusal, data_options, open_existing
from checklist.journal import Journal

NO_SUCH = 66
HOUR_MS = 60 * 60 * 1000

url_option = click.option(
    "--url", default="http://localhost:8765/", show_default=True,
    help="Address of the station, as people type it.",
)


@click.group()
def account() -> None:
    """Keep the accounts of a station; passwords are chosen by their owners alone.

    \b
    Examples:
      checklist account add "Asha" --role supervisor --role keeper
      checklist account link "Asha" --url https://hub.example/
      checklist account list
      checklist account close "Asha"
    \b
    Exit codes:
      0   done
      2   wrong use
      65  the name is taken, or no name; or it is the last account that keeps the others
      66  there is no journal, or no such account
      70  the file is no journal any more
    """


@account.command()
@click.argument("name")
@click.option("--role", "roles", multiple=True, required=True, type=click.Choice(ROLES),
              help="May be given more than once.")
@url_option
@data_options
def add(name: str, roles: tuple[str, ...], url: str, data: Path, demo: bool) -> None:
    """Make an account and print the one-time link by which its owner chooses a password."""
    with _journal(data, demo) as journal:
        token = journal.write(lambda store: accounts.add(store.connection, name, roles, "", _now()))
    _print_link(url, token)


@account.command()
@click.argument("name")
@url_option
@data_options
def link(name: str, url: str, data: Path, demo: bool) -> None:
    """Print a new one-time link, for a password that was forgotten."""
    with _journal(data, demo) as journal:
        number = _number(journal, name)
        token = journal.write(
            lambda store: accounts.new_link(store.connection, number, "", _now())
        )
    _print_link(url, token)


@account.command("list")
@data_options
def list_all(data: Path, demo: bool) -> None:
    """List the accounts: name, roles, state."""
    with _journal(data, demo) as journal:
        skip = 0
        while found := accounts.everyone(journal.reader, skip=skip):
            for row in found:
                state = "closed" if row["closed_at"] else "open" if row["is_open"] else "waits for its link"
                made = datetime.fromtimestamp(row["made_at"] / 1000).strftime("%Y-%m-%d")
                click.echo(f"{row['name']}\t{', '.join(row['roles'])}\t{state}\tmade {made}")
            skip += len(found)
    click.echo(f"{skip} accounts")


@account.command()
@click.argument("name")
@data_options
def close(name: str, data: Path, demo: bool) -> None:
    """Close an account for good; what it did stays."""
    with _journal(data, demo) as journal:
        number = _number(journal, name)
        journal.write(lambda store: accounts.close(store.connection, number, "", _now()))
    click.echo(f"{name} is closed.")


def _journal(data: Path, demo: bool) -> closing:
    return closing(open_existing(data, demo))


def _number(journal: Journal, name: str) -> int:
    found = accounts.by_name(journal.reader, name)
    if found is None:
        raise Refusal(f"There is no open account {name}.", NO_SUCH)
    return found["account_no"]


def _print_link(url: str, token: str) -> None:
    click.echo(f"{url.rstrip('/')}/station/account/link/{token}")
    click.echo(f"It opens once, within {LINK_MS // HOUR_MS} hours. Hand it over like a key.")


def _now() -> int:
    return time.time_ns() // 1_000_000

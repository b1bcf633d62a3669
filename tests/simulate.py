"""Run many schedules of tablets, stations and hubs, and show what breaks a promise.

    python -m tests.simulate --schedules 20000 --seed 1
    python -m tests.simulate --mutants

Schedule number N of a run is drawn from seed + N, so that one that fails can be run again
alone. Exit code: 0 when nothing broke (or every mutant was caught), 1 otherwise.
"""

import sys
import time

import click

from tests.simulator.mutants import MUTANTS, SEEDS_TO_CATCH
from tests.simulator.run import Finding, first_failing, run, shrink

SHOWN = 3


@click.command(epilog="Example: python -m tests.simulate --schedules 20000 --seed 1")
@click.option("--schedules", default=2000, show_default=True, help="How many to run.")
@click.option("--seed", default=0, show_default=True, help="Seed of the first schedule.")
@click.option("--mutants", is_flag=True, help="Run the exchanges broken on purpose instead.")
def simulate(schedules: int, seed: int, mutants: bool) -> None:
    """Run schedules drawn from seeds; a failing one is made small and shown."""
    sys.exit(1 if (_mutants(seed) if mutants else _schedules(schedules, seed)) else 0)


def _schedules(schedules: int, seed: int) -> int:
    began = time.monotonic()
    found: list[Finding] = []
    with click.progressbar(
        range(seed, seed + schedules), label="schedules", file=sys.stderr, update_min_steps=50
    ) as bar:
        for number in bar:
            broken = run(number)
            if broken:
                found.append(broken)
    for broken in found[:SHOWN]:
        _show(shrink(broken))
    seconds = round(time.monotonic() - began)
    click.echo(f"{schedules} schedules from seed {seed} in {seconds} s; {len(found)} violations")
    return len(found)


def _mutants(seed: int) -> int:
    missed = 0
    click.echo("| mutant | first failing seed | steps after shrinking | what broke |")
    click.echo("|---|---|---|---|")
    for mutant in MUTANTS:
        with mutant.broken():
            broken = first_failing(range(seed, seed + SEEDS_TO_CATCH))
            small = shrink(broken) if broken else None
        missed += small is None
        told = f"{small.seed} | {len(small.steps)} | {small.broke}" if small else "missed | |"
        click.echo(f"| {mutant.name} | {told} |")
    return missed


def _show(found: Finding) -> None:
    click.echo(f"seed {found.seed}: {found.broke}")
    click.echo(f"  {found.shape['paths']} {found.shape['parents']}")
    for step in found.steps:
        click.echo(f"  {' '.join(map(str, step))}")


if __name__ == "__main__":
    simulate()

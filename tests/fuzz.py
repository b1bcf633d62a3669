"""Hold both halves of the core against each other on many made-up logs.

    python -m tests.fuzz --logs 100000 --seed 1

Log number N of a run is made from seed + N, so that one that fails can be made again
alone. Exit code: 0 when the halves agree on all, 1 when they do not.
"""

import sys
import time

import click
from playwright.sync_api import sync_playwright

from tests.agreement import disagreements, told
from tests.browsers import launch_args
from tests.halves import JavaScriptHalf, PythonHalf, open_modules

SHOWN = 3


@click.command(epilog="Example: python -m tests.fuzz --logs 100000 --seed 1")
@click.option("--logs", default=10_000, show_default=True, help="How many logs to judge.")
@click.option("--seed", default=0, show_default=True, help="Seed of the first log.")
def fuzz(logs: int, seed: int) -> None:
    """Judge made-up logs by both halves and compare what they write, byte for byte."""
    began = time.monotonic()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(**launch_args(playwright.chromium, {}))
        with open_modules(browser) as page:
            both = PythonHalf(), JavaScriptHalf(page)
            with click.progressbar(length=logs, label="logs", file=sys.stderr) as bar:
                found = disagreements(both, range(seed, seed + logs), bar.update)
            for differing in found[:SHOWN]:
                click.echo(told(both, differing))
        browser.close()
    seconds = round(time.monotonic() - began)
    click.echo(f"judged {logs} logs from seed {seed} in {seconds} s; {len(found)} differ")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    fuzz()

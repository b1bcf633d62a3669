"""Get a Chromium for the browser tests: python -m tests.get_browser

Tries the driver's own download, then a browser that is already there, then the
Debian package. Exit codes: 0 a browser starts, 3 none could be had.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator

from playwright.sync_api import sync_playwright

from tests.browsers import NoBrowser, launch_args

EXIT_NONE = 3
PATIENCE_S = 600
PACKAGES = ("chromium", "fonts-liberation", "fonts-noto-core")


def main() -> int:
    """Take the first way that leaves a browser that starts."""
    for way in _ways():
        if way:
            print("trying:", " ".join(way), flush=True)
            if not _run(way):
                continue
        if found := _usable():
            print("ready:", found)
            return 0
    print(
        "No Chromium could be had: install one by hand and name it in APP_CHROMIUM.",
        file=sys.stderr,
    )
    return EXIT_NONE


def _ways() -> Iterator[list[str]]:
    yield []  # as the machine is
    yield [sys.executable, "-m", "playwright", "install", "chromium"]
    if shutil.which("apt-get"):
        root = [] if os.geteuid() == 0 else ["sudo", "-n"]
        yield [*root, "apt-get", "update"]
        # Without fonts a page has no widths to test.
        yield [*root, "apt-get", "install", "-y", "--no-install-recommends", *PACKAGES]


def _run(command: list[str]) -> bool:
    try:
        done = subprocess.run(command, timeout=PATIENCE_S, capture_output=True, text=True)
    except (OSError, subprocess.TimeoutExpired) as error:
        print("  failed:", type(error).__name__)
        return False
    if done.returncode:
        print("  failed:", (done.stderr or done.stdout).strip().splitlines()[-1:])
    return done.returncode == 0


def _usable() -> str | None:
    with sync_playwright() as driver:
        try:
            args = launch_args(driver.chromium, {})
        except NoBrowser:
            return None
        return args.get("executable_path", driver.chromium.executable_path)


if __name__ == "__main__":
    sys.exit(main())

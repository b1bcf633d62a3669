"""Find a browser that really starts on this machine, and say how to get one if none does.

Order: $APP_CHROMIUM (a path), the build that Playwright downloaded, the system's own.
"""

import os
import shutil

from playwright.sync_api import BrowserType, Error

SYSTEM = {
    "chromium": ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome"),
    "firefox": ("firefox-esr", "firefox"),
    "webkit": (),
}
# Nothing leaves the machine. Never add a --disable-features here: Chromium takes
# the last one only, and the driver's own list would be lost.
QUIET = (
    "--disable-domain-reliability",
    "--no-pings",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
)
# A drawing process that hangs is ended by the tests, however often that may be.
STEADY = ("--disable-gpu-process-crash-limit",)
LAUNCH_MS = 30_000


class NoBrowser(Exception):
    """No candidate started; the message names each and the remedies."""


def launch_args(browser_type: BrowserType, base: dict) -> dict:
    """Give launch arguments that were tried and work; raises NoBrowser."""
    extra = {"args": [*QUIET, *STEADY, *base.get("args", [])]} if browser_type.name == "chromium" else {}
    failures = []
    for candidate in _candidates(browser_type.name):
        args = {**base, **extra, **candidate}
        failure = _try(browser_type, args)
        if failure is None:
            return args
        failures.append(f"  {candidate.get('executable_path', 'the build of Playwright')}: {failure}")
    raise NoBrowser(_remedies(browser_type.name, failures))


def _candidates(name: str) -> list[dict]:
    # Firefox as packaged is driven over WebDriver BiDi, which this channel chooses.
    bidi = {"channel": "moz-firefox"} if name == "firefox" else {}
    if own := os.environ.get(f"APP_{name.upper()}"):
        return [{"executable_path": own, **bidi}]
    found = [path for command in SYSTEM[name] if (path := shutil.which(command))]
    return [{}, *({"executable_path": path, **bidi} for path in found)]


def _try(browser_type: BrowserType, args: dict) -> str | None:
    """Launch and open a context, since a file that exists proves nothing; gives the failure."""
    browser = None
    try:
        browser = browser_type.launch(timeout=LAUNCH_MS, **args)
        browser.new_context().close()
    except Error as error:
        return str(error).splitlines()[0][:160]
    finally:
        if browser:
            browser.close()
    return None


def _remedies(name: str, failures: list[str]) -> str:
    return "\n".join([
        f"No usable {name} for the browser tests.",
        *failures,
        f"Remedies: python -m tests.get_browser; or APP_{name.upper()}=/path/to/browser.",
    ])

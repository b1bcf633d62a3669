"""Give every test a browser that starts here, pages that fail loudly, and servers to kill."""

import os

import pytest
from playwright.sync_api import expect

from tests.browsers import NoBrowser, launch_args
from tests.midwife import PATIENCE_MS
from tests.profiles import VIEWPORT, Profile
from tests.servers import Served

EXIT_NO_BROWSER = 3
# A machine that does other work beside the tests is slow, and no less right.
expect.set_options(timeout=PATIENCE_MS)
GUARDED = ("Content Security Policy", "Trusted")


@pytest.fixture(scope="session", autouse=True)
def compiled_once(tmp_path_factory):
    """Where Python may not keep what it compiles beside the source, the programs that tests start keep it in a folder of the run."""
    with pytest.MonkeyPatch.context() as patch:
        if os.environ.get("PYTHONDONTWRITEBYTECODE"):
            patch.delenv("PYTHONDONTWRITEBYTECODE")
            patch.setenv("PYTHONPYCACHEPREFIX", str(tmp_path_factory.mktemp("compiled")))
        yield


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args, browser_type):
    """Launch arguments that were tried; none that works ends the run with the remedies."""
    try:
        return launch_args(browser_type, browser_type_launch_args)
    except NoBrowser as error:
        pytest.exit(str(error), returncode=EXIT_NO_BROWSER)


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args):
    """A tablet's screen, service workers allowed."""
    return {**browser_context_args, "service_workers": "allow", "viewport": VIEWPORT}


def listen(page, heard: list[str]) -> None:
    """Gather what a page must never do: uncaught errors and refusals by the content policy."""
    page.on("pageerror", lambda error: heard.append(f"pageerror: {error}"))
    page.on("console", lambda message: heard.append(message.text)
            if any(word in message.text for word in GUARDED) else None)


@pytest.fixture
def complaints():
    """What pages complained of; a test that leaves any fails."""
    heard: list[str] = []
    yield heard
    assert heard == []


@pytest.fixture
def context(context, complaints):
    """A context in which every page is listened to."""
    context.on("page", lambda page: listen(page, complaints))
    return context


@pytest.fixture
def profile(browser_type, browser_type_launch_args, tmp_path, complaints):
    """A tablet with a disk: its browser can be closed, killed and started again."""
    tablet = Listened(browser_type, browser_type_launch_args, tmp_path / "profile", complaints)
    yield tablet
    tablet.close()


class Listened(Profile):
    """A profile in which every page is listened to."""

    def __init__(self, browser_type, args, path, complaints) -> None:
        super().__init__(browser_type, args, path)
        self._complaints = complaints

    def start(self):
        context = super().start()
        context.on("page", lambda page: listen(page, self._complaints))
        return context


@pytest.fixture
def served():
    """An address with nothing behind it yet."""
    address = Served()
    yield address
    address.kill()

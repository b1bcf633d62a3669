"""A browser profile on disk that can be left politely, crashed, damaged and started again."""

import os
import signal
import time
from pathlib import Path

from playwright.sync_api import BrowserContext, BrowserType, Error

VIEWPORT = {"width": 800, "height": 1280}


class Profile:
    """One tablet: close() is switching off, kill() is a crash or a dead battery."""

    def __init__(self, browser_type: BrowserType, args: dict, path: Path) -> None:
        self._type = browser_type
        self._args = args
        self.path = path
        self.context: BrowserContext | None = None

    def start(self) -> BrowserContext:
        """Start the browser on this profile."""
        self.context = self._type.launch_persistent_context(
            str(self.path), service_workers="allow", viewport=VIEWPORT, **self._args
        )
        return self.context

    def close(self) -> None:
        """Quit the browser in good order."""
        if self.context:
            self.context.close()
            self.context = None

    def kill(self) -> None:
        """End every process of the browser at once."""
        self.send(signal.SIGKILL)
        while self.pids():
            time.sleep(0.01)
        try:
            self.context.close()
        except Error:
            pass  # there is nobody left to answer
        self.context = None

    def send(self, what: signal.Signals) -> None:
        """Send a signal to every process of the browser."""
        pids = self.pids()
        assert pids, "the browser is not running"
        for pid in pids:
            try:
                os.kill(pid, what)
            except ProcessLookupError:
                pass

    def pids(self) -> list[int]:
        """Find the processes of this profile, and only those, by the folder they name."""
        return [int(entry.name) for entry in Path("/proc").iterdir()
                if entry.name.isdigit() and self._owns(entry)]

    def _owns(self, entry: Path) -> bool:
        try:
            return str(self.path).encode() in (entry / "cmdline").read_bytes()
        except OSError:
            return False

    def database(self, *, mirror: bool) -> Path:
        """Give the folder in which Chromium keeps the journal's primary or mirror."""
        home = self.path / "Default"
        pattern = "WebStorage/*/IndexedDB/*.leveldb" if mirror else "IndexedDB/*.leveldb"
        return next(home.glob(pattern))

    def newest_log(self, *, mirror: bool) -> Path:
        """Give the file that the database was writing last."""
        return max(self.database(mirror=mirror).glob("*.log"))

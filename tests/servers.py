"""A server in its own process, on one port for its whole life: the origin must not change."""

import atexit
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from functools import cache
from pathlib import Path

from checklist.language import SOURCE
from checklist.tables import TRANSLATIONS
from checklist.translation import lists

ROOT = Path(__file__).resolve().parents[1]
PATIENCE_S = 20


@cache
def english_alone() -> Path:
    """Lay out the translations without the shipped drafts, once for a run."""
    made = tempfile.mkdtemp(prefix="english-")
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    folder = Path(made) / "translations"
    shutil.copytree(TRANSLATIONS / SOURCE, folder / SOURCE)
    shutil.copy(TRANSLATIONS / lists.FILE, folder)
    return folder


class Served:
    """An address that a test can bring up, kill and bring up again with other files."""

    def __init__(self) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.url = f"http://localhost:{self.port}"
        self._process: subprocess.Popen | None = None

    def start(self, static: Path, *, data: Path | None = None, spoil: str | None = None,
              translations: Path | None = None, ready: tuple[str, ...] = (), demo: bool = False, packs: Path | None = None) -> "Served":
        """Serve a static folder; with data, the whole station. Returns when it answers.

        Unless a test asks for other languages there is English alone, which spares a tablet four drafts to keep.
        """
        self.kill()
        command = [sys.executable, "-m", "tests.serve", "--port", str(self.port), "--static", str(static)]
        command += ["--data", str(data)] if data else []
        command += ["--spoil", spoil] if spoil else []
        command += ["--translations", str(translations or english_alone())] if data else []
        command += ["--ready", *ready] if ready else []
        command += ["--demo"] if demo else []
        command += ["--packs", str(packs)] if packs else []
        # A group of its own: a server with helpers must not outlive the kill.
        self._process = subprocess.Popen(command, cwd=ROOT, start_new_session=True)
        end = time.monotonic() + PATIENCE_S
        while not self.is_up():
            assert self._process.poll() is None, "the server ended by itself"
            assert time.monotonic() < end, "the server did not start"
            time.sleep(0.05)
        return self

    def kill(self) -> None:
        """End it at once, as a dead battery would."""
        if self._process:
            os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
            self._process = None

    def is_up(self) -> bool:
        """Tell whether it answers."""
        try:
            with urllib.request.urlopen(self.url + "/health", timeout=1):
                return True
        except OSError:
            return False

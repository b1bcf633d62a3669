"""Run a station as its own process, and kill it."""

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

START_WAIT_S = 30


class Running:
    """A station in a process of its own, at an address of its own."""

    def __init__(self, *options: str, python: str = sys.executable, cwd: Path | None = None) -> None:
        self.process = subprocess.Popen(
            [python, "-m", "checklist", "serve", "--port", "0", *options],
            cwd=cwd, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        first = self.process.stdout.readline()
        found = re.search(r"https?://\S+", first)
        if found is None:
            self.process.kill()
            raise AssertionError(f"no address: {first!r} {self.process.communicate()[1]}")
        self.url = found[0].rstrip("/")

    @property
    def port(self) -> int:
        """Give the port that was taken."""
        return int(self.url.rsplit(":", 1)[1])

    def kill(self) -> None:
        """End the process without a chance to tidy up."""
        self._end(signal.SIGKILL)

    def stop(self) -> str:
        """Ask the process to stop; gives what it said on the error output."""
        return self._end(signal.SIGTERM)

    def _end(self, how: signal.Signals) -> str:
        if self.process.poll() is None:
            self.process.send_signal(how)
        return self.process.communicate(timeout=START_WAIT_S)[1]

"""What was called kept is there after the power is cut, and after the disk was full.

The browser's profile lies on a small ext4 disk in a file; the cut shuts that file
system down without writing what it still holds, under a browser that was stopped
first, since a running one would go on acknowledging after the cut. Needs root and
loop devices; without them it says so and is skipped. By hand:

    sudo python -m pytest tests/browser/test_power.py -rs
"""

import errno
import fcntl
import os
import random
import shutil
import signal
import struct
import subprocess
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import edition, visit
from tests.browser.tapping import kept, tap_for_ever

PATIENCE_S = 15
DISK_BYTES = 400 * 1024 * 1024
# The request to shut ext4 down, and its way without writing the journal first.
SHUTDOWN, NO_LOG_FLUSH = 0x8004587D, struct.pack("I", 2)
CUTS = int(os.environ.get("CUTS", "4"))


class Disk:
    """A file system in a file whose power can be cut."""

    def __init__(self, image: Path, mount: Path) -> None:
        self._image, self._mount = image, mount
        mount.mkdir()
        with image.open("wb") as file:
            file.truncate(DISK_BYTES)
        run("mkfs.ext4", "-q", str(image))

    def connect(self) -> None:
        """Mount it, as after the power is back."""
        run("mount", "-o", "loop", str(self._image), str(self._mount))

    def disconnect(self) -> None:
        """Unmount it; a browser that was killed may hold it for a moment longer."""
        end = time.monotonic() + PATIENCE_S
        while os.path.ismount(self._mount):
            try:
                run("umount", str(self._mount))
            except subprocess.CalledProcessError:
                if time.monotonic() > end:
                    run("umount", "--lazy", str(self._mount))
                    raise
                time.sleep(0.1)

    def fill(self) -> None:
        """Leave not one block free."""
        with (self._mount / "filler").open("wb", buffering=0) as file:
            for block in (bytes(1 << 20), bytes(1 << 12), bytes(1)):
                try:
                    while file.write(block):
                        pass
                except OSError as error:
                    assert error.errno == errno.ENOSPC
        os.sync()

    def free(self) -> None:
        """Give the room back."""
        (self._mount / "filler").unlink()
        os.sync()

    def cut(self) -> None:
        """Lose all that is not on the disk at this moment."""
        folder = os.open(self._mount, os.O_RDONLY)
        try:
            fcntl.ioctl(folder, SHUTDOWN, NO_LOG_FLUSH)
        finally:
            os.close(folder)


def run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True)


def unable() -> str | None:
    """Give the reason why no power can be cut here."""
    if os.name != "posix" or os.geteuid() != 0:
        return "no power can be cut here: needs root"
    missing = [name for name in ("mkfs.ext4", "mount", "umount") if shutil.which(name) is None]
    return f"no power can be cut here: needs {', '.join(missing)}" if missing else None


@pytest.fixture
def disk(tmp_path, request):
    """A disk under the browser's profile; skipped aloud where there can be none."""
    reason = unable()
    if reason is None:
        disk = Disk(tmp_path / "disk.img", tmp_path / "profile")
        try:
            disk.connect()
        except subprocess.CalledProcessError as error:
            reason = f"no power can be cut here: {error.stderr.decode().strip()}"
    if reason is not None:
        request.config.pluginmanager.getplugin("terminalreporter").write_line(f"\n{reason}")
        pytest.skip(reason)
    yield disk
    disk.disconnect()


@pytest.fixture
def tablet(disk, profile):
    """The tablet on that disk; closed before the disk goes away."""
    yield profile
    profile.close()


def cut_while_tapping(page: Page, tablet, disk: Disk) -> list[tuple[str, int]]:
    """Tap until the power goes at a random moment; gives what was called kept."""
    told = tap_for_ever(page)
    page.wait_for_timeout(random.uniform(300, 1500))
    tablet.send(signal.SIGSTOP)
    time.sleep(0.03)  # a write that the disk has taken already must end
    disk.cut()
    tablet.kill()
    disk.disconnect()
    disk.connect()
    return told


@pytest.mark.slow
@pytest.mark.parametrize("attempt", range(CUTS))
def test_a_power_cut_loses_nothing_called_kept(server, disk, tablet, attempt):
    # A disk that was written to before: the names of its files are durable.
    visit(tablet.start(), server.url)
    tablet.close()
    page = visit(tablet.start(), server.url)

    told = cut_while_tapping(page, tablet, disk)
    page = visit(tablet.start(), server.url)

    print(f"called kept before the cut: {len(told)}")
    assert told
    assert set(told) <= set(kept(page))


@pytest.mark.slow
def test_the_cut_would_show_a_journal_that_does_not_wait_for_the_disk(served, disk, tablet, tmp_path):
    careless = edition(tmp_path / "careless", "Careless")
    store = careless / "store.js"
    text = store.read_text(encoding="utf-8")
    assert text.count('durability: "strict"') == 1
    store.write_text(text.replace('durability: "strict"', 'durability: "relaxed"'), encoding="utf-8")
    served.start(careless)
    visit(tablet.start(), served.url)
    tablet.close()
    page = visit(tablet.start(), served.url)

    told = cut_while_tapping(page, tablet, disk)
    page = visit(tablet.start(), served.url)

    lost = set(told) - set(kept(page))
    print(f"called kept without waiting: {len(told)}, lost: {len(lost)}")
    assert lost


@pytest.mark.slow
def test_a_full_disk_refuses_aloud_and_loses_nothing_called_kept(server, disk, tablet):
    context = tablet.start()
    page = visit(context, server.url)
    told: list[tuple[str, int]] = []
    page.expose_function("acknowledge", lambda log, seq: told.append((log, seq)))
    tap = "tablet.record('hiss_heard').then(({ log, seq }) => window.acknowledge(log, seq))"
    page.evaluate(tap)
    disk.fill()

    # Some taps may still fit into room the engine had taken before.
    page.evaluate(f"""async () => {{
      for (let n = 0; n < 2000 && tablet.states.at(-1)[0] !== "failing"; n += 1) {{
        void {tap};
        await new Promise((resolve) => setTimeout(resolve, 5));
      }}
    }}""")
    assert page.evaluate("tablet.states.at(-1)[0]") == "failing"
    waiting = page.evaluate("tablet.states.at(-1)[1]")
    disk.free()
    page.wait_for_function("() => tablet.states.at(-1)[0] === 'kept'", timeout=60_000)
    page.evaluate(tap)
    # One store may open while the disk is full still; it carries the journal until the other is back.
    page.wait_for_function("() => tablet.journal.isWhole()", timeout=90_000)
    tablet.kill()
    page = visit(tablet.start(), server.url)

    print(f"called kept: {len(told)}, waiting while the disk was full: {waiting}")
    assert waiting >= 1
    assert set(told) <= set(kept(page))
    assert page.evaluate("tablet.journal.notes") == []

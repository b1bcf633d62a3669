"""The wheel: built from the tree, it serves from an empty folder with nothing beside it."""

import json
import subprocess
import sys
import sysconfig
import urllib.request
import venv
from pathlib import Path

import pytest

from tests.server.running import Running

ROOT = Path(__file__).resolve().parents[2]


def run(*words: object) -> str:
    """Run a command that must succeed; gives its output."""
    done = subprocess.run([str(word) for word in words], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory) -> Path:
    """Give the Python of an empty environment that holds the wheel."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder)
    (wheel,) = folder.glob("*.whl")
    venv.create(folder / "venv", with_pip=False)
    python = folder / "venv" / "bin" / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index",
        "--quiet", wheel)
    # The libraries are lent by the environment that runs the tests; the
    # package itself is not in there, so it can only come from the wheel.
    (site,) = (folder / "venv" / "lib").glob("python*/site-packages")
    (site / "lent.pth").write_text(sysconfig.get_paths()["purelib"])
    return python


@pytest.fixture
def wheel_station(installed, tmp_path):
    """Run the installed station in an empty folder."""
    station = Running("--data", str(tmp_path / "data"), python=str(installed), cwd=tmp_path)
    yield station
    station.kill()


@pytest.mark.slow
def test_the_wheel_serves_by_itself(installed, wheel_station):
    where = subprocess.run(
        [installed, "-c", "import checklist; print(checklist.__file__)"],
        cwd="/", capture_output=True, text=True,
    ).stdout
    assert str(installed.parent.parent) in where

    release = json.loads(fetch(wheel_station, "/health"))["release"]
    worker, page = fetch(wheel_station, "/sw.js"), fetch(wheel_station, "/")

    assert release in worker.decode() and release in page.decode()
    pack = json.loads(fetch(wheel_station, f"/r/{release}/packs/en.json"))
    assert pack["lang"] == "en" and pack["m"]
    assert fetch(wheel_station, f"/r/{release}/css/station.css")


@pytest.mark.slow
def test_the_wheel_brings_the_command(installed, tmp_path):
    command = installed.parent / "checklist"

    done = subprocess.run([command, "--version"], cwd=tmp_path, capture_output=True, text=True)

    assert done.returncode == 0 and "0.1.0" in done.stdout


def fetch(station, path) -> bytes:
    """Get a page that must be there."""
    with urllib.request.urlopen(station.url + path, timeout=10) as reply:
        return reply.read()

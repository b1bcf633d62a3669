"""The map in DEVELOPERS.md names every file that somebody might look for, and no other."""

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# A file that a newcomer would look for by what it does; static/core mirrors checklist/core.
MAPPED = re.compile(
    r"checklist/(?:core/|web/|cli/|demo/|export/|translation/)?[a-z_]+\.py"
    r"|static/(?:ui/|pages/|css/|station/)?[a-z_]+\.(?:js|css|html|webmanifest)"
    r"|static/core/kinds\.json|static/protocols/[\w-]+\.json|tests/[a-z_]+\.py"
)
ROW = re.compile(r"^\| `([^`]+)` \| (.+) \|$", re.MULTILINE)


def mapped() -> dict[str, str]:
    return dict(ROW.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))


def tracked() -> list[str]:
    told = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    return [path for path in told.stdout.splitlines() if MAPPED.fullmatch(path) and not path.endswith("__init__.py")]


def test_every_file_is_on_the_map_and_the_map_names_no_other():
    named = {path for path in mapped() if MAPPED.fullmatch(path)}

    assert named == set(tracked())


@pytest.mark.parametrize("path", tracked())
def test_the_map_says_what_a_file_is_for(path):
    assert len(mapped().get(path, "").split()) >= 3

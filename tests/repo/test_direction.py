"""Nothing in a style or a script says left or right: the language says where a line begins."""

import re

import pytest

from tests.repo.mentions import ROOT

STYLES = sorted((ROOT / "static" / "css").glob("*.css"))
SCRIPTS = sorted(path for path in (ROOT / "static").rglob("*.js") if "core" not in path.parts)
PHYSICAL = re.compile(
    r"(?<![\w-])(?:(?:margin|padding|border|scroll-margin|scroll-padding)-(?:left|right|top|bottom)(?:-\w+)?|left|right"
    r"|border-(?:top|bottom)-(?:left|right)-radius|(?:min-|max-)?(?:width|height)(?=\s*:[^)]*;))\s*:"
    r"|(?:text-align|float|clear|transform-origin|background-position)\s*:\s*[^;]*\b(?:left|right)\b"
)
SET_BY_SCRIPT = re.compile(r"\.style\.(?:left|right|margin(?:Left|Right)|padding(?:Left|Right)|textAlign)\b")
COMMENT = re.compile(r"/\*.*?\*/", re.S)
# Mean nothing in Arabic or in Ethiopic, or break the joins of letters.
HARMS_LETTERS = re.compile(r"text-transform\s*:|font-style\s*:\s*italic|text-align\s*:\s*justify|hyphens\s*:\s*auto")
# Hyphens stand only in languages that are named, each with letters that stand apart.
HYPHENS = re.compile(r"^.*:lang\((?:en|es|fr|sw)\)\)? \{ hyphens: auto; \}$", re.M)
# The live numbers are digits, which never join.
SPACED = re.compile(r"letter-spacing\s*:")
# A left hand is a left hand in every language, and its row of keys is turned for that alone.
TURNED = {'[data-hand="left"] .events { direction: rtl; }', '[data-hand="left"] .events > * { direction: ltr; }'}


def rules(path):
    return COMMENT.sub("", path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_a_style_knows_only_where_a_line_begins_and_ends(path):
    lines = [line for line in rules(path).splitlines() if not re.match(r"\s*@(?:page|media)", line)]

    assert [line for line in lines if PHYSICAL.search(line)] == []


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_script_sets_no_side(path):
    assert SET_BY_SCRIPT.findall(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_no_style_breaks_letters_that_join(path):
    told = rules(path)

    assert HARMS_LETTERS.findall(HYPHENS.sub("", told)) == []
    assert [line for line in told.splitlines() if SPACED.search(line) and not line.startswith(".number ")] == []


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_a_style_sets_a_direction_only_for_drawings_and_hands(path):
    lines = {line.strip() for line in rules(path).splitlines() if re.search(r"(?<![\w-])direction\s*:", line)}

    assert {line for line in lines - TURNED if not line.startswith(".draw ")} == set()

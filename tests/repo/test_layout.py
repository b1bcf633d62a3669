"""Keep the shape of the repository: names, sizes, and who may import whom."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOP = {
    ".ci",
    ".gitignore",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "checklist",
    "pyproject.toml",
    "static",
    "tests",
    "translations",
}
LONGEST = 300
WRITTEN = (".py", ".js", ".css", ".html")

# Core modules that stand in one half only, each with its reason.
ONE_HALF_ONLY: dict[str, str] = {}

# What a core that does no I/O and knows no clock may take from the languages.
PURE_PYTHON = {
    "collections",
    "collections.abc",
    "dataclasses",
    "enum",
    "json",
    "math",
    "re",
    "typing",
}
IMPURE_JAVASCRIPT = re.compile(
    r"\b(Date|performance|Math\.random|crypto|fetch|indexedDB|localStorage|navigator|document"
    r"|window|globalThis|setTimeout|setInterval|queueMicrotask|importScripts)\b"
)
AS_MARKUP = re.compile(
    r"\b(innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval)\b"
)
IMPORT = re.compile(r"""^\s*(?:import|export)\b[^;]*?\bfrom\s*["']([^"']+)["']|import\s*\(""", re.M)


def tracked():
    """Every file that git keeps or would keep."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    return sorted(ROOT / name for name in set(listed.stdout.splitlines()))


FILES = [path for path in tracked() if path.is_file()]
PYTHON_CORE = sorted((ROOT / "checklist" / "core").glob("*.py"))
JAVASCRIPT_CORE = sorted((ROOT / "static" / "core").glob("*.js"))
PAGES = [path for path in FILES if path.suffix == ".html" and "tests" not in path.parts]
JAVASCRIPT = [path for path in FILES if path.suffix == ".js" and ROOT / "static" in path.parents]


def short(path):
    return str(path.relative_to(ROOT))


def without_comments(script):
    """Drop comments; a string that looks like one does not occur in these files."""
    return re.sub(r"/\*.*?\*/|(?<![:\"'`])//[^\n]*", "", script, flags=re.S)


def test_the_top_level_is_exactly_as_drawn():
    assert {path.relative_to(ROOT).parts[0] for path in FILES} == TOP


@pytest.mark.parametrize(
    "path", [path for path in FILES if path.suffix in WRITTEN], ids=short
)
def test_no_file_is_longer_than_300_lines(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


def test_both_halves_of_the_core_hold_the_same_files():
    python = {path.stem for path in PYTHON_CORE} - {"__init__"}
    javascript = {path.stem for path in JAVASCRIPT_CORE}

    assert python ^ javascript == set(ONE_HALF_ONLY)


@pytest.mark.parametrize("path", PYTHON_CORE, ids=short)
def test_the_python_core_imports_nothing_but_core_and_errors(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert {alias.name for alias in node.names} <= PURE_PYTHON
        elif isinstance(node, ast.ImportFrom):
            inside = node.module == "checklist.errors" or node.module.startswith("checklist.core")
            assert node.level == 0 and (inside or node.module in PURE_PYTHON)


@pytest.mark.parametrize("path", JAVASCRIPT_CORE, ids=short)
def test_the_javascript_core_imports_nothing_but_core_and_errors(path):
    script = without_comments(path.read_text(encoding="utf-8"))

    for name in IMPORT.findall(script):
        assert name == "../errors.js" or re.fullmatch(r"\./[a-z_]+\.js", name)


@pytest.mark.parametrize("path", JAVASCRIPT_CORE, ids=short)
def test_the_javascript_core_knows_no_clock_page_or_network(path):
    script = without_comments(path.read_text(encoding="utf-8"))

    assert IMPURE_JAVASCRIPT.findall(script) == []


@pytest.mark.parametrize("path", PYTHON_CORE, ids=short)
def test_the_python_core_opens_no_file(path):
    names = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }

    assert not names & {"open", "input", "print", "exec", "eval", "__import__"}


def test_the_worker_imports_nothing():
    script = without_comments((ROOT / "static" / "sw.js").read_text(encoding="utf-8"))

    assert re.findall(r"\bimport\b|\bimportScripts\b", script) == []


def calls(script, name):
    """Give the arguments of every call of a method, as text."""
    for found in re.finditer(rf"\.{name}\(", script):
        depth, end = 1, found.end()
        while depth:
            depth += {"(": 1, ")": -1}.get(script[end], 0)
            end += 1
        yield script[found.end() : end - 1]


def names_a_mode(given):
    """Without a mode a transaction only reads."""
    return "," in re.sub(r"\[[^\]]*\]", "", given)


def test_every_transaction_that_writes_is_durable():
    writing = [
        (short(path), given)
        for path in JAVASCRIPT
        for given in calls(without_comments(path.read_text(encoding="utf-8")), "transaction")
        if names_a_mode(given) and "readonly" not in given
    ]

    assert writing
    for where, given in writing:
        assert re.search(r"""durability:\s*["']strict["']""", given), where


@pytest.mark.parametrize("path", JAVASCRIPT, ids=short)
def test_scripts_export_by_name_and_put_text_in_as_text(path):
    script = without_comments(path.read_text(encoding="utf-8"))

    assert not re.search(r"\bexport\s+default\b", script)
    assert not AS_MARKUP.search(script)


@pytest.mark.parametrize("path", PAGES, ids=short)
def test_pages_hold_no_script_style_or_handler_of_their_own(path):
    page = path.read_text(encoding="utf-8")

    # A block of data is no script; everything else comes from a file.
    for opening in re.findall(r"<script\b[^>]*>", page):
        assert "src=" in opening or 'type="application/json"' in opening
    assert not re.search(r"<style\b|\sstyle\s*=|\son[a-z]+\s*=\s*[\"']", page)

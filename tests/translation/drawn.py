"""Find which words each page of the tablet may draw: what its modules name, and theirs."""

import json
import re
from functools import cache
from pathlib import Path

from tests.repo.mentions import GAP, ROOT, in_script, in_table, pattern

STATIC = ROOT / "static"
IMPORTS = re.compile(r"""(?:from|import)\s*\(?\s*["'](\.[^"']+)["']""")
# A module that draws the sentence of a row of the protocol says so by this word.
OF_A_ROW = re.compile(r"\.(message|clears)\b")


def pages() -> dict[str, Path]:
    """Give every page of the tablet with its module: {name: path}."""
    found = {}
    for file in ("screen.js", "pages/later.js"):
        script = (STATIC / file).read_text(encoding="utf-8")
        modules = dict(re.findall(r'import \{ (\w+) \} from "([^"]+)"', script))
        for name, function in re.findall(r"\b(\w+): (\w+Page)\b", script):
            found[name] = ((STATIC / file).parent / modules[function]).resolve()
    return found


def reached(module: Path, stop_at_pages: bool = False) -> set[Path]:
    """Give a module and all that it imports, near and far."""
    found, ahead = set(), [module]
    while ahead:
        path = ahead.pop().resolve()
        if path in found or (stop_at_pages and "pages" in path.parts):
            continue
        found.add(path)
        ahead += [path.parent / name for name in IMPORTS.findall(path.read_text(encoding="utf-8"))]
    return found


def drawn(module: Path, ids: set[str]) -> set[str]:
    """Give the ids that a page may draw, with what stands round every page."""
    modules = reached(module) | reached(STATIC / "screen.js", stop_at_pages=True)
    names = set().union(*map(_named, modules))
    if any(OF_A_ROW.search(path.read_text(encoding="utf-8")) for path in modules):
        names |= _of_protocols()
    shapes = [pattern(name) for name in names if GAP in name]
    return {name for name in ids if name in names or any(shape.fullmatch(name) for shape in shapes)}


@cache
def _named(path: Path) -> frozenset[str]:
    return frozenset(in_script(path.read_text(encoding="utf-8")))


@cache
def _of_protocols() -> frozenset[str]:
    tables = (json.loads(path.read_text(encoding="utf-8")) for path in (STATIC / "protocols").glob("*.json"))
    return frozenset().union(*map(in_table, tables))

"""Find where words ids are named: in scripts, pages, Python and protocols.

An id is named whole ("page.history.title") or by its beginning and end with a gap
(`limit.${name}.stop`, f"problem.{code}", "station.mode." ~ mode). A gap stands for
one segment in the middle and for one or more at the end.
"""

import ast
import json
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ID = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z0-9_]+)+")
GAP = "\0"
# A string that a file name or a module name would also fit is no words id.
_FILES = re.compile(r"\.(js|json|css|html|toml|svg|png|woff2|webmanifest|py|po|md|txt)$")


def named() -> set[str]:
    """Every string of the program that may name one or more ids, gaps as GAP."""
    found: set[str] = set()
    for path in (ROOT / "static").rglob("*.js"):
        found |= in_script(path.read_text(encoding="utf-8"))
    for path in (ROOT / "checklist").rglob("*.py"):
        found |= in_python(path.read_text(encoding="utf-8"))
    for suffix in ("*.html", "*.svg", "*.txt"):
        for path in (ROOT / "checklist").rglob(suffix):
            found |= in_page(path.read_text(encoding="utf-8"))
    for path in (ROOT / "static").glob("*.html"):
        found |= in_page(path.read_text(encoding="utf-8"))
    for folder in ("protocols", "practice"):
        for path in (ROOT / "static" / folder).glob("*.json"):
            found |= in_table(json.loads(path.read_text(encoding="utf-8")))
    return {name for name in found if not _FILES.search(name)}


def in_script(script: str) -> set[str]:
    """Strings and template strings of JavaScript.

    A plus after a string or a point at its end leaves a gap; so does a call of
    choice(…) or choices(…), which are given the beginning that their ids share.
    """
    plain = re.findall(r"\"((?:[^\"\\\n]|\\.)*)\"(\s*\+)?", script)
    gapped = re.findall(r"`((?:[^`\\]|\\.)*)`", script)
    found = {text + (GAP if plus or text.endswith(".") else "") for text, plus in plain}
    for given in re.findall(r"\bchoices?\(([^()]*)\)", script):
        found |= {f"{text}.{GAP}" for text in re.findall(r"\"([a-z_.]+)\"", given)}
    found |= {re.sub(r"\$\{[^}]*\}", GAP, text) for text in gapped}
    return _like_ids(found)


def in_page(page: str) -> set[str]:
    """Strings in a template's code and in attributes; a tilde after one leaves a gap."""
    code = " ".join(re.findall(r"\{[{%](.*?)[%}]\}", page, flags=re.S))
    quoted = re.findall(r"[\"']([^\"'\n]*)[\"'](\s*~)?", code)
    quoted += [(text, "") for text in re.findall(r"=\"([^\"\n]*)\"", page)]
    return _like_ids({text + (GAP if joined else "") for text, joined in quoted})


def in_python(source: str) -> set[str]:
    """Strings and f-strings of Python; a plus after one leaves a gap."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.add(node.value)
        elif isinstance(node, ast.JoinedStr):
            parts = (part.value if isinstance(part, ast.Constant) else GAP for part in node.values)
            found.add("".join(parts))
        elif isinstance(node, ast.BinOp) and isinstance(node.left, ast.Constant):
            found.add(f"{node.left.value}{GAP}")
    return _like_ids(found)


def in_table(value: object) -> set[str]:
    """Strings anywhere in a protocol."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return set().union(*map(in_table, value))
    return _like_ids({value}) if isinstance(value, str) else set()


def called(script: str) -> set[str]:
    """Ids given whole to text("…"), in whatever language the file is written."""
    given = re.findall(r"""\b(?:text|t|parts)\(\s*["']([^"']+)["']\s*[,)]""", script)
    return {name for name in given if ID.fullmatch(name)}


def pattern(name: str) -> re.Pattern:
    """The ids that a name with gaps can stand for."""
    parts = [re.escape(part) for part in name.split(GAP)]
    middle = r"[a-z0-9_]+".join(parts)
    return re.compile(middle + r"(?:\.[a-z0-9_]+)*" if name.endswith(GAP) else middle)


def _like_ids(found: set[str]) -> set[str]:
    # A name that begins with a gap could be any id, so it vouches for none.
    return {
        text
        for text in found
        if "." in text.split(GAP)[0] and ID.fullmatch(text.replace(GAP, "x"))
    }

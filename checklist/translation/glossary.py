"""The words of the trade in a language: which English term may be said how.

A term without any of its allowed forms is put before the second person, and so is the
form of a term that means the opposite.
"""

import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.source import tgt_hash, tidy
from checklist.translation.table import quoted
from checklist.whole_files import WholeFiles

FILE = "glossary.toml"
# How many terms are remembered as they are looked for: those of some ten languages.
TERMS = 1024
# Pairs that a tired translator swaps, and that turn an instruction into its opposite.
OPPOSITES = (
    ("start", "stop"), ("begin", "stop"), ("raise", "lower"), ("before", "after"), ("left", "right"), ("above", "below"),
    ("more", "less"), ("push", "pull"), ("mother", "baby"), ("on", "off"), ("up", "down"), ("front", "back"), ("large", "small"),
    ("caution", "stop"), ("yes", "no"),
)


@dataclass(frozen=True)
class Term:
    """One term: the English, and the forms of which a translation must hold one."""

    en: str
    forms: tuple[str, ...]
    note: str = ""


def read_glossary(folder: Path) -> list[Term]:
    """Read glossary.toml of a language's folder; none is an empty one. Raises language_malformed."""
    try:
        rows = tomllib.loads((folder / FILE).read_text(encoding="utf-8")).get("term", [])
        return [Term(row["en"], tuple(map(tidy, row["forms"])), row.get("note", "")) for row in rows]
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, KeyError, TypeError, AttributeError) as error:
        raise ChecklistError("language_malformed", tag=folder.name, file=FILE, why=str(error)) from None


def write_glossary(folder: Path, terms: Iterable[Term]) -> None:
    """Write the glossary of a language, whole; a term needs a form, a form a letter. Raises language_malformed."""
    terms = list(terms)
    for term in terms:
        # An empty form would be found in every text.
        if not term.en.strip() or not term.forms or not all(form.strip() for form in term.forms):
            raise ChecklistError("language_malformed", tag=folder.name, file=FILE, why=f"no form: {term.en}")
    lines = [
        f"[[term]]\nen = {quoted(term.en)}\nforms = [{', '.join(map(quoted, term.forms))}]\nnote = {quoted(term.note)}\n"
        for term in terms
    ]
    with WholeFiles() as files:
        files.open(folder / FILE).write("\n".join(lines).encode())


def named(terms: Iterable[Term], en: str) -> Term | None:
    """Find a term by its English, whatever its capitals."""
    return next((term for term in terms if _folded(term.en) == _folded(en)), None)


def seen(term: Term | None) -> str:
    """Name a term as it stands, or that there is none; a page hands this back when it writes."""
    return tgt_hash((term.en, *term.forms, term.note)) if term else ""


def changed(terms: Sequence[Term], en: str, term: Term | None, was_seen: str) -> list[Term]:
    """Give the terms with another in the place of that one, or with none; raises words_changed when it is not as it was seen."""
    now = named(terms, en)
    if seen(now) != was_seen:
        raise ChecklistError("words_changed", id=en)
    if now is None:
        return [*terms, *([term] if term else [])]
    return [new for each in terms if (new := term if each is now else each)]


def hits(text: str, glossary: Iterable[Term]) -> list[Term]:
    """Give the terms that an English text uses."""
    low = text.casefold()
    return [term for term in glossary if _says(low, term.en)]


def has_term(text: str, term: Term) -> bool:
    """Tell whether a translation holds an allowed form of a term; forms may be stems."""
    low = text.casefold()
    return any(form.casefold() in low for form in term.forms)


def opposites(text: str, glossary: Sequence[Term]) -> list[tuple[Term, Term]]:
    """Give each term that an English text uses with a term of the opposite meaning that it does not use."""
    by_name, low = {term.en.casefold(): term for term in glossary}, text.casefold()
    found = []
    for pair in OPPOSITES:
        for one, other in (pair, pair[::-1]):
            if one in by_name and other in by_name and _says(low, one) and not _says(low, other):
                found.append((by_name[one], by_name[other]))
    return found


def concerning(text: str, glossary: Sequence[Term]) -> tuple[Term, ...]:
    """Give the terms that a translation of an English text is held to: those that it uses, and their opposites."""
    used = {term.en.casefold() for term in hits(text, glossary)}
    wanted = used | {other for pair in OPPOSITES for one, other in (pair, pair[::-1]) if one in used}
    return tuple(term for term in glossary if term.en.casefold() in wanted) if wanted else ()


def _folded(en: str) -> str:
    return " ".join(tidy(en).casefold().split())


def _says(low: str, term: str) -> bool:
    said, shape = _shape(term)
    return said in low and bool(shape.search(low))


@lru_cache(maxsize=TERMS)
def _shape(term: str) -> tuple[str, re.Pattern]:
    said = term.casefold()
    # English inflects little: an ending of up to three letters is the same word.
    return said, re.compile(rf"\b{re.escape(said)}(?:s|es|ed|ing)?\b")

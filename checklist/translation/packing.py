"""Make the pack of a language, or say why it cannot be made.

A pack holds only what may be used by a bed, and only whole lists of it; its name is the
hash of its bytes, so two people can tell that they mean the same one.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation import obstacles, table_review
from checklist.translation.catalog import Catalog, read_catalog, update
from checklist.translation.checks import Finding, blocks, check_entry, unanswered
from checklist.translation.clips import bound, clip_path, clips, is_spoken
from checklist.translation.glossary import Term, read_glossary
from checklist.translation.ledger import FILE as LEDGER
from checklist.translation.ledger import Ledger
from checklist.translation.lists import MOST_WITHDRAWN, WordList, is_enough
from checklist.translation.obstacles import Obstacle
from checklist.translation.source import Entry, src_hash, tgt_hash
from checklist.translation.table import Language, is_pseudo, read_language

# So many texts are named; the rest is a number.
MOST_NAMED = 8


@dataclass(frozen=True)
class Lacks:
    """A list that lacks texts, and what keeps each of them out: {id: [Obstacle]}."""

    list: str
    obstacles: Mapping[str, list[Obstacle]]


@dataclass(frozen=True)
class Packed:
    """A pack: its bytes, their SHA-256, the clips {SHA-256: path}, the lists left out, and those with a few lines in the source language."""

    body: bytes
    digest: str
    clips: Mapping[str, Path]
    left_out: tuple[Lacks, ...]
    marked: tuple[Lacks, ...]


@dataclass(frozen=True)
class Shelf:
    """Everything in the folder of a language, read once."""

    folder: Path
    language: Language
    catalog: Catalog
    ledger: Ledger
    glossary: list[Term]

    @classmethod
    def read(cls, folder: Path, source: Mapping[str, Entry]) -> "Shelf":
        """Read a folder, brought to today's English; raises what its files raise."""
        language = read_language(folder)
        catalog = update(read_catalog(folder, language), source)
        return cls(folder, language, catalog, Ledger.read(folder / LEDGER), read_glossary(folder))

    def forms(self, name: str) -> list[str]:
        """Give the forms of an id; empty when it is not translated."""
        row = self.catalog.rows.get(name)
        return list(row.forms) if row else []

    def before(self, entry: Entry) -> str | None:
        """Give the English of before that a text was made from, unless it was written for today's as well."""
        row, forms = self.catalog.rows.get(entry.id), self.forms(entry.id)
        return row.before[0] if row and row.before and forms and not self.ledger.writers(entry, forms) else None

    def states(self, source: Mapping[str, Entry]) -> dict[str, str]:
        """Give the state of every id."""
        return {name: self.ledger.state(entry, self.forms(name)) for name, entry in source.items()}

    def obstacles(self, entry: Entry) -> list[Obstacle]:
        """Give what keeps a text out of a pack; empty when it may go in."""
        forms = self.forms(entry.id)
        state = self.ledger.state(entry, forms)
        if state == "missing":
            return [obstacles.state(state)]
        told = [] if is_enough(entry, state) else [obstacles.state(state)]
        findings = self.findings(entry)
        told += map(obstacles.fault, blocks(findings))
        return [*told, *map(obstacles.question, self._unanswered(entry, forms, findings))]

    def unanswered(self, entry: Entry) -> list[Finding]:
        """Give the questions that nobody had answered when a text was checked: new ones, by a term or a table that changed."""
        return self._unanswered(entry, self.forms(entry.id), self.findings(entry))

    def _unanswered(self, entry: Entry, forms: list[str], findings: list[Finding]) -> list[Finding]:
        checked = self.ledger.last(entry, forms, "checked")
        return unanswered(findings, checked.get("answers")) if checked else []

    def findings(self, entry: Entry, forms: Sequence[str] | None = None) -> list[Finding]:
        """Check the text of an id, or other forms for it."""
        return check_entry(entry, self.forms(entry.id) if forms is None else forms, self.language, self.glossary)

    def attempts(self, entry: Entry) -> list[dict]:
        """Give what was written for today's English after the text that stands, and did not take its place."""
        src, tgt, found = src_hash(entry), tgt_hash(self.forms(entry.id)), []
        for row in self.ledger.history(entry.id):
            if row["act"] == "written" and row["src"] == src:
                found = [] if row["tgt"] == tgt else [*found, row]
        return found if self.forms(entry.id) else []

    def was_in_use(self, entry: Entry) -> bool:
        """Tell whether a text of this id was once good enough for real use."""
        acts = ("approved",) if entry.safety else ("checked", "approved")
        return any(row["act"] in acts for row in self.ledger.history(entry.id))


def build(folder: Path, source: Mapping[str, Entry], lists: Mapping[str, WordList], by: str, at: int) -> Packed:
    """Make the pack of a language's folder; raises words_unready, and what its files raise."""
    shelf = Shelf.read(folder, source)
    _fit(shelf.language)
    kept_out = {name: told for name, entry in source.items() if (told := shelf.obstacles(entry))}
    ready, left_out, marked = [], [], []
    for one in lists.values():
        missing = {name: kept_out[name] for name in one.ids(source) if name in kept_out}
        if _stays_offered(shelf, source, missing):
            ready.append(one)
            marked += [Lacks(one.id, missing)] if missing else []
        else:
            left_out.append(Lacks(one.id, missing))
    if not ready:
        raise ChecklistError("words_unready", tag=shelf.language.tag, **_told(left_out))
    if not table_review.approval(shelf.ledger, shelf.language):
        raise ChecklistError("words_unready", tag=shelf.language.tag, id=table_review.NAME, why="unchecked")
    chosen = {name for one in ready for name in one.ids(source)}
    texts = {name: entry for name, entry in source.items() if name in chosen and name not in kept_out}
    voice, files = _voice(shelf, texts)
    body = _body(shelf, texts, voice, sorted(chosen & set(kept_out)), by, at)
    return Packed(body, hashlib.sha256(body).hexdigest(), files, tuple(left_out), tuple(marked))


def _stays_offered(shelf: Shelf, source: Mapping[str, Entry], missing: Mapping[str, list[Obstacle]]) -> bool:
    """Tell whether a list is whole, or was and lacks only a few lines that were withdrawn since."""
    return len(missing) <= MOST_WITHDRAWN and all(shelf.was_in_use(source[name]) for name in missing)


def _fit(language: Language) -> None:
    if is_pseudo(language.tag):
        raise ChecklistError("words_unready", tag=language.tag, why="nobody speaks this language")
    if not language.sample.strip():
        # A device draws boxes for letters that it lacks; the sample is what it tries itself by.
        raise ChecklistError("words_unready", tag=language.tag, why="no sample letters in its table")


def _body(
    shelf: Shelf, texts: Mapping[str, Entry], voice: dict, withdrawn: list[str], by: str, at: int
) -> bytes:
    language = shelf.language
    pack = {name: getattr(language, name) for name in table_review.FIELDS} | {
        "pack": 1, "by": by, "at": at, "fallback": list(language.fallback),
        "plural": language.plural,
        "m": {name: _said(shelf.forms(name), entry) for name, entry in texts.items()},
        "src": {name: src_hash(entry) for name, entry in texts.items()},
        "voice": voice, "withdrawn": withdrawn,
    }
    return json.dumps(pack, ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode()


def _said(forms: list[str], entry: Entry) -> str | list[str]:
    return forms[0] if entry.plural is None else forms


def _voice(shelf: Shelf, texts: Mapping[str, Entry]) -> tuple[dict, dict[str, Path]]:
    told, files = {}, {}
    for name, entry in texts.items():
        for clip in clips(entry, shelf.forms(name), shelf.ledger) if is_spoken(entry) else ():
            if clip.state != "heard":
                continue
            path = clip_path(shelf.folder, clip.digest)
            if not path.is_file() or hashlib.sha256(path.read_bytes()).hexdigest() != clip.digest:
                raise ChecklistError("words_unready", id=clip.key, why="the recording is missing or altered")
            told[clip.key], files[clip.digest] = bound(entry, shelf.forms(name), clip), path
    return told, files


def _told(left_out: list[Lacks]) -> dict[str, object]:
    """Give what the list that is nearest to ready lacks."""
    nearest = min(left_out, key=lambda one: len(one.obstacles), default=None)
    return told_of(nearest) if nearest else {"why": "there are no lists"}


def told_of(lacks: Lacks) -> dict[str, object]:
    """Give what keeps a list from being ready as facts: how many texts, and what keeps the first of them out."""
    first = dict(list(lacks.obstacles.items())[:MOST_NAMED])
    return {"list": lacks.list, "open": len(lacks.obstacles), "obstacles": first}

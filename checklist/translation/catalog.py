"""The translations of a language by id, kept as a PO file.

An id whose English changed keeps its old translation beside the English it was made
from, as a draft; nothing is ever matched by likeness.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.lists import is_enough
from checklist.translation.po import Row, format_po, parse
from checklist.translation.source import Entry, tgt_hash
from checklist.translation.table import Language, plural_table
from checklist.whole_files import WholeFiles

FILE = Path("LC_MESSAGES") / "content.po"
BASE = "text: "


@dataclass(frozen=True)
class Catalog:
    """What content.po holds: rows by id, and the rows that have left the source."""

    rows: Mapping[str, Row] = field(default_factory=dict)
    left: tuple[Row, ...] = ()

    def forms(self) -> dict[str, list[str]]:
        """Give what is translated: {id: [forms]}, stale ones among them."""
        return {name: list(row.forms) for name, row in self.rows.items() if row.forms}

    def told(self, name: str, forms: Sequence[str], entry: Entry) -> "Catalog":
        """Put the forms of one id in, as made from today's English."""
        row = Row(name, entry.text, entry.plural, tuple(forms))
        return replace(self, rows={**self.rows, name: row})


def read_catalog(folder: Path, language: Language | None = None) -> Catalog:
    """Read the PO file of a language's folder; none is an empty one. Raises catalog_malformed."""
    try:
        data = (folder / FILE).read_bytes()
    except FileNotFoundError:
        return Catalog()
    header, rows = parse(data)
    if language:
        check_header(header, rows, language)
    return Catalog({row.id: row for row in rows if not row.gone}, tuple(row for row in rows if row.gone))


def write_catalog(
    folder: Path, language: Language, source: Mapping[str, Entry],
    forms: Mapping[str, Sequence[str]], states: Mapping[str, str], old: Catalog | None = None,
) -> None:
    """Write the PO file of a language whole, or not at all.

    forms: {id: [forms]} as made from today's English; states: {id: state}, whatever may not be
    shown in real use is marked fuzzy, so that other tools leave it out; old: what stands there,
    of which the English of before and what has left the source are kept.
    """
    old = update(old or Catalog(), source)
    rows = []
    for name, entry in source.items():
        said = tuple(forms.get(name, ()))
        before = old.rows[name].before if said == old.rows[name].forms else None
        rows.append(_row(language, entry, said, states.get(name, "draft"), before))
    target = folder / FILE
    target.parent.mkdir(parents=True, exist_ok=True)
    with WholeFiles() as files:
        files.open(target).write(_proven(language, [*rows, *old.left]))


def export_catalog(language: Language, source: Mapping[str, Entry], catalog: Catalog, states: Mapping[str, str]) -> bytes:
    """Write the file that a translator takes away; it tells on which text each entry rests."""
    rows = []
    for name, entry in source.items():
        row = catalog.rows.get(name, Row(name, entry.text))
        rows.append(_row(language, entry, row.forms, states.get(name, "draft"), row.before, f"{BASE}{tgt_hash(row.forms)}"))
    return format_po(_header(language), rows)


def update(old: Catalog, source: Mapping[str, Entry]) -> Catalog:
    """Bring a catalogue to today's English, by id alone.

    Same id and English: kept. Same id, other English: the old translation stays as a draft
    beside the English it was made from. An id that went is kept apart, and comes back when
    its English does, letter for letter.
    """
    kept = {(row.id, row.text, row.plural): row for row in old.left}
    rows = {}
    for name, entry in source.items():
        row, now = old.rows.get(name), (entry.text, entry.plural)
        if row is None or not row.forms:
            back = kept.pop((name, *now), None)
            rows[name] = replace(back, gone=False) if back else Row(name, *now)
        elif (row.text, row.plural) == now:
            rows[name] = row
        else:
            made_from = row.before or (row.text, row.plural)
            forms = row.forms if (row.plural is None) == (entry.plural is None) else row.forms[-1:]
            rows[name] = Row(name, *now, forms=forms, before=None if made_from == now else made_from)
    gone = [replace(row, gone=True, before=None) for name, row in old.rows.items() if name not in source and row.forms]
    return Catalog(rows, (*kept.values(), *gone))


@dataclass(frozen=True)
class Returned:
    """What a PO file that came back holds: {id: [forms]}, and {id: hash of the text it rested on}."""

    forms: Mapping[str, list[str]]
    english: Mapping[str, tuple[str, str | None]]
    base: Mapping[str, str]


def read_returned(data: bytes, language: Language) -> Returned:
    """Read a file that came back from a translator; raises catalog_malformed.

    Nothing in it brings approval: flags, comments and who is named in it are passed over.
    """
    header, rows = parse(data)
    check_header(header, rows, language)
    rows = [row for row in rows if not row.gone]
    return Returned(
        {row.id: list(row.forms) for row in rows if row.forms},
        {row.id: (row.text, row.plural) for row in rows},
        {row.id: note.removeprefix(BASE) for row in rows for note in row.notes if note.startswith(BASE)},
    )


def check_header(header: Mapping[str, str], rows: Iterable[Row], language: Language) -> None:
    """Refuse a file of another language or with other plural forms; raises catalog_malformed."""
    tag = header.get("Language", "").replace("_", "-")
    if tag and tag != language.tag:
        raise ChecklistError("catalog_malformed", why=f"the header says Language: {tag}, not {language.tag}")
    told = header.get("Plural-Forms", "")
    plurals = [row for row in rows if row.plural is not None and row.forms]
    if not told:
        if plurals:
            raise ChecklistError("catalog_malformed", id=plurals[0].id, why="no Plural-Forms in the header")
        return
    try:
        same = plural_table(told) == language.plural
    except ChecklistError as error:
        raise ChecklistError("catalog_malformed", why=f"Plural-Forms: {error.facts.get('why')}") from None
    # The same forms in another order would show the words for 15 at 100.
    if not same:
        raise ChecklistError("catalog_malformed", why=f"Plural-Forms is {told}, not {language.plural_forms}")


def _proven(language: Language, rows: Sequence[Row]) -> bytes:
    """Write a file that can be read again: one that cannot must not take the place of one that can."""
    data = format_po(_header(language), rows)
    told = {row.id: row.forms for row in parse(data)[1] if not row.gone}
    lost = [row.id for row in rows if not row.gone and any(row.forms) and told.get(row.id) != row.forms]
    if lost:
        raise ChecklistError("catalog_malformed", id=lost[0], why="it would be read back as another text")
    return data


def _header(language: Language) -> dict[str, str]:
    return {"Language": language.tag, "Plural-Forms": language.plural_forms}


def _row(
    language: Language, entry: Entry, forms: Sequence[str], state: str, before: tuple | None, *base: str
) -> Row:
    notes = (entry.note, f"max: {entry.max}", *(("safety",) if entry.safety else ()), *base)
    fuzzy = bool(forms) and not is_enough(entry, state)
    if entry.plural is not None:
        forms = (*forms, *[""] * (language.count - len(forms)))
    told = tuple(" ".join(note.split()) for note in notes)
    return Row(entry.id, entry.text, entry.plural, tuple(forms), fuzzy, before, told)

"""The text form of translations: PO files whose context is the id.

Babel's reader keeps the first of two entries with one id in silence and cannot read the
English of before; so files are read here, strictly, with the number of the line. Tests
hold this against Babel and against GNU gettext.
"""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from checklist.errors import ChecklistError

_LINE = re.compile(r'(?P<gone>#~ ?)?(?P<before>#?\| ?)?(?P<word>msgctxt|msgid_plural|msgid|msgstr(?:\[[0-9]\])?)?\s*"(?P<text>.*)"')
_ESCAPE = re.compile(r"\\(.)")
_ESCAPES = {"n": "\n", "t": "\t", "r": "\r", '"': '"', "\\": "\\"}
_HEADER = ("Project-Id-Version: vacuum-birth-checklist", "MIME-Version: 1.0",
           "Content-Type: text/plain; charset=UTF-8", "Content-Transfer-Encoding: 8bit")
# The pages of the workshop read the same few files at every request.
KEPT = 12


@dataclass(frozen=True)
class Row:
    """One entry: an id, the English it was made from, and its forms.

    before: the English of before, when that has changed; notes: what the translator is told.
    """

    id: str
    text: str
    plural: str | None = None
    forms: tuple[str, ...] = ()
    fuzzy: bool = False
    before: tuple[str, str | None] | None = None
    notes: tuple[str, ...] = ()
    gone: bool = False


def parse(data: bytes) -> tuple[dict[str, str], list[Row]]:
    """Read a file: its header and its rows; raises catalog_malformed with the line.

    Flags and comments are passed over, whatever they claim: approval stands in the ledger alone.
    """
    header, rows = _parsed(bytes(data))
    return dict(header), list(rows)


@lru_cache(maxsize=KEPT)
def _parsed(data: bytes) -> tuple[dict[str, str], tuple[Row, ...]]:
    """Read the very same bytes once: what they say cannot have changed."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ChecklistError("catalog_malformed", why=f"not UTF-8: {error.reason} at byte {error.start}") from None
    header, rows, seen = None, [], {}
    # A separator that somebody pasted is a sign of their text: only these end a line.
    for line, found in _entries(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")):
        if header is None:
            header = _header(found, line)
            continue
        row = _row(found, line)
        # What is gone is kept for the day its English comes back; it may stand there twice.
        if not row.gone:
            if row.id in seen:
                raise ChecklistError("catalog_malformed", line=line, id=row.id, why=f"told twice, first at line {seen[row.id]}")
            seen[row.id] = line
        rows.append(row)
    if header is None:
        raise ChecklistError("catalog_malformed", line=1, why="no header")
    return header, tuple(rows)


def unseen(text: str) -> list[str]:
    """Name the signs that no text may hold in a file, though nobody sees them: separators, controls."""
    kinds = {sign: unicodedata.category(sign) for sign in text if sign not in "\n\t"}
    return [f"U+{ord(sign):04X}" for sign, kind in kinds.items() if kind in ("Cc", "Cs", "Zl", "Zp")]


def format_po(header: dict[str, str], rows: Iterable[Row]) -> bytes:
    """Write a file: without dates and wrapping, so that a difference is a difference."""
    told = [*_HEADER, *(f"{name}: {value}" for name, value in header.items())]
    blocks = ["\n".join(['msgid ""', 'msgstr ""', *(_quoted(f"{line}\n") for line in told)])]
    blocks += ["\n".join(_lines(row)) for row in rows]
    return ("\n\n".join(blocks) + "\n").encode()


def _lines(row: Row) -> Iterable[str]:
    yield from (f"#. {note}" for note in row.notes)
    flags = ["fuzzy"] * row.fuzzy + ["python-brace-format"] * ("{" in row.text)
    if flags:
        yield f"#, {', '.join(flags)}"
    if row.before:
        yield from (f"#| {line}" for line in _english(*row.before))
    gone = "#~ " if row.gone else ""
    forms = row.forms or ("",)
    yield f"{gone}msgctxt {_quoted(row.id)}"
    yield from (gone + line for line in _english(row.text, row.plural))
    if row.plural is None:
        yield f"{gone}msgstr {_quoted(forms[0])}"
    else:
        yield from (f"{gone}msgstr[{place}] {_quoted(form)}" for place, form in enumerate(forms))


def _english(text: str, plural: str | None) -> Iterable[str]:
    yield f"msgid {_quoted(text)}"
    if plural is not None:
        yield f"msgid_plural {_quoted(plural)}"


def _entries(lines: list[str]) -> Iterable[tuple[int, dict]]:
    """Give each entry with the number of its first line: {word: text, "#" + word of before, flags}."""
    entry: dict = {}
    began, key, done = 0, "", False
    for number, line in enumerate([*(line.strip() for line in lines), ""], start=1):
        found = _LINE.fullmatch(line)
        is_note = line.startswith("#") and not found
        # A blank line or a note ends an entry, and so does a context or an id after a translation.
        if done and (not line or is_note or (found and found["word"] and not found["word"].startswith("msgstr"))):
            yield began, entry
            entry, key, done = {}, "", False
        if not line:
            continue
        began = number if not entry else began
        if is_note:
            if line.startswith("#,") and "fuzzy" in line:
                entry["fuzzy"] = True
            if line.startswith("#."):
                entry["notes"] = (*entry.get("notes", ()), line.removeprefix("#.").strip())
            continue
        if not found:
            raise ChecklistError("catalog_malformed", line=number, why=f"cannot be read: {line[:60]}")
        key = _put(entry, key, found, number)
        done = done or key.startswith("msgstr")
    if set(entry) - {"fuzzy", "notes"}:
        raise ChecklistError("catalog_malformed", line=began, why="cut off: no translation")


def _put(entry: dict, key: str, found: re.Match, number: int) -> str:
    """Take one quoted line into the entry; gives the word that a following line goes on with."""
    if found["gone"]:
        entry["gone"] = True
    if found["word"]:
        key = ("#" if found["before"] else "") + found["word"]
        if key in entry:
            raise ChecklistError("catalog_malformed", line=number, why=f"{found['word']} twice in one entry")
        entry[key] = ""
    if not key:
        raise ChecklistError("catalog_malformed", line=number, why="a text that belongs to nothing")
    entry[key] += _unquoted(found["text"], number)
    return key


def _header(entry: dict, line: int) -> dict[str, str]:
    if entry.get("msgid") != "" or "msgctxt" in entry:
        raise ChecklistError("catalog_malformed", line=line, why="the file begins without a header")
    lines = (each.partition(":") for each in entry["msgstr"].split("\n"))
    header = {name.strip(): value.strip() for name, _, value in lines}
    charset = header.get("Content-Type", "charset=UTF-8").lower().replace(" ", "")
    if "charset=utf-8" not in charset:
        raise ChecklistError("catalog_malformed", line=line, why="the header does not say UTF-8")
    return header


def _row(entry: dict, line: int) -> Row:
    name = entry.get("msgctxt")
    if not name or not entry.get("msgid"):
        raise ChecklistError("catalog_malformed", line=line, why="an entry without its id (msgctxt) or its English")
    plural = entry.get("msgid_plural")
    if plural is None:
        forms = (entry.get("msgstr"),)
    else:
        forms = tuple(entry.get(f"msgstr[{place}]") for place in range(sum(key.startswith("msgstr") for key in entry)))
    if None in forms:
        raise ChecklistError("catalog_malformed", line=line, id=name, why="the forms are not numbered from 0 on")
    before = (entry["#msgid"], entry.get("#msgid_plural")) if "#msgid" in entry else None
    row = Row(name, entry["msgid"], plural, forms, entry.get("fuzzy", False), before, entry.get("notes", ()), entry.get("gone", False))
    return row if any(forms) else replace(row, forms=())


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + escaped.replace("\n", "\\n").replace("\t", "\\t").replace("\r", "\\r") + '"'


def _unquoted(text: str, number: int) -> str:
    def plain(found: re.Match) -> str:
        if found[1] not in _ESCAPES:
            raise ChecklistError("catalog_malformed", line=number, why=f"unknown sign \\{found[1]}")
        return _ESCAPES[found[1]]

    if '"' in text and re.search(r'(?<!\\)(?:\\\\)*"', text):
        raise ChecklistError("catalog_malformed", line=number, why="a quotation mark inside a text")
    return _ESCAPE.sub(plain, text) if "\\" in text else text

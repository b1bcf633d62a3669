"""One language's words: load them, fill them, hand them to the tablet as JSON.

English sentences stand in words/*.toml by id; any other language stands in PO
files whose context is that id. Nothing here formats numbers or dates by locale.
"""

import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from checklist.core.units import format_reading
from checklist.errors import ChecklistError
from checklist.translation import lists as word_lists
from checklist.translation.catalog import read_catalog
from checklist.translation.direction import isolate
from checklist.translation.lists import MOST_WITHDRAWN, WordList
from checklist.translation.one_line import NO_BREAK, RATE, on_one_line
from checklist.translation.po import Row
from checklist.translation.source import SOURCE, read_source, src_hash, src_hash_of
from checklist.translation.table import read_language

STATION = "station"
COUNTED = "n"
_FIELD = re.compile(r"\{([a-z][a-z0-9_]*)\}")
_BETWEEN = re.compile(r"\}(.+?)\{")
_TABLE = ("name", "dir", "script", "sample", "decimal", "order", "units", "plural", "fallback")
_PLURALS = 200
_WHOLE = re.compile("[0-9]+")

Text = str | list[str]


@dataclass(frozen=True)
class Pack:
    """The words of one language and the table that goes with them.

    kind: "source", "ready" (approved) or "draft"; messages: every id, in the source's words
    where `own` lacks it; lists: list -> whether all of it is ready; src, files: hash and word file
    of each sentence of the source.
    """

    lang: str
    name: str
    dir: str
    decimal: str
    order: str
    units: dict[str, str]
    messages: dict[str, Text]
    script: str = "Latn"
    sample: str = ""
    plural: str = ""
    fallback: tuple[str, ...] = ()
    kind: str = "source"
    own: frozenset[str] = frozenset()
    lists: dict[str, bool] = field(default_factory=dict)
    voice: dict[str, dict] = field(default_factory=dict)
    src: dict[str, str] = field(default_factory=dict, repr=False)
    files: dict[str, str] = field(default_factory=dict, repr=False)
    source: "Pack | None" = field(default=None, repr=False)

    def __contains__(self, name: str) -> bool:
        return name in self.messages

    def text(self, name: str, /, **values: object) -> str:
        """Give the sentence of an id with its fields filled: the source's where these values do not fit; raises words_missing."""
        try:
            return _FIELD.sub(lambda found: self._isolated(str(values[found[1]])), self._form(name, values))
        except KeyError as missing:
            raise ChecklistError("words_missing", id=name, field=missing.args[0]) from None

    def _isolated(self, value: str) -> str:
        return isolate(value) if self.dir == "rtl" else value

    def listed(self, said: Iterable[str], by: str = "app.list") -> str:
        """Tell things one after the other, as the language does; what is empty is left out.

        by: the text that says what stands between. Raises words_missing when there is none.
        """
        told = [one for one in said if one]
        if len(told) < 2:
            return "".join(told)
        # What a draft has lost is taken from the source.
        between = _BETWEEN.search(self._form(by, {"first": "", "next": ""})) or _BETWEEN.search((self.source or self).messages[by])
        return between[1].join(map(self._isolated, told))

    def _form(self, name: str, values: Mapping[str, object]) -> str:
        """Take the form for these values: its own where they fit it, else the source's."""
        if name not in self.messages:
            raise ChecklistError("words_missing", id=name, lang=self.lang)
        own = _form_of(self.messages[name], values, self.plural) if self.source is None or name in self.own else None
        if own is not None and (self.source is None or all(field in values for field in _FIELD.findall(own))):
            return own
        source = self.source or self
        text = source.messages[name]
        if not isinstance(text, str) and COUNTED not in values:
            raise KeyError(COUNTED)
        # The source has a form for many, and that is said of what nobody counted.
        return _form_of(text, values, source.plural) or text[-1]

    def whole(self, name: str, /, **values: object) -> str:
        """Give a sentence that is a value itself, such as an amount with a unit among the words; no line breaks between the two."""
        return self._isolated(self.text(name, **values).replace(" ", NO_BREAK))

    def quantity(self, number: object, unit: str) -> str:
        """Put a number beside its unit, in the order of the language; no number gives the unit alone."""
        digits, sign = str(number).replace(".", self.decimal), self.units.get(unit, unit).replace(" ", NO_BREAK)
        shown = sign if digits == "" else NO_BREAK.join((sign, digits) if self.order == "un" and not sign.startswith(RATE) else (digits, sign))
        return self._isolated(shown)

    def reading(self, unit: str, thousandths: int) -> str:
        """Show a gauge reading that is given in thousandths of its unit."""
        return self.quantity(format_reading(unit, thousandths), unit)

    def speaks(self, of: str, *, drafts: bool = False) -> bool:
        """Tell whether it may say a list: whole, or not at all; a draft only where drafts may be shown."""
        if self.kind == "draft":
            return drafts
        return self.kind == "source" or self.lists.get(of, all(self.lists.values()))

    def as_json(self) -> bytes:
        """Write the pack as the tablet reads it, in its own words only, every number of a sentence on one line with its unit."""
        own = {name: on_one_line(self.messages[name], self) for name in (self.messages if self.source is None else sorted(self.own))}
        table = {key: getattr(self, key) for key in ("lang", *_TABLE, "kind", "lists", "voice")}
        return json.dumps(table | {"m": own}, ensure_ascii=False, separators=(",", ":")).encode()


def tags(translations: Path) -> list[str]:
    """List the languages that have a table, the source first."""
    found = sorted(path.parent.name for path in translations.glob("*/language.toml"))
    return sorted(found, key=lambda tag: tag != SOURCE)


def load(translations: Path, tag: str, *, ready: bool = False) -> Pack:
    """Read a language of a folder: the source, or a draft; what has no words yet stays in the source's.

    ready: take it for approved, as tests do. Raises words_missing when there is no such language or
    a sentence is malformed.
    """
    source = _source(translations)
    return source if tag == SOURCE else _draft(translations / tag, source, read_lists(translations), ready)


def load_all(translations: Path, *, own: Path | None = None, ready: Iterable[str] = ()) -> dict[str, Pack]:
    """Read every language: {tag: Pack}; a folder of the same tag in `own` stands in for the shipped one."""
    source, lists = _source(translations), read_lists(translations)
    packs = {SOURCE: source} | {
        tag: _draft(translations / tag, source, lists, tag in ready) for tag in tags(translations) if tag != SOURCE
    }
    for tag in tags(own) if own else ():
        try:
            packs |= {} if tag == SOURCE else {tag: _draft(own / tag, source, lists, False)}
        except ChecklistError:
            # Work that stands half done must not keep a station from starting.
            continue
    return packs


def tablet_pack(body: bytes, source: Pack, lists: Mapping[str, WordList]) -> Pack:
    """Read a pack as it is kept, for the release of this source.

    A sentence whose source has changed since, or that cannot be filled as its source is, is dropped;
    a list that lacks no more than a few lines stays offered, and those stand in the source
    language, marked. Raises pack_malformed when another version kept it and this one cannot use it.
    """
    try:
        return _tablet_pack(json.loads(body), source, lists)
    except (AttributeError, IndexError, KeyError, TypeError, ValueError) as error:
        raise ChecklistError("pack_malformed", why=str(error)) from error


def _tablet_pack(told: dict, source: Pack, lists: Mapping[str, WordList]) -> Pack:
    own = {name: text for name, text in told["m"].items() if _is_sayable(name, text, told, source)}
    held = {source.files[name] for name in told["m"] if name in source.files}
    lacks = Counter(file for name, file in source.files.items() if name not in own)
    ready = {
        name: all(file in held for file in row.files) and sum(lacks[file] for file in row.files) <= MOST_WITHDRAWN
        for name, row in lists.items()
    }
    return Pack(
        lang=told["tag"], messages=source.messages | own, own=frozenset(own), source=source, kind="ready",
        lists=ready, voice=_voice(told, own),
        **{key: told[key] for key in _TABLE if key != "fallback"}, fallback=tuple(told["fallback"]),
    )


def speaking(packs: Mapping[str, Pack], chosen: str, of: str, *, drafts: bool = False) -> Pack:
    """Give the first language of a chain that may say a list: the chosen, its fallback, the source."""
    first = packs.get(chosen, packs[SOURCE])
    chain = (first, *(packs[tag] for tag in first.fallback if tag in packs), packs[SOURCE])
    return next(pack for pack in chain if pack.speaks(of, drafts=drafts and pack is first))


def read_lists(translations: Path) -> dict[str, WordList]:
    """Read which pages and word files make one list; a folder that tells of none has none."""
    return word_lists.read_lists(translations) if (translations / word_lists.FILE).is_file() else {}


def pages_of(lists: Mapping[str, WordList]) -> dict[str, str]:
    """Tell which list each page of the tablet belongs to: {page: list}."""
    return {page: name for name, one in lists.items() for page in one.pages}


def _form_of(text: Text, values: Mapping[str, object], plural: str) -> str | None:
    """Take the form for n, if it is a whole number; above the table its last hundred comes again and again."""
    if isinstance(text, str):
        return text
    if not _WHOLE.fullmatch(str(values.get(COUNTED))):
        return None
    n = int(str(values[COUNTED]))
    form = int(plural[n if n < _PLURALS else 100 + n % 100])
    return text[form] if form < len(text) else None


def _is_sayable(name: str, text: Text, told: Mapping, source: Pack) -> bool:
    """Tell whether a sentence of a pack is of today's source, and can be filled wherever that is."""
    if name not in source.src or source.src[name] != told["src"].get(name):
        return False
    english = source.messages[name]
    if isinstance(english, str) or isinstance(text, str):
        return isinstance(english, str) and isinstance(text, str) and _fields(text) == _fields(english)
    wanted = frozenset().union(*map(_fields, english))
    # A form for one number need not write it.
    return len(text) > max(map(int, told["plural"]), default=len(text)) and all(
        wanted - {COUNTED} <= _fields(form) <= wanted for form in text)


def _fields(text: str) -> frozenset[str]:
    """Name the fields of a text; a brace that names none is a field that nothing fills."""
    return frozenset(_FIELD.findall(text)) | frozenset(sign for sign in "{}" if sign in _FIELD.sub("", text))


def _voice(told: Mapping, own: Mapping[str, Text]) -> dict[str, dict]:
    """Keep the clips whose sentence still says what was recorded."""
    return {
        key: {"file": f"voice/{row['clip']}.webm"} for key, row in told.get("voice", {}).items() if key.split("|")[0] in own
    }


def _table(folder: Path) -> Pack:
    """Read the table of a language, without any words."""
    told = read_language(folder)
    return Pack(lang=told.tag, messages={}, **{key: getattr(told, key) for key in _TABLE})


def _source(translations: Path) -> Pack:
    entries = read_source(translations / SOURCE)
    forms = {
        name: _checked(name, one.text) if one.plural is None else [_checked(name, one.text), _checked(name, one.plural)]
        for name, one in entries.items()
    }
    return replace(
        _table(translations / SOURCE), messages=forms, own=frozenset(forms),
        src={name: src_hash(one) for name, one in entries.items()}, files={name: one.file for name, one in entries.items()},
    )


def _draft(folder: Path, source: Pack, lists: Mapping[str, WordList], is_ready: bool) -> Pack:
    """Read what is translated of today's English, whatever was said of it since."""
    rows = read_catalog(folder).rows
    own = {name: _said(rows[name]) for name in source.messages if name in rows and _is_of(rows[name], source.src.get(name))}
    return replace(
        _table(folder), messages=source.messages | own, own=frozenset(own), source=source,
        kind="ready" if is_ready else "draft", lists=dict.fromkeys(lists, is_ready),
    )


def _is_of(row: Row, src: str | None) -> bool:
    """Tell whether a translation is whole, and of the sentence of this hash."""
    text, plural = row.before or (row.text, row.plural)
    return all(row.forms) and bool(row.forms) and src_hash_of(row.id, text, plural) == src


def _said(row: Row) -> Text:
    forms = [_checked(row.id, form) for form in row.forms]
    return forms[0] if row.plural is None else forms


def _checked(name: str, text: str) -> str:
    if "{" in _FIELD.sub("", text) or "}" in _FIELD.sub("", text):
        raise ChecklistError("words_missing", id=name, why="braces that name no field")
    return text

"""One language's words: load them, fill them, hand them to the tablet as JSON.

English sentences stand in words/*.toml by id; any other language stands in PO
files whose context is that id. Nothing here formats numbers or dates by locale.
"""

import hashlib
import json
import re
import tomllib
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from babel.messages.pofile import read_po

from checklist.core.units import format_reading
from checklist.errors import ChecklistError

SOURCE = "en"
NO_BREAK = "\u00a0"
_FIELD = re.compile(r"\{([a-z][a-z0-9_]*)\}")
_TABLE = ("name", "dir", "decimal", "order", "units")


@dataclass(frozen=True)
class Pack:
    """The words of one language and the table that goes with them."""

    lang: str
    name: str
    dir: str
    decimal: str
    order: str
    units: dict[str, str]
    messages: dict[str, str]

    def __contains__(self, name: str) -> bool:
        return name in self.messages

    def text(self, name: str, **values: object) -> str:
        """Give the sentence of an id with its fields filled; raises words_missing."""
        if name not in self.messages:
            raise ChecklistError("words_missing", id=name, lang=self.lang)
        try:
            return _FIELD.sub(lambda field: str(values[field[1]]), self.messages[name])
        except KeyError as field:
            raise ChecklistError("words_missing", id=name, field=field.args[0]) from None

    def quantity(self, number: object, unit: str) -> str:
        """Put a number beside its unit, in the order of the language."""
        digits, sign = str(number).replace(".", self.decimal), self.units.get(unit, unit)
        return NO_BREAK.join((sign, digits) if self.order == "un" else (digits, sign))

    def reading(self, unit: str, thousandths: int) -> str:
        """Show a gauge reading that is given in thousandths of its unit."""
        return self.quantity(format_reading(unit, thousandths), unit)

    def as_json(self) -> bytes:
        """Write the pack as the tablet reads it."""
        table = {key: getattr(self, key) for key in ("lang", *_TABLE)}
        return json.dumps(table | {"m": self.messages}, ensure_ascii=False).encode()


def tags(translations: Path) -> list[str]:
    """List the languages that have a table, the source first."""
    found = sorted(path.parent.name for path in translations.glob("*/language.toml"))
    return sorted(found, key=lambda tag: tag != SOURCE)


def load(translations: Path, tag: str) -> Pack:
    """Read the pack of a language; what is not translated stays in the source's words.

    Raises words_missing when there is no such language or a sentence is malformed.
    """
    folder = translations / tag
    try:
        table = tomllib.loads((folder / "language.toml").read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise ChecklistError("words_missing", lang=tag, why=str(error)) from None
    messages = _sentences(translations / SOURCE)
    if tag != SOURCE:
        translated = _translated(folder)
        messages = {name: translated.get(name, text) for name, text in messages.items()}
    return Pack(lang=table["tag"], messages=messages, **{key: table[key] for key in _TABLE})


def load_all(translations: Path) -> dict[str, Pack]:
    """Read every pack: {tag: Pack}."""
    return {tag: load(translations, tag) for tag in tags(translations)}


def tablet_pack(body: bytes, source: dict, lists: list) -> bytes:
    """Write a kept pack as the tablet reads it.

    source: {id: English text}; a line whose English has changed since is left out and told.
    """
    pack = json.loads(body)
    fresh = {
        name: text for name, text in pack["m"].items()
        if name in source and pack["src"].get(name) == _source_hash(name, source[name])
    }
    voice = {
        key: {"file": f"voice/{clip['clip']}.webm"}
        for key, clip in pack["voice"].items() if key.split("|")[0] in fresh
    }
    told = {key: pack[key] for key in ("name", "dir", "decimal", "order", "units")} | {
        key: pack.get(key, "") for key in ("script", "sample", "plural", "fallback")
    }
    told |= {
        "lang": pack["tag"], "kind": "ready", "m": fresh, "voice": voice,
        "lists": dict.fromkeys(lists, True),
        "withdrawn": sorted({*pack["withdrawn"], *pack["m"]} - set(fresh)),
    }
    return json.dumps(told, ensure_ascii=False).encode()


def _source_hash(name: str, text: str) -> str:
    told = json.dumps(["src", name, unicodedata.normalize("NFC", text), None], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(told.encode()).hexdigest()[:20]


def _sentences(folder: Path) -> dict[str, str]:
    sentences: dict[str, str] = {}
    for path in sorted((folder / "words").glob("*.toml")):
        try:
            rows = tomllib.loads(path.read_text(encoding="utf-8"))
        except tomllib.TOMLDecodeError as error:
            raise ChecklistError("words_missing", file=path.name, why=str(error)) from None
        for name, row in rows.items():
            if name in sentences:
                raise ChecklistError("words_missing", id=name, why="told twice")
            sentences[name] = _checked(name, row["text"])
    return sentences


def _translated(folder: Path) -> dict[str, str]:
    found = {}
    for path in sorted((folder / "LC_MESSAGES").glob("*.po")):
        with path.open("rb") as file:
            for message in read_po(file):
                if message.context and message.string and not message.fuzzy:
                    found[message.context] = _checked(message.context, message.string)
    return found


def _checked(name: str, text: str) -> str:
    if "{" in _FIELD.sub("", text) or "}" in _FIELD.sub("", text):
        raise ChecklistError("words_missing", id=name, why="braces that name no field")
    return text

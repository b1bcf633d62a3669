"""The table of a language: its name, direction, decimal mark, units and plural forms.

A language is whatever has such a table, whether or not any library knows it.
"""

import gettext
import json
import re
import tomllib
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.whole_files import WholeFiles

FILE = "language.toml"
TAG = re.compile(r"[a-z]{2,3}(-[A-Z][a-z]{3})?(-([A-Z]{2}|[0-9]{3}))?")
# Regions that Unicode sets aside for texts that nobody speaks.
PSEUDO = re.compile(r".*-X[AB]")
# A table of 200 digits serves every number: below 200 by itself, above by its last two digits.
TABLE = 200
HELD_TO = 5000
MOST_FORMS = 6
_PLURAL = re.compile(r"\s*nplurals\s*=\s*([1-9])\s*;\s*plural\s*=\s*([^;]+?)\s*;?\s*")
_TEXTS = ("tag", "name", "english", "dir", "script", "sample", "decimal", "order", "digits", "plural_forms")
_CHOICES = {"dir": ("ltr", "rtl"), "decimal": (".", ",", "\u066b"), "order": ("nu", "un")}


@dataclass(frozen=True)
class Language:
    """What language.toml says.

    sample: letters that a device must be able to draw; order: "nu" number before unit; digits:
    "latn" for 0 to 9; fallback: the tags that stand in for it, nearest first.
    """

    tag: str
    name: str
    english: str
    dir: str
    script: str
    sample: str
    decimal: str
    order: str
    digits: str
    plural_forms: str
    fallback: tuple[str, ...] = ()
    units: dict[str, str] = field(default_factory=dict)

    @property
    def count(self) -> int:
        """Give how many plural forms it has."""
        return plural_count(self.plural_forms)

    @property
    def plural(self) -> str:
        """Give its index of forms, 200 digits."""
        return plural_table(self.plural_forms)


def read_language(folder: Path) -> Language:
    """Read the table in the folder of a language; raises language_unknown, language_malformed."""
    path = folder / FILE
    try:
        told = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ChecklistError("language_unknown", tag=folder.name) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ChecklistError("language_malformed", tag=folder.name, why=str(error)) from None
    language = _language(told, folder.name)
    if language.tag != folder.name:
        raise ChecklistError("language_malformed", tag=folder.name, why=f"the table is that of {language.tag}")
    plural_table(language.plural_forms)
    return language


def write_language(folder: Path, language: Language) -> None:
    """Write the table of a language into its folder, whole; raises language_malformed."""
    lines = [f"{name} = {quoted(getattr(language, name))}" for name in _TEXTS]
    lines.append(f"fallback = [{', '.join(map(quoted, language.fallback))}]")
    lines += ["", "[units]", *(f"{quoted(name)} = {quoted(sign)}" for name, sign in language.units.items())]
    text = "\n".join(lines) + "\n"
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ChecklistError("language_malformed", tag=language.tag, why=str(error)) from None
    plural_table(_language(told, language.tag).plural_forms)
    folder.mkdir(parents=True, exist_ok=True)
    with WholeFiles() as files:
        files.open(folder / FILE).write(text.encode())


def plural_count(plural_forms: str) -> int:
    """Give the number of forms that a Plural-Forms line names; raises language_malformed."""
    return _parsed(plural_forms)[0]


@lru_cache(maxsize=64)
def plural_table(plural_forms: str) -> str:
    """Turn a Plural-Forms line into the index of the form for 0 to 199; raises language_malformed.

    For larger numbers the form is that of 100 and the last two digits; a rule for which that
    is not so is refused.
    """
    count, form = _parsed(plural_forms)
    try:
        found = [form(n) for n in range(HELD_TO)]
    except (ArithmeticError, ValueError) as error:
        raise ChecklistError("language_malformed", why=f"plural rule: {error}") from None
    if not all(0 <= each < count for each in found):
        raise ChecklistError("language_malformed", why="the plural rule names a form that is not there")
    if any(found[n] != found[100 + n % 100] for n in range(TABLE, HELD_TO)):
        raise ChecklistError("language_malformed", why="the plural rule goes beyond the last two digits")
    return "".join(map(str, found[:TABLE]))


def numbers_of_forms(plural: str, count: int) -> list[int | None]:
    """Give for each form the one number it stands for, or None when it stands for several."""
    found: list[int | None] = []
    for form in range(count):
        numbers = [n for n, digit in enumerate(plural) if digit == str(form)]
        # What is said of 100 to 199 is said of every later hundred too.
        found.append(numbers[0] if len(numbers) == 1 and numbers[0] < TABLE // 2 else None)
    return found


def is_pseudo(tag: str) -> bool:
    """Tell whether a tag is that of a language made for looking at layouts."""
    return bool(PSEUDO.fullmatch(tag))


def quoted(text: str) -> str:
    """Write a text as TOML does: JSON's way of quoting is one of TOML's."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _parsed(plural_forms: str) -> tuple:
    matched = _PLURAL.fullmatch(plural_forms)
    if not matched or int(matched[1]) > MOST_FORMS:
        raise ChecklistError("language_malformed", why=f"no plural rule: {plural_forms!r}")
    try:
        return int(matched[1]), gettext.c2py(matched[2])
    except ValueError as error:
        raise ChecklistError("language_malformed", why=f"plural rule: {error}") from None


def _language(told: dict, tag: str) -> Language:
    told = {"english": told.get("name"), "sample": "", "digits": "latn", "script": "", **told}
    fallback, units = told.pop("fallback", []), told.pop("units", {})
    unknown = set(told) - set(_TEXTS)
    if unknown:
        raise ChecklistError("language_malformed", tag=tag, why=f"unknown: {', '.join(sorted(unknown))}")
    for name in _TEXTS:
        if not isinstance(told.get(name), str) or told[name] not in _CHOICES.get(name, (told[name],)):
            raise ChecklistError("language_malformed", tag=tag, why=f"{name}: {told.get(name)!r}")
    if not TAG.fullmatch(told["tag"]):
        raise ChecklistError("language_malformed", tag=tag, why=f"no tag of a language: {told['tag']}")
    fallback = [fallback] if isinstance(fallback, str) else fallback
    if not all(isinstance(each, str) for each in [*fallback, *units.values()]):
        raise ChecklistError("language_malformed", tag=tag, why="fallback and units are texts")
    unseen = [name for name, sign in units.items() if not sign.strip()]
    if unseen:
        raise ChecklistError("language_malformed", tag=tag, why=f"no sign: {', '.join(unseen)}")
    return Language(**told, fallback=tuple(fallback), units=units)

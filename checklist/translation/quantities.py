"""Find the numbers and the units in a text, whatever its language.

Fields are taken out first: what fills them comes from the content and cannot be wrong here.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping

# A sign that is no word in any language, wherever it stands.
SIGNS = ("mmHg", "cmH2O", "kgf/cm²", "inHg", "kPa", "mmol/L", "mL", "mg", "kg", "cm", "mm", "°C", "%")
# A sign that is also a letter or a word: only beside a number or a field.
NEAR = ("bar", "g", "L", "m")
# Time is said in words in many languages, so its signs may be missing for a good reason.
TIMES = ("min", "s", "h")
UNITS = SIGNS + NEAR + TIMES
# Ids of units that are not their sign in small letters.
_IDS = {"kgf/cm²": "kgf_cm2", "mmol/L": "mmol_l", "°C": "celsius"}
_NUMBER = r"\d+(?:[.,\u066b]\d+)*"
_NUMBERS = re.compile(_NUMBER)
_FIELD = re.compile(r"\{[^{}]*\}")
# "And" and "with" are written on to a number in Arabic.
_FREE = r"(?<![.,])(?<![^\W\u0621-\u064a])"
_VALUE = rf"(?:{_FREE}{_NUMBER}|\{{[a-z][a-z0-9_]*\}})"
_SPACE = r"[ \u00a0\u202f]"
_GAP = rf"{_SPACE}?"


def unit_id(sign: str) -> str:
    """Name a unit as the table of a language does, by its usual sign."""
    return _IDS.get(sign, sign.lower())


def own_signs(table: Mapping[str, str]) -> dict[str, str]:
    """Give the units that a table of {id: sign} writes in a way of its own, by their usual signs: {"kPa": "кПа"}."""
    signs = {unit: one_spaced(table.get(unit_id(unit), unit)) for unit in UNITS}
    return {unit: sign for unit, sign in signs.items() if sign != unit}


def one_spaced(sign: str) -> str:
    """Write a sign with one plain space between its words, whatever white space stands there."""
    return " ".join(sign.split())


def in_usual_signs(text: str, own: Mapping[str, str]) -> str:
    """Write the units of a text by their usual signs; a usual sign where the language has another is none of its own, and goes."""
    return _written(text, dict.fromkeys(own, " ") | {sign: unit for unit, sign in own.items()})


def strays(text: str, own: Mapping[str, str]) -> Counter:
    """Count the usual signs of a text that stand where the language has signs of its own."""
    return units(_written(text, dict.fromkeys(own.values(), " ")), own)


def without_fields(text: str) -> str:
    """Take the fields out of a text."""
    return _FIELD.sub(" ", text)


def ascii_digits(text: str) -> str:
    """Write every digit as 0 to 9; a raised one, as in cm², stays."""
    if text.isascii():
        return text
    return "".join(str(unicodedata.decimal(sign)) if sign.isdecimal() else sign for sign in text)


def numbers(text: str) -> Counter:
    """Count the numbers of a text; a decimal mark of any kind reads as a point."""
    return Counter(_pointed(number) for number in _NUMBERS.findall(ascii_digits(without_fields(text))))


def units(text: str, kept: Iterable[str] = UNITS) -> Counter:
    """Count the units of a text, of those that keep their sign in every language."""
    kept, found, plain, text = set(kept), Counter(), without_fields(text), ascii_digits(text)
    for unit in SIGNS:
        if unit in kept and unit in plain:
            found[unit] = len(re.findall(_bounded(unit), plain))
    for unit in NEAR + TIMES:
        if unit in kept and unit in text:
            found[unit] = _beside(text, unit)
    return +found


def beside(text: str, unit: str) -> int:
    """Count how often a unit stands beside a number or a field."""
    return _beside(ascii_digits(text), unit)


def pairs(text: str, kept: Iterable[str] = UNITS, order: str = "nu") -> Counter:
    """Count which number or field stands with which unit, in the order of the language."""
    found, text = Counter(), ascii_digits(text)
    for unit in (each for each in kept if each in SIGNS and each in text):
        shape = rf"({_VALUE}){_GAP}{_bounded(unit)}" if order == "nu" else rf"{_bounded(unit)}{_GAP}({_VALUE})"
        for value in re.findall(shape, text):
            found[(value if value.startswith("{") else _pointed(value), unit)] += 1
    return found


def _beside(text: str, unit: str) -> int:
    return len(re.findall(rf"{_VALUE}{_GAP}{_bounded(unit)}|{_bounded(unit)}{_GAP}{_VALUE}", text))


def _written(text: str, signs: Mapping[str, str]) -> str:
    if not signs:
        return text
    # The longer first: a sign may begin with another.
    found = "|".join(map(_bounded, sorted(signs, key=len, reverse=True)))
    return re.sub(rf"{_FIELD.pattern}|{found}", lambda one: signs.get(one_spaced(one[0]), one[0]), text)


def _pointed(number: str) -> str:
    return number.replace(",", ".").replace("\u066b", ".")


def _bounded(unit: str) -> str:
    escaped = re.escape(unit).replace(r"\ ", _SPACE)
    return rf"(?<![^\W\d_])(?<!/){escaped}(?![^\W_])" if unit[0].isalpha() else escaped

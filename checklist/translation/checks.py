"""Hold one translation against its English, and say what may have changed its meaning.

"block" keeps a text out of use; "ask" must be answered, with a name, by the second
person. No program sees a lost "not": such things can only be put before a person's eyes.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from string import Formatter
from types import MappingProxyType
from typing import NamedTuple

from checklist.translation.glossary import Term, concerning, has_term, hits, opposites
from checklist.translation.quantities import ascii_digits, numbers, own_signs, without_fields
from checklist.translation.source import KEPT, Entry
from checklist.translation.table import Language, numbers_of_forms, plural_count, plural_table
from checklist.translation.unit_check import differ, units_differ

BLOCK, ASK, WARN = "block", "ask", "warn"
TAG = re.compile(r"<[^<>]*>|</?[a-zA-Z]|&(?:#\d+|#x[0-9a-fA-F]+|\w+);")
BIDI = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")
# Joiners are letters' own business in Persian, Nepali and Hindi.
JOINERS = frozenset("\u200c\u200d")
UNSEEN = frozenset("\ufeff\u00ad\u2028\u2029")
END = {
    ".": ".", "!": "!", "?": "?", ":": ":", "…": "…", "।": ".", "۔": ".", "።": ".", "؟": "?", "：": ":",
    "፦": ":", "፡": ":", "፧": "?",
}
MEANING = re.compile(
    r"\b(not|never|no|nobody|nothing|none|cannot|[a-z]+n't|without|unless|until|before|after|first|stop|start|begin|only|both"
    r"|either|left|right|above|below|more|less|most|least|raise|lower|higher|up|down|front|back)\b"
)
COUNTING = re.compile(
    r"\b(one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|sixty|hundred|once|twice|half|double"
    r"|third)\b"
)
SCRIPTS = {
    "Latn": "LATIN", "Arab": "ARABIC", "Deva": "DEVANAGARI", "Ethi": "ETHIOPIC", "Beng": "BENGALI", "Cyrl": "CYRILLIC",
    "Grek": "GREEK", "Hebr": "HEBREW", "Thai": "THAI", "Mymr": "MYANMAR", "Khmr": "KHMER", "Laoo": "LAO", "Taml": "TAMIL",
    "Telu": "TELUGU", "Sinh": "SINHALA", "Gujr": "GUJARATI", "Guru": "GURMUKHI", "Tibt": "TIBETAN", "Hani": "CJK",
}
# Below this length a ratio says nothing.
RATIO_FROM = 8
SHORTEST, LONGEST = 0.4, 2.5
# Fewer letters than these are a sign or an abbreviation.
FEW_LETTERS = 4


class Finding(NamedTuple):
    """One thing that is or may be wrong with a text.

    rows: the rows of the table that may be wrong instead of the text, "unit." before the id of a unit;
    term: the English of the term that may be.
    """

    level: str
    code: str
    detail: str = ""
    rows: tuple[str, ...] = ()
    term: str = ""


class Rows(NamedTuple):
    """The rows of the table of a language that a check reads."""

    digits: str
    script: str
    order: str
    plural_forms: str
    units: tuple[tuple[str, str], ...]


def check_entry(entry: Entry, forms: Sequence[str], language: Language, glossary: Sequence[Term] = ()) -> list[Finding]:
    """Check all forms of a translation by the table of its language and the terms that its English uses."""
    rows = Rows(language.digits, language.script, language.order, language.plural_forms, tuple(language.units.items()))
    english = " ".join(without_fields(f"{entry.text} {entry.plural or ''}").split())
    return list(_found(entry.text, entry.plural, entry.max, tuple(forms), rows, concerning(english, glossary)))


# What is remembered cannot be out of date: all that a check reads is the name of what it found.
@lru_cache(maxsize=KEPT)
def _found(
    text: str, plural: str | None, max_len: int, forms: tuple[str, ...], rows: Rows, glossary: tuple[Term, ...]
) -> tuple[Finding, ...]:
    told = {
        "max_len": max_len, "digits": rows.digits, "script": SCRIPTS.get(rows.script), "order": rows.order,
        "own": own_signs(dict(rows.units)), "glossary": glossary,
    }
    if plural is None:
        if len(forms) > 1:
            return (Finding(BLOCK, "plural-count", f"{len(forms)} of 1"),)
        return tuple(check(text, forms[0] if forms else "", **told))
    count = plural_count(rows.plural_forms)
    return tuple(check_plural(text, plural, forms, count, numbers_of_forms(plural_table(rows.plural_forms), count), **told))


def check_plural(
    src: str, src_plural: str, forms: Sequence[str], count: int, one_value: Sequence[int | None], **told: object
) -> list[Finding]:
    """Check each form; one_value[i] is the one number that form i stands for, or None.

    Only a form that stands for one number may leave {n} out, or write that number.
    """
    if len(forms) != count:
        return [Finding(BLOCK, "plural-count", f"{len(forms)} of {count}", ("plural_forms",))]
    found = []
    for place, form in enumerate(forms):
        number = one_value[place]
        english = src if number == 1 else src_plural
        if number is not None and "{n}" not in form and "{n}" in english:
            english = _as_written(english, form, number)
        for one in check(english, form, **told):
            # By another rule the form might stand for one number, which it may leave out.
            by_rule = one.code == "placeholder" and number is None and not _fields(english.replace("{n}", ""), form)
            found.append(one._replace(code=f"{one.code}[{place}]", rows=("plural_forms",) if by_rule else one.rows))
    return found


def check(
    src: str, dst: str, *, max_len: int = 0, same_ok: bool = False, digits: str = "latn", own: Mapping[str, str] = MappingProxyType({}),
    glossary: Sequence[Term] = (), script: str | None = None, order: str = "nu",
) -> list[Finding]:
    """Check one text; gives every finding, blocks and asks alike.

    own: the signs of units that the language writes in its own way, by their usual ones.
    """
    if not dst or not dst.strip():
        return [Finding(BLOCK, "empty")]
    found = [*_signs(src, dst), *_fields(src, dst), *_numbers(src, dst, digits), *_units(src, dst, own, order)]
    found += _sameness(src, dst, same_ok, script)
    size = length(dst)
    if max_len and size > max_len:
        found.append(Finding(BLOCK, "too-long", f"{size} of {max_len}"))
    elif len(src) >= RATIO_FROM and not SHORTEST <= size / len(src) <= LONGEST:
        found.append(Finding(ASK, "length", f"{len(src)} became {size}"))
    if END.get(src[-1]) != END.get(dst[-1]):
        found.append(Finding(ASK, "end-mark", f"{src[-1]} became {dst[-1]}"))
    return found + _meaning(src, dst, glossary)


def blocks(findings: Iterable[Finding]) -> list[Finding]:
    """Give the findings that keep a text out of use."""
    return [finding for finding in findings if finding.level == BLOCK]


def asks(findings: Iterable[Finding]) -> list[Finding]:
    """Give the findings that a second person must answer."""
    return [finding for finding in findings if finding.level == ASK]


def unanswered(findings: Iterable[Finding], answers: dict[str, str] | None) -> list[Finding]:
    """Give the asks that have no answer in words."""
    answers = answers or {}
    return [finding for finding in asks(findings) if not str(answers.get(finding.code, "")).strip()]


def can_be_drawn(entry: Entry, forms: Sequence[str], language: Language) -> bool:
    """Tell whether a screen can fill and show this text at all, draft or not."""
    codes = {finding.code.partition("[")[0] for finding in blocks(check_entry(entry, forms, language))}
    return not codes & {"empty", "plural-count", "placeholder", "bidi-control", "control", "format-char"}


def word_of(code: str) -> str:
    """Name the words that say what a finding means."""
    plain = code.partition("[")[0].partition(":")[0].replace("-", "_")
    return f"flaw.{plain}"


def fields(text: str) -> Counter:
    """Count the named fields; raises ValueError at one that is not a plain name in braces."""
    found: Counter = Counter()
    for _, name, shape, change in Formatter().parse(text):
        if name is None:
            continue
        if not re.fullmatch(r"[a-z][a-z0-9_]*", name) or shape or change:
            raise ValueError(f"{{{name}}} is no plain name")
        found[name] += 1
    return found


def length(text: str) -> int:
    """Count the signs as they stand side by side: a mark above or below its letter takes no room."""
    return sum(not unicodedata.combining(sign) for sign in text)


def _signs(src: str, dst: str) -> list[Finding]:
    found = []
    for sign in dict.fromkeys(dst):
        kind, code = unicodedata.category(sign), f"U+{ord(sign):04X}"
        if sign in BIDI:
            found.append(Finding(BLOCK, "bidi-control", code))
        elif (kind in ("Cc", "Co", "Cs", "Cn") and sign != "\n") or sign in UNSEEN:
            found.append(Finding(BLOCK, "control", code))
        elif kind == "Cf" and sign not in JOINERS:
            found.append(Finding(BLOCK, "format-char", code))
    if unicodedata.normalize("NFC", dst) != dst:
        found.append(Finding(BLOCK, "not-nfc"))
    if dst != dst.strip() or "  " in dst:
        found.append(Finding(BLOCK, "space"))
    if dst.count("\n") != src.count("\n"):
        found.append(Finding(BLOCK, "lines"))
    if "%" in dst and "%" not in src:
        found.append(Finding(BLOCK, "percent"))
    if sorted(TAG.findall(dst)) != sorted(TAG.findall(src)):
        found.append(Finding(BLOCK, "markup"))
    return found


def _fields(src: str, dst: str) -> list[Finding]:
    try:
        wanted, given = fields(src), fields(dst)
    except ValueError as error:
        return [Finding(BLOCK, "placeholder", str(error))]
    return [] if wanted == given else [Finding(BLOCK, "placeholder", differ(wanted, given))]


def _numbers(src: str, dst: str, digits: str) -> list[Finding]:
    found = []
    if digits == "latn" and any(sign.isdecimal() and not sign.isascii() for sign in dst):
        found.append(Finding(BLOCK, "digits", ascii_digits(dst), ("digits",)))
    wanted, given = numbers(src), numbers(dst)
    if wanted != given:
        found.append(Finding(BLOCK, "number", differ(wanted, given)))
    return found


def _units(src: str, dst: str, own: Mapping[str, str], order: str) -> list[Finding]:
    other = units_differ(src, dst, own, order)
    return [Finding(BLOCK if other.is_sure else ASK, "unit", other.detail, other.rows)] if other else []


def _sameness(src: str, dst: str, same_ok: bool, script: str | None) -> list[Finding]:
    found = []
    letters = [sign for sign in without_fields(dst) if sign.isalpha()]
    if dst == src and letters and not same_ok:
        found.append(Finding(ASK, "same-as-source"))
    foreign = sum(script not in unicodedata.name(sign, "") for sign in letters) if script else 0
    if len(letters) >= FEW_LETTERS and foreign * 2 > len(letters):
        found.append(Finding(ASK, "script", f"{foreign} of {len(letters)}", ("script",)))
    return found


def _meaning(src: str, dst: str, glossary: Sequence[Term]) -> list[Finding]:
    # The name of a field is no word of the text.
    found, src, dst = [], without_fields(src), without_fields(dst)
    for term in hits(src, glossary):
        if not has_term(dst, term):
            found.append(Finding(ASK, f"term:{term.en}", ", ".join(term.forms), term=term.en))
    for term, opposite in opposites(src, glossary):
        if has_term(dst, opposite):
            found.append(Finding(ASK, f"opposite:{opposite.en}", f"{term.en}: {', '.join(opposite.forms)}", term=opposite.en))
    for code, words in (("meaning-word", MEANING), ("number-word", COUNTING)):
        told = list(dict.fromkeys(words.findall(src.casefold())))
        if told:
            found.append(Finding(ASK, code, ", ".join(told)))
    return found


def _as_written(english: str, form: str, number: int) -> str:
    """Write the one number of a form as the form does: in digits, or not at all."""
    written = str(number) if numbers(form)[str(number)] > numbers(english)[str(number)] else ""
    return " ".join(english.replace("{n}", written).split())

"""An invented language in which approval, withdrawal and fallback can be seen.

Velindi is English with its vowels moved on by one, so whoever looks at the demonstration
can tell what a line says. Nobody speaks it, and its four people are invented.
"""

import re
import time
from dataclasses import replace
from pathlib import Path

from checklist.tables import TRANSLATIONS
from checklist.translation import table_review
from checklist.translation.catalog import write_catalog
from checklist.translation.checks import asks, check_entry
from checklist.translation.glossary import FILE as GLOSSARY
from checklist.translation.glossary import read_glossary
from checklist.translation.ledger import FILE as LEDGER
from checklist.translation.ledger import Ledger
from checklist.translation.lists import read_lists
from checklist.translation.quantities import UNITS
from checklist.translation.source import SOURCE, Entry, read_source
from checklist.translation.start import new_table
from checklist.translation.table import FILE as TABLE
from checklist.translation.table import Language, read_language, write_language

TAG, NAME = "qvv", "Velindi"
WRITER, CHECKER, READER, LEAD = "Asha Demo", "Ben Demo", "Dara Demo", "Chandra Demo"
APPROVED, BEGUN = "bedside", "debrief"
# Seen on the first screen, so the demonstration shows what a withdrawn line looks like.
WITHDRAWN = "home.start_note"
DAY_MS = 86_400_000
TERMS = ("start", "stop", "pull", "before", "after", "baby", "mother")
_VOWELS = "aeiouAEIOU"
_ON = str.maketrans(_VOWELS, "eiouaEIOUA")
_BACK = str.maketrans("eiouaEIOUA", _VOWELS)
# What stays as it is: fields, and the signs of units.
_KEPT = re.compile(r"(\{[a-z0-9_]+\}|(?<![^\W\d_])(?:" + "|".join(map(re.escape, UNITS)) + r")(?![^\W_]))")


def velindi(text: str) -> str:
    """Say an English text in Velindi."""
    return _each_part(text, _ON)


def english(text: str) -> str:
    """Say a Velindi text in English again."""
    return _each_part(text, _BACK)


def invented_language(folder: Path, now: int | None = None) -> bool:
    """Fill a translations folder with Velindi, once; gives False when it is there already.

    The list of the bedside is approved but for one line that was withdrawn; what a practice
    birth is talked over with was begun; the rest is missing, so its lists fall back.
    """
    place = folder / TAG
    if (place / TABLE).is_file():
        return False
    now = time.time_ns() // 1_000_000 if now is None else now
    source, lists = read_source(TRANSLATIONS / SOURCE), read_lists(TRANSLATIONS)
    language = _table()
    place.mkdir(parents=True, exist_ok=True)
    (place / GLOSSARY).write_text("".join(f'[[term]]\nen = "{term}"\nforms = ["{velindi(term)}"]\n' for term in TERMS))
    forms, ledger = {}, Ledger()
    for name in lists[APPROVED].ids(source):
        forms[name] = _forms(source[name])
        _approve(ledger, source[name], forms[name], language, place, now)
    begun = [name for name, entry in source.items() if entry.file == BEGUN]
    for place_in_list, name in enumerate(begun[: len(begun) // 2]):
        forms[name] = _forms(source[name])
        ledger.add(source[name], forms[name], "written", WRITER, now - 2 * DAY_MS + place_in_list, "person")
    ledger.add(
        source[WITHDRAWN], forms[WITHDRAWN], "withdrawn", LEAD, now - DAY_MS, note="The midwives read it as a question",
    )
    ledger.add_all([table_review.approving(ledger, language, CHECKER, now - 5 * DAY_MS, table_review.seen(language))])
    (place / LEDGER).unlink(missing_ok=True)
    Ledger((), place / LEDGER).add_all(ledger.rows())
    states = {name: ledger.state(source[name], said) for name, said in forms.items()}
    write_catalog(place, language, source, forms, states)
    # The table comes last: a folder that was cut off has none, and is begun anew.
    write_language(place, language)
    return True


def _approve(ledger: Ledger, entry: Entry, forms: list[str], language: Language, place: Path, now: int) -> None:
    """Take a text through every step, as the four of them did."""
    found = asks(check_entry(entry, forms, language, read_glossary(place)))
    ledger.add(entry, forms, "written", WRITER, now - 9 * DAY_MS, "person")
    answers = {finding.code: "Read aloud: the same." for finding in found}
    ledger.add(entry, forms, "checked", CHECKER, now - 8 * DAY_MS, answers=answers)
    if entry.safety:
        ledger.add(entry, forms, "back", READER, now - 7 * DAY_MS, "person", text=english(forms[0]))
        ledger.add(entry, forms, "judged", LEAD, now - 6 * DAY_MS, same=True)
    ledger.add(entry, forms, "approved", LEAD, now - 5 * DAY_MS)


def _forms(entry: Entry) -> list[str]:
    return [velindi(text) for text in (entry.text, entry.plural) if text is not None]


def _table() -> Language:
    units = read_language(TRANSLATIONS / SOURCE).units
    return replace(new_table(TAG, units), name=NAME, english="Velindi (invented)", sample=velindi(NAME))


def _each_part(text: str, moved: dict) -> str:
    return "".join(part if _KEPT.fullmatch(part) else part.translate(moved) for part in _KEPT.split(text))

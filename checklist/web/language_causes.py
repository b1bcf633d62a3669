"""What may be wrong in the place of a text: a row of its table, or a term, each with the page on which it is changed."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import url_for

from checklist.translation.checks import Finding
from checklist.translation.table import Language
from checklist.web.language_forms import unit_signs
from checklist.web.parts import parts

_UNIT = "unit."
_DIGITS = {"latn": "0 1 2 3 4 5 6 7 8 9"}


@dataclass(frozen=True)
class Cause:
    """A row or a term: what it is, its label, what it says, and the address at which it is changed, "" where it stays."""

    what: str
    label: str
    said: str
    address: str


def causes(language: Language, finding: Finding) -> list[Cause]:
    """Give what may be wrong in the place of the text; nothing where the text alone can be."""
    found = [_row(language, row) for row in finding.rows if _is_there(language, row)]
    return [*found, _term(language, finding.term)] if finding.term else found


def is_mended_elsewhere(language: Language, findings: Iterable[Finding]) -> bool:
    """Tell whether some page other than that of the text may be the one to go to."""
    return any(cause.address for one in findings for cause in causes(language, one))


def _row(language: Language, row: str) -> Cause:
    text = parts().pack.text
    label, said = {
        "digits": (text("languages.field.digits"), _DIGITS.get(language.digits, language.digits)),
        "plural_forms": (text("languages.field.plural"), language.plural_forms),
        "script": (text("languages.field.script"), language.script),
    }.get(row) or (text("languages.field.units"), unit_signs(language)[row.removeprefix(_UNIT)])
    # They stay as the language was begun, for the texts so far rest on them.
    stays = row in ("digits", "plural_forms")
    address = "" if stays else url_for("station.languages.table", tag=language.tag, _anchor=row)
    return Cause(text("languages.because.table"), label, said, address)


def _term(language: Language, en: str) -> Cause:
    text = parts().pack.text
    return Cause(text("languages.because.term"), "", en, url_for("station.languages.term", tag=language.tag, en=en))


def _is_there(language: Language, row: str) -> bool:
    """Tell whether the table has such a row: not every unit has one."""
    return not row.startswith(_UNIT) or row.removeprefix(_UNIT) in unit_signs(language)

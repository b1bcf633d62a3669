"""Begin the table of a language from what CLDR knows of it; unknown to CLDR is no hindrance.

Babel's own header for Arabic has two forms the other way round, and it lacks Swahili,
Amharic and Nepali; so the forms are worked out from CLDR's rules, in the order zero, one,
two, few, many, other, and then stay fixed in the table.
"""

from babel import Locale, UnknownLocaleError
from babel.core import get_global
from babel.numbers import get_decimal_symbol
from babel.plural import PluralRule, to_gettext
from babel.units import format_unit

from checklist.errors import ChecklistError
from checklist.translation.source import SOURCE
from checklist.translation.table import HELD_TO, Language, plural_count, plural_table

# What a table, a pack and a tablet can write.
DECIMALS = (".", ",")
CATEGORIES = ("zero", "one", "two", "few", "many", "other")
# How people write the commonest rules; tried before one is composed.
USUAL = (
    "nplurals=1; plural=0;", "nplurals=2; plural=(n != 1);", "nplurals=2; plural=(n > 1);",
    # East Slavic, Serbo-Croatian, and Polish.
    "nplurals=3; plural=(n%10==1 && n%100!=11 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);",
    "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);",
    "nplurals=6; plural=(n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=11 ? 4 : 5);",
)


def new_table(tag: str, units: dict[str, str]) -> Language:
    """Give the table with which a language begins; what CLDR does not know, or tells as no table can hold, is to be filled in by hand."""
    try:
        locale = Locale.parse(tag, sep="-")
    except (UnknownLocaleError, ValueError):
        return Language(
            tag=tag, name=tag, english=tag, dir="ltr", script="Latn", sample="", decimal=DECIMALS[0], order="nu", digits="latn",
            plural_forms=USUAL[1], fallback=(SOURCE,), units=dict(units),
        )
    decimal = get_decimal_symbol(locale, numbering_system="latn")
    name = locale.get_display_name(locale) or tag
    return Language(
        tag=tag, name=name, english=locale.english_name or tag,
        dir="rtl" if locale.character_order == "right-to-left" else "ltr", script=_script(locale), sample=name,
        decimal=decimal if decimal in DECIMALS else DECIMALS[0], order=_order(locale), digits="latn",
        plural_forms=_plural_forms_or_usual(locale), fallback=(SOURCE,), units=dict(units),
    )


def plural_forms(locale: Locale) -> str:
    """Write CLDR's rule for whole numbers below 5000 as a Plural-Forms line."""
    rule = locale.plural_form
    said = [rule(n) for n in range(HELD_TO)]
    order = [name for name in CATEGORIES if name in said]
    # A category that no whole number here falls into would be a form that nobody ever sees; what no rule takes falls into the last.
    composed = to_gettext(PluralRule({name: told for name, told in rule.rules.items() if name in order[:-1]}))
    wanted = "".join(str(order.index(name)) for name in said[:200])
    for told in (*USUAL, composed):
        try:
            if plural_table(told) == wanted and plural_count(told) == len(order):
                return told
        except ChecklistError:
            continue
    raise ChecklistError("language_malformed", tag=str(locale), why="its plural rule fits no table")


def _plural_forms_or_usual(locale: Locale) -> str:
    try:
        return plural_forms(locale)
    except ChecklistError:
        # As Cornish, whose forms go by more than the last two digits.
        return USUAL[1]


def _script(locale: Locale) -> str:
    if locale.script:
        return locale.script
    likely = get_global("likely_subtags").get(locale.language, "")
    return next((part for part in likely.split("_") if len(part) == 4), "Latn")


def _order(locale: Locale) -> str:
    """Tell whether the number stands before its unit, by how minutes are written."""
    return "nu" if format_unit(5, "duration-minute", "short", locale=locale).strip()[0].isdigit() else "un"

"""The table of a language says what CLDR says, and a language that CLDR lacks needs no code."""

import pytest
from babel import Locale
from babel.localedata import locale_identifiers
from babel.numbers import format_decimal
from babel.units import format_unit

from checklist.errors import ChecklistError
from checklist.tables import TRANSLATIONS
from checklist.translation.start import CATEGORIES, new_table
from checklist.translation.table import (
    TAG, Language, is_pseudo, numbers_of_forms, plural_count, plural_table, read_language, write_language,
)

TAGS = ("en", "fr", "es", "sw", "ar", "pt", "am", "ne", "hi")
TO = 5000
# What is written into the tables of these languages, fixed: a newer library may not change it.
FIXED = {
    "en": "nplurals=2; plural=(n != 1);", "fr": "nplurals=2; plural=(n > 1);", "es": "nplurals=2; plural=(n != 1);",
    "sw": "nplurals=2; plural=(n != 1);", "pt": "nplurals=2; plural=(n > 1);", "am": "nplurals=2; plural=(n > 1);",
    "ne": "nplurals=2; plural=(n != 1);", "hi": "nplurals=2; plural=(n > 1);",
    "ar": "nplurals=6; plural=(n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=11 ? 4 : 5);",
}
BABELS_ARABIC = "nplurals=6; plural=(n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=0 && n%100<=2 ? 4 : 5);"
FRENCH = "nplurals=2; plural=(n > 1);"


def form_of(table, n):
    """Give the index of a form as the tablet does."""
    return int(table[n if n < 200 else 100 + n % 100])


@pytest.mark.parametrize("tag", TAGS)
def test_the_plural_table_is_that_of_cldr(tag):
    rule = Locale.parse(tag).plural_form
    said = [rule(n) for n in range(TO)]
    order = [name for name in CATEGORIES if name in said]

    table = plural_table(FIXED[tag])

    assert len(table) == 200
    assert [order[form_of(table, n)] for n in range(TO)] == said


@pytest.mark.parametrize("tag", TAGS)
def test_a_new_language_begins_with_the_fixed_plural_rule(tag):
    assert new_table(tag, {}).plural_forms == FIXED[tag]


EAST_SLAVIC = "nplurals=3; plural=(n%10==1 && n%100!=11 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);"
POLISH = "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);"


@pytest.mark.parametrize(("tag", "rule"), [*((tag, EAST_SLAVIC) for tag in ("ru", "uk", "be", "sr", "hr", "bs")), ("pl", POLISH)])
def test_a_slavic_language_begins_with_the_rule_that_people_write(tag, rule):
    told = Locale.parse(tag).plural_form
    said = [told(n) for n in range(TO)]
    order = [name for name in CATEGORIES if name in said]

    assert new_table(tag, {}).plural_forms == rule
    assert [order[form_of(plural_table(rule), n)] for n in range(TO)] == said


def test_no_language_begins_with_a_form_that_is_never_said():
    rules = {new_table(tag, {}).plural_forms for tag in locale_identifiers() if TAG.fullmatch(tag)}

    assert len(rules) > 20
    assert [rule for rule in rules if len(set(plural_table(rule))) != plural_count(rule)] == []


@pytest.mark.parametrize("tag", TAGS)
def test_the_decimal_mark_is_that_of_cldr(tag):
    table = new_table(tag, {})

    for tenths in range(200):
        whole, rest = divmod(tenths, 10)
        told = f"{whole}.{rest}" if rest else str(whole)
        assert told.replace(".", table.decimal) == format_decimal(tenths / 10, locale=tag)


@pytest.mark.parametrize("tag", TAGS)
def test_the_order_of_number_and_unit_is_that_of_cldr(tag):
    first = format_unit(5, "pressure-kilopascal", "short", locale=tag)[0].isdigit()

    assert new_table(tag, {}).order == ("nu" if first else "un")


@pytest.mark.parametrize(
    ("tag", "dir", "script"),
    [("ar", "rtl", "Arab"), ("am", "ltr", "Ethi"), ("ne", "ltr", "Deva"), ("sw", "ltr", "Latn")],
)
def test_direction_and_script_are_those_of_cldr(tag, dir, script):
    table = new_table(tag, {})

    assert (table.dir, table.script) == (dir, script) and table.sample and table.name != tag


def test_arabic_in_the_order_of_babels_own_header_is_another_table():
    assert plural_table(BABELS_ARABIC) != plural_table(FIXED["ar"])


@pytest.mark.parametrize("tag", ["qvv", "krl", "tet", "din-SS"])
def test_a_language_that_cldr_lacks_begins_all_the_same(tag, tmp_path):
    table = new_table(tag, {"kpa": "kPa"})
    write_language(tmp_path / tag, table)

    assert read_language(tmp_path / tag) == table
    assert table.digits == "latn" and table.fallback == ("en",)


def test_numbers_that_have_a_form_to_themselves():
    assert numbers_of_forms(plural_table(FIXED["ar"]), 6) == [0, 1, 2, None, None, None]
    assert numbers_of_forms(plural_table(FIXED["en"]), 2) == [1, None]
    assert numbers_of_forms(plural_table(FRENCH), 2) == [None, None]
    # What is said of 100 is said of every later hundred.
    assert numbers_of_forms(plural_table("nplurals=2; plural=(n >= 100 && n % 100 == 0);"), 2) == [None, None]


@pytest.mark.parametrize(
    "rule",
    [
        "", "nplurals=2", "nplurals=2; plural=n", "nplurals=2; plural=(e > 1);", "nplurals=9; plural=0;",
        "nplurals=2; plural=(n == 1000);", "nplurals=2; plural=(n > 1", "nplurals=2; plural=__import__('os');",
        "nplurals=2; plural=(n > 1); more",
    ],
)
def test_a_plural_rule_that_no_table_can_hold_is_refused(rule):
    with pytest.raises(ChecklistError) as refused:
        plural_table(rule)

    assert refused.value.code == "language_malformed"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('dir = "rtl"', 'dir = "up"'), ('order = "nu"', 'order = "xx"'), ('decimal = "."', 'decimal = "·"'),
        ('tag = "ar"', 'tag = "fa"'), ('tag = "ar"', 'tag = "../x"'), ('script = "Arab"', "script = 5"),
        ('digits = "latn"', 'digits = "latn"\ncolour = "red"'), ('name = ', 'nome = '), ('dir = "rtl"', "dir = "),
        ("fallback = [", "fallback = [1, "), ("nplurals=6", "nplurals=2"),
    ],
)
def test_a_table_that_cannot_be_meant_is_refused(tmp_path, old, new):
    write_language(tmp_path / "ar", new_table("ar", {}))
    path = tmp_path / "ar" / "language.toml"
    told = path.read_text()
    path.write_text(told.replace(old, new))

    assert path.read_text() != told
    with pytest.raises(ChecklistError) as refused:
        read_language(tmp_path / "ar")
    assert refused.value.code == "language_malformed"


@pytest.mark.parametrize("sign", ["", " ", "\u00a0"])
def test_a_unit_without_a_sign_is_refused(tmp_path, sign):
    with pytest.raises(ChecklistError) as refused:
        write_language(tmp_path / "sw", new_table("sw", {"kpa": "kPa", "min": sign}))
    assert refused.value.code == "language_malformed" and "min" in refused.value.facts["why"]

    write_language(tmp_path / "sw", new_table("sw", {"min": "dakika"}))
    path = tmp_path / "sw" / "language.toml"
    path.write_text(path.read_text().replace("dakika", sign))
    with pytest.raises(ChecklistError, match="language_malformed"):
        read_language(tmp_path / "sw")


def test_a_name_with_quotation_marks_is_kept(tmp_path):
    table = Language("qvv", 'The "low"\\high', "x", "ltr", "Latn", "s", ".", "nu", "latn", FRENCH, ("sw", "en"), {"min": 'd"k'})
    write_language(tmp_path / "qvv", table)

    assert read_language(tmp_path / "qvv") == table


def test_pseudo_languages_are_known_by_their_region():
    assert is_pseudo("en-XA") and is_pseudo("ar-XB") and not is_pseudo("en-ZA")


@pytest.mark.parametrize("path", sorted(TRANSLATIONS.glob("*/language.toml")), ids=lambda path: path.parent.name)
def test_every_shipped_table_can_be_read_and_its_plurals_are_fixed(path):
    table = read_language(path.parent)

    assert table.plural_forms and plural_table(table.plural_forms) == plural_table(FIXED.get(table.tag, table.plural_forms))


@pytest.mark.parametrize("rule", ["nplurals=2; plural=(1/n);", "nplurals=2; plural=(5%n);"])
def test_a_plural_rule_that_divides_by_nothing_is_refused(rule):
    with pytest.raises(ChecklistError, match="language_malformed"):
        plural_table(rule)


@pytest.mark.parametrize("tag", ["kw", "bgn"])
def test_what_cldr_tells_and_no_table_holds_begins_plainly(tag, tmp_path):
    write_language(tmp_path / tag, new_table(tag, {}))

    assert read_language(tmp_path / tag).decimal in (".", ",")

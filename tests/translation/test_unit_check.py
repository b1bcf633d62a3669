"""The units of a translation are those of its English, in signs of the language's own too."""

from collections import Counter

import pytest

from checklist.tables import TRANSLATIONS
from checklist.translation.checks import ASK, BLOCK, blocks, check_entry
from checklist.translation.quantities import unit_id, units
from checklist.translation.source import Entry, read_source
from checklist.translation.start import new_table
from checklist.translation.table import read_language


def entry(text):
    return Entry("a.b", "a", text, None, "", 90, True)


def test_a_unit_that_a_language_says_in_a_word_is_not_held_to_its_sign():
    table = new_table("sw", {"min": "dakika", "kpa": "kPa"})

    assert blocks(check_entry(entry("5 min"), ["dakika 5"], table)) == []
    assert [f.code for f in blocks(check_entry(entry("5 kPa"), ["5"], table))] == ["unit"]


# As CLDR 48 writes them in Russian, by way of Babel; the last as in Swahili of Kenya (from memory).
OWN = {"kpa": "кПа", "mmhg": "мм рт. ст.", "mm": "мм", "ml": "мл", "inhg": "mm Hg"}


@pytest.mark.parametrize(
    ("src", "dst", "told"),
    [
        ("At 80 kPa (600 mmHg)", "На 80 кПа (600 мм рт. ст.)", ""),
        ("Give {dose} mL", "Дать {dose} мл", ""),
        ("At 600 mmHg", "На 600\u00a0мм\u00a0рт.\u202fст.", ""),
        ("At 600 kPa", "На 600 мм\u00a0рт.\u00a0ст.", "missing кПа; extra мм рт. ст."),
        ("A cup of 50 mm", "Чашка 50 мм", ""),
        ("At 5 inHg or 5 mm", "На 5 mm Hg или 5 мм", ""),
        ("At {kpa} kPa", "На {kpa} кПа", ""),
        ("At 80 kPa (600 mmHg)", "На 80 мм рт. ст. (600 кПа)", "missing 600 мм рт. ст., 80 кПа; extra 80 мм рт. ст., 600 кПа"),
        ("At 80 kPa", "На 80 мм рт. ст.", "missing кПа; extra мм рт. ст."),
        ("At 80 kPa", "На 80 мм", "missing кПа; extra мм"),
        ("At 80 kPa", "На 80", "missing кПа"),
        ("At 80 kPa", "На 80 kPa", "missing кПа; extra kPa"),
        ("At 80 kPa", "На 80 кПа mmHg", "extra mmHg"),
        ("At 80 kPa", "На 80 кПа kPa", "extra kPa"),
        ("Hold at {value}.", "Держать на {value} mmHg.", "extra mmHg"),
        ("At 5 inHg", "На 5 mm Hg mm", "extra mm"),
        ("At 80", "На 80 кПа", "extra кПа"),
        ("A cup of 50 mm", "Чашка 50 мм рт. ст.", "missing мм; extra мм рт. ст."),
    ],
)
def test_a_sign_of_a_language_s_own_is_counted_as_the_usual_one_is(src, dst, told):
    found = [(one.code, one.detail) for one in blocks(check_entry(entry(src), [dst], new_table("ru", OWN)))]

    assert found == ([("unit", told)] if told else [])


def test_white_space_of_any_kind_in_a_sign_of_the_table_is_one_space():
    table = new_table("ru", OWN | {"mmhg": "мм\u00a0рт.  ст."})

    assert blocks(check_entry(entry("At 600 mmHg"), ["На 600 мм рт. ст."], table)) == []


TIMES = {"min": "мин", "s": "с", "h": "ч"}


@pytest.mark.parametrize(
    ("src", "dst", "told"),
    [
        ("{n} min", "{n} мин", []),
        ("{n} min", "{n} min", []),
        ("{n} min", "{n} минуты", []),
        ("Wait {n} minutes", "Ждите {n} мин", []),
        ("{h} h {min} min", "{h} ч {min} мин", []),
        ("{n} min", "{n} ч", ["extra ч"]),
        ("{n} min", "{n} h", ["extra h"]),
        ("{n} min", "{n} мин {n} с", ["extra с"]),
        ("{h} h {min} min", "{h} мин {min} мин", ["extra мин"]),
        ("Wait {n} minutes", "Ждите {n} ч", ["extra ч"]),
        ("Wait {n}", "Ждите {n} мин", ["extra мин"]),
        ("{n} min with a pump", "{n} мин с насосом", []),
    ],
)
def test_another_time_than_the_english_says_is_asked_about(src, dst, told):
    found = [one for one in check_entry(entry(src), [dst], new_table("ru", TIMES)) if one.code == "unit"]

    assert [one.detail for one in found] == told and {one.level for one in found} <= {ASK}


def test_a_unit_that_is_surely_wrong_blocks_whatever_times_stand_beside_it():
    (one,) = blocks(check_entry(entry("80 kPa for {n} min"), ["80 на {n} ч"], new_table("ru", TIMES)))

    assert one.detail == "missing kPa; extra ч"


@pytest.mark.parametrize(
    ("src", "dst", "level", "told"),
    [
        ("At 80 kPa (see list)", "На 80 кПа (см. список)", ASK, "extra см"),
        ("See list {n}", "{n} (см. список)", ASK, "extra см"),
        ("At 80 (see list)", "На 80 см (список)", BLOCK, "extra см"),
        ("At 80 (see list)", "На 80 (cm список)", BLOCK, "extra cm"),
        ("At 80 kPa (see list)", "На 80 (см. список)", BLOCK, "missing кПа; extra см"),
        ("At 80 kPa (600 mmHg), see list", "На 80 мм рт. ст. (600 кПа), см. список", BLOCK,
         "missing 600 мм рт. ст., 80 кПа; extra 80 мм рт. ст., 600 кПа"),
        ("5 min at 80 kPa (600 mmHg)", "5 минут на 80 мм рт. ст. (600 кПа)", BLOCK,
         "missing 600 мм рт. ст., 80 кПа; extra 80 мм рт. ст., 600 кПа"),
        ("At 80", "На 80 (kg)", BLOCK, "extra kg"),
    ],
)
def test_an_own_sign_that_is_a_word_too_is_asked_about(src, dst, level, told):
    (one,) = (one for one in check_entry(entry(src), [dst], new_table("ru", OWN | {"cm": "см"})) if one.code == "unit")

    assert (one.level, one.detail) == (level, told)


def test_another_spelling_in_the_table_keeps_out_the_texts_with_the_usual_one():
    def rows(said):
        (one,) = check_entry(entry("At 80 kPa"), [said], new_table("sw", {"kpa": "kpa", "mmhg": "mm"}))
        assert (one.level, one.code) == (BLOCK, "unit")
        return one.rows

    assert rows("Kwa kPa 80") == ("unit.kpa",)
    # Another unit's sign, or both signs of one unit, is no matter of the table.
    assert rows("Kwa mmHg 80") == rows("Kwa kpa 80 kPa") == rows("Kwa kPa 80 kPa") == ()


def test_every_unit_of_the_table_is_held_to_the_sign_that_the_table_gives():
    for unit, sign in read_language(TRANSLATIONS / "en").units.items():
        english = entry(f"At 5 {sign}")
        usual, other = new_table("sw", {unit: sign}), new_table("sw", {unit: "kizio"})

        assert unit == "bpm" or [one.code for one in check_entry(english, ["Kwa 5 kizio"], usual)] == ["unit"]
        assert [one.code for one in check_entry(english, ["Kwa 5 kizio"], other)] == []


def test_every_unit_that_the_source_says_has_a_row_for_the_sign_of_another_language():
    said = Counter()
    for one in read_source(TRANSLATIONS / "en").values():
        said += units(one.text)

    assert {"kg", "mg", "g", "kPa", "min", "°C"} <= set(said)
    assert {unit_id(unit) for unit in said} <= set(read_language(TRANSLATIONS / "en").units)


def test_a_weight_may_have_a_sign_of_its_own():
    russian = new_table("ru", {"kg": "кг"})

    assert check_entry(entry("Over 4 kg"), ["Больше 4 кг"], russian) == []
    assert [one.code for one in check_entry(entry("Over 4 kg"), ["Больше 4 kg"], russian)] == ["unit"]


@pytest.mark.parametrize(("said", "codes"), [
    ("عند 80 kPa و600 mmHg", []), ("عند 600 kPa و80 mmHg", ["unit"]), ("عند 80 kPa وa600 mmHg", ["unit"]),
])
def test_a_number_that_arabic_writes_on_to_a_word_is_one(said, codes):
    found = check_entry(entry("At 80 kPa and 600 mmHg"), [said], new_table("ar", {}))

    assert [one.code for one in found if one.level == BLOCK] == codes

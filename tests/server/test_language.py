"""Packs: words by id, filled strictly."""

import json

import pytest

from checklist.errors import ERRORS, ChecklistError
from checklist.language import load, load_all, tags
from checklist.tables import TRANSLATIONS

TABLE = (
    'tag = "{tag}"\nname = "{tag}"\ndir = "ltr"\nscript = "Latn"\ndecimal = "."\norder = "nu"\n'
    'plural_forms = "nplurals=2; plural=(n != 1);"\n[units]\nkpa = "kPa"\n'
)


@pytest.fixture
def words(tmp_path):
    """Make a translations folder with an English sentence and a French draft."""
    for tag in ("en", "fr"):
        (tmp_path / tag).mkdir()
        (tmp_path / tag / "language.toml").write_text(TABLE.format(tag=tag))
    (tmp_path / "en" / "words").mkdir()
    (tmp_path / "en" / "words" / "a.toml").write_text(
        '["a.limit"]\ntext = "At most {most} {unit}"\n["a.yes"]\ntext = "Yes"\n'
    )
    (tmp_path / "fr" / "LC_MESSAGES").mkdir()
    (tmp_path / "fr" / "LC_MESSAGES" / "content.po").write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
        'msgctxt "a.limit"\nmsgid "At most {most} {unit}"\nmsgstr "Au plus {most} {unit}"\n'
    )
    return tmp_path


def test_fields_are_filled(words):
    assert load(words, "en").text("a.limit", most=80, unit="kPa") == "At most 80 kPa"


@pytest.mark.parametrize(
    ("name", "values"), [("a.limit", {"most": 80}), ("a.none", {}), ("", {})]
)
def test_what_is_missing_is_never_left_out(words, name, values):
    with pytest.raises(ChecklistError) as refused:
        load(words, "en").text(name, **values)

    assert refused.value.code == "words_missing"


def test_a_value_is_never_read_as_a_field(words):
    assert load(words, "en").text("a.limit", most="{unit}", unit="m") == "At most {unit} m"


def test_a_translation_is_found_by_its_id_and_the_rest_stays_english(words):
    french = load(words, "fr")

    assert french.text("a.limit", most=1, unit="m") == "Au plus 1 m"
    assert french.text("a.yes") == "Yes"


@pytest.mark.parametrize("text", ["{", "a } b", "{Most}", "{}", "{most!r}"])
def test_braces_that_name_no_field_are_refused(words, text):
    (words / "en" / "words" / "b.toml").write_text(f'["b.x"]\ntext = "{text}"\n')

    with pytest.raises(ChecklistError, match="words_missing"):
        load(words, "en")


def test_one_id_in_two_files_is_refused(words):
    (words / "en" / "words" / "b.toml").write_text('["a.yes"]\ntext = "No"\n')

    with pytest.raises(ChecklistError, match="told twice"):
        load(words, "en")


def test_the_source_language_comes_first(words):
    assert tags(words) == ["en", "fr"]


def test_the_pack_of_the_tablet_is_the_pack_of_the_pages():
    pack = load(TRANSLATIONS, "en")

    read = json.loads(pack.as_json())

    assert read["m"] == pack.messages
    assert set(read) == {
        "lang", "dir", "name", "script", "sample", "decimal", "order", "units", "plural", "fallback",
        "kind", "lists", "withdrawn", "voice", "m",
    }


def test_every_shipped_language_loads():
    assert "en" in load_all(TRANSLATIONS)


@pytest.mark.parametrize("code", ERRORS)
def test_every_error_has_a_sentence(code):
    assert load(TRANSLATIONS, "en").text(f"problem.{code}").endswith(".")

"""Every sentence is complete, every id that is used exists, none is left over."""

import re
import tomllib

import pytest

from checklist.errors import ERRORS
from checklist.tables import protocol_in_force
from tests.repo.mentions import GAP, ROOT, called, in_script, named, pattern

WORDS = ROOT / "translations" / "en" / "words"
FIELD = re.compile(r"\{[a-z][a-z0-9_]*\}")
# "plural" is the form for several; "values" the rows with which a sentence is spoken.
COLUMNS = {"text", "note", "max", "safety", "plural", "values"}
# Heard, not drawn: found by convention, "spoken." before the id of the message.
SPOKEN = "spoken."
# What is heard apart from advice.
SAID_ALONE = {"check", "back", "pull", "level.stop", "level.caution"}


def rows():
    return [
        (path.name, name, row)
        for path in sorted(WORDS.glob("*.toml"))
        for name, row in tomllib.loads(path.read_text(encoding="utf-8")).items()
    ]


ROWS = rows()
IDS = {name for _, name, _ in ROWS}
FIRST_SEGMENTS = {name.split(".")[0] for name in IDS}
PROTOCOL = protocol_in_force()[1]


def by_id(row):
    return row[1] if isinstance(row, tuple) else None


@pytest.mark.parametrize("row", ROWS, ids=by_id)
def test_a_sentence_has_its_text_its_note_its_length_and_its_weight(row):
    _, _, columns = row

    assert {"text", "note", "max", "safety"} <= set(columns) <= COLUMNS
    assert isinstance(columns["text"], str) and columns["text"].strip() == columns["text"] != ""
    assert isinstance(columns["note"], str) and columns["note"].strip()
    assert type(columns["max"]) is int and columns["max"] > 0
    assert type(columns["safety"]) is bool


@pytest.mark.parametrize("row", ROWS, ids=by_id)
def test_a_sentence_fits_its_place(row):
    _, _, columns = row

    assert len(columns["text"]) <= columns["max"]


@pytest.mark.parametrize("row", ROWS, ids=by_id)
def test_the_fields_of_a_sentence_are_plain_names(row):
    _, _, columns = row

    assert not re.search(r"[{}]", FIELD.sub("", columns["text"]))


def test_no_id_is_told_twice():
    names = [name for _, name, _ in ROWS]

    assert sorted(names) == sorted(set(names))


def test_every_id_that_is_called_by_name_exists():
    files = [
        path
        for folder, suffixes in (("static", (".js", ".html")), ("checklist", (".py", ".html")))
        for path in (ROOT / folder).rglob("*")
        if path.suffix in suffixes
    ]
    used = {name for path in files for name in called(path.read_text(encoding="utf-8"))}

    assert used
    assert sorted(used - IDS) == []


def test_every_string_of_the_tablet_that_looks_like_an_id_is_one_or_begins_one():
    strings = {
        name
        for path in (ROOT / "static").rglob("*.js")
        for name in in_script(path.read_text(encoding="utf-8"))
        if GAP not in name and name.split(".")[0] in FIRST_SEGMENTS
    }

    unknown = {
        name for name in strings - IDS if not any(known.startswith(f"{name}.") for known in IDS)
    }

    assert strings
    assert sorted(unknown) == []


def test_every_name_with_a_gap_stands_for_some_id():
    gapped = [name for name in named() if GAP in name and name.split(".")[0] in FIRST_SEGMENTS]

    empty = [name for name in gapped if not any(map(pattern(name).fullmatch, IDS))]

    assert [name.replace(GAP, "…") for name in empty] == []


def test_no_id_is_left_over():
    names = named()
    whole = {name for name in names if GAP not in name}
    gapped = [pattern(name) for name in names if GAP in name]

    orphans = [
        name
        for name in IDS - whole
        if not name.startswith(SPOKEN) and not any(shape.fullmatch(name) for shape in gapped)
    ]

    assert sorted(orphans) == []


def test_every_error_has_its_sentence():
    assert {f"problem.{code}" for code in ERRORS} - IDS == set()


def test_every_level_of_every_limit_has_its_sentence_and_what_clears_it():
    messages = {level["message"] for row in PROTOCOL["limits"] for level in row["levels"]}
    clears = {row["clears"] for row in PROTOCOL["limits"]}

    assert sorted((messages | clears) - IDS) == []


@pytest.mark.parametrize("row", [row for row in ROWS if {"plural", "values"} & set(row[2])], ids=by_id)
def test_a_plural_and_values_name_the_fields_of_the_sentence(row):
    _, _, columns = row
    fields = set(FIELD.findall(columns["text"]))

    assert set(FIELD.findall(columns.get("plural", "{n}"))) | fields == fields | {"{n}"}
    for values in columns.get("values", []):
        assert {f"{{{name}}}" for name in values} == fields


def test_what_is_heard_with_advice_names_a_message():
    messages = {level["message"] for row in PROTOCOL["limits"] for level in row["levels"]}
    drawn = {name for file, name, _ in ROWS if file == "limits.toml"}
    spoken = {name.removeprefix(SPOKEN) for name in IDS if name.startswith(SPOKEN)}

    assert sorted(spoken - SAID_ALONE - messages - drawn) == []


def reasons():
    """The ids under which an answer that is no plain go gives its reason."""
    for row in PROTOCOL["questions"]:
        choices = row["answers"] + row.get("bands", []) + row.get("places", [])
        for choice in choices:
            if choice["verdict"] != "go":
                yield f"before.{row['id']}.{choice['id']}.why"
    for row in PROTOCOL["together"]:
        yield f"before.{row['id']}.far.why"


def test_every_answer_that_is_no_go_has_its_reason():
    assert sorted(set(reasons()) - IDS) == []


def test_what_a_woman_or_baby_could_be_hurt_by_is_marked_for_safety():
    weights = {name: row["safety"] for _, name, row in ROWS}
    stops = {
        level["message"]
        for row in PROTOCOL["limits"]
        for level in row["levels"]
        if level["level"] == "stop"
    }

    assert sorted(name for name in (stops | set(reasons())) & IDS if not weights[name]) == []


# A sign that is shown between two things, alone in its string or between two fields of one.
BETWEEN = re.compile(r"""(?<![\w",.])"[,;] "(?=[,\])\s;])|`[,;] \$\{|\}[,;] \$\{|["'][,;] ["']\.join\(|join\((["'])[,;] \1\)""")
# What stands in the language in which it was written, in every language.
OF_ONE_LANGUAGE = ("TABLE_LANGUAGE", 'lang="en"')


def test_between_two_things_stands_what_the_language_puts_there():
    places = (("static/pages", "*.js"), ("static/ui", "*.js"), ("checklist/web", "*.py"), ("checklist/web/templates", "*.html"))
    files = [path for folder, shape in places for path in (ROOT / folder).glob(shape)]
    shown = [f"{path.name}: {line.strip()}" for path in files for line in path.read_text(encoding="utf-8").splitlines()
             if BETWEEN.search(line) and not any(told in line for told in OF_ONE_LANGUAGE)]

    assert len(files) > 150
    assert shown == []

"""The tables of an export, held against Frictionless Table Schema by its own validator.

Source: frictionless 5.21.0, the reference implementation of the Data Package standard.
"""

import json

import pytest
from frictionless import validate

from checklist.export import csv_files
from checklist.export.columns import TABLES
from checklist.export.pseudonym import Pseudonyms
from tests.crowd import worst_days

CASES = 400
LEAST_REAL = 150
NAMES = Pseudonyms(b"k" * 32)
EVERYTHING = frozenset({"label", "text"})


def written(folder, holds=frozenset(), cases=CASES):
    """Write invented cases into a folder; gives how many are real."""
    crowd = worst_days(range(cases))
    return csv_files.write_folder(crowd, NAMES, folder, holds, lambda _: None)


def faults(folder):
    """Let the validator look through a folder: kinds of fault."""
    report = validate(str(folder / csv_files.DESCRIPTOR))
    return {row[0] for row in report.flatten(["type"])}


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """Give a folder with everything in it, to be copied and broken."""
    folder = tmp_path_factory.mktemp("tables")
    written(folder, EVERYTHING, cases=60)
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("holds", [frozenset(), EVERYTHING], ids=["least", "everything"])
def test_hundreds_of_worst_days_keep_to_the_dictionary(tmp_path, holds):
    real = written(tmp_path, holds)

    assert real > LEAST_REAL
    assert faults(tmp_path) == set()


def swap(name, old, new, times=1):
    """Break one file by putting something else for a text that is there."""

    def change(files):
        assert old in files[name]
        files[name] = files[name].replace(old, new, times)

    return change


def second_line_again(files):
    """Tell the first case twice."""
    lines = files["cases.csv"].split(b"\r\n")
    files["cases.csv"] = b"\r\n".join([*lines[:2], *lines[1:]])


def without_first_case(files):
    """Leave pulls, answers and entries without their case."""
    lines = files["cases.csv"].split(b"\r\n")
    files["cases.csv"] = b"\r\n".join([lines[0], *lines[2:]])


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (swap("pulls.csv", b",1,descent,", b",1,sideways,"), "constraint-error"),
        (swap("facts.csv", b",Pa,", b",Pa,,,,"), "extra-cell"),
        (swap("events.csv", b"true", b"perhaps"), "type-error"),
        (swap("events.csv", b"Z,", b"X,"), "type-error"),
        (swap("cases.csv", b"closed_at", b"shut_at"), "incorrect-label"),
        (second_line_again, "primary-key"),
        (without_first_case, "foreign-key"),
    ],
    ids=["choice", "extra cell", "flag", "time", "header", "twice", "orphans"],
)
def test_what_is_broken_on_purpose_is_found(tmp_path, whole, change, fault):
    files = dict(whole)
    change(files)
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)

    assert fault in faults(tmp_path)


def test_every_column_says_what_it_means_and_empty_is_never_no(tmp_path):
    written(tmp_path, EVERYTHING, cases=1)

    package = json.loads((tmp_path / csv_files.DESCRIPTOR).read_text())

    assert [resource["name"] for resource in package["resources"]] == [table.name for table in TABLES]
    assert "never no" in package["description"]
    for resource in package["resources"]:
        assert resource["schema"]["missingValues"] == [""]
        for field in resource["schema"]["fields"]:
            assert len(field["description"].split()) > 1, field["name"]
            assert field["type"] != "integer" or "unit" in field or field["name"] in NUMBERS


# Numbers that count nothing and measure nothing.
NUMBERS = {"pull", "event", "number"}

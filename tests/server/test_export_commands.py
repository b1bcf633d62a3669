"""checklist export csv, fhir and sqlite: what is written, refused, and written down."""

import csv
import json
import sqlite3

import pytest
from click.testing import CliRunner

from checklist.cli import main
from checklist.errors import ChecklistError
from checklist.export import sqlite_file
from checklist.export.chosen import Filter, Reader, count
from tests.server.births_told import by_the_book, put, started
from tests.server.people import trail_of

FORMS = ("csv", "fhir", "sqlite")
# The day of the first story, by UTC, is 2025-11-25.
FIRST_DAY, SECOND_DAY = "2025-11-25", "2025-11-26"


@pytest.fixture
def filled(client, tablet, settings):
    """A journal with two real cases at two posts, a day apart, and one for practice."""
    put(tablet, by_the_book("Hill post"), case="1" * 16)
    put(tablet, by_the_book("Lake post"), days=1, case="2" * 16)
    put(tablet, started("Hill post", mode="practice"), case="3" * 16)
    assert tablet.send(client).status_code == 200
    return settings.data


def run(form, filled, out, *words):
    """Run one of the commands."""
    asked = ["export", form, "--data", str(filled), "--out", str(out), *words]
    return CliRunner().invoke(main, asked)


def cases_in(folder):
    """Read cases.csv back."""
    with (folder / "cases.csv").open(encoding="utf-8-sig", newline="") as table:
        return list(csv.DictReader(table))


@pytest.mark.parametrize("form", FORMS)
def test_help_has_an_example_and_the_exit_codes(form):
    said = CliRunner().invoke(main, ["export", form, "--help"]).output

    assert f"checklist export {form}" in said and "Exit codes:" in said


def test_tables_hold_the_real_cases(filled, tmp_path):
    done = run("csv", filled, tmp_path / "out")

    assert done.exit_code == 0, done.output
    assert "wrote 2 cases" in done.output
    assert [row["post"] for row in cases_in(tmp_path / "out")] == ["Hill post", "Lake post"]


@pytest.mark.parametrize(
    ("words", "posts"),
    [
        (("--post", "Lake post"), ["Lake post"]),
        (("--post", "nowhere"), []),
        (("--to", FIRST_DAY), ["Hill post"]),
        (("--to", "9999-12-31"), ["Hill post", "Lake post"]),
        (("--from", SECOND_DAY), ["Lake post"]),
        (("--from", FIRST_DAY, "--to", SECOND_DAY), ["Hill post", "Lake post"]),
    ],
)
def test_a_choice_is_kept_to(filled, tmp_path, words, posts):
    assert run("csv", filled, tmp_path / "out", *words).exit_code == 0

    assert [row["post"] for row in cases_in(tmp_path / "out")] == posts


def test_names_are_the_same_the_next_time_unless_new_ones_are_asked_for(filled, tmp_path):
    told = []
    for number, words in enumerate(((), (), ("--new-names",))):
        run("csv", filled, tmp_path / str(number), *words)
        told.append([row["case"] for row in cases_in(tmp_path / str(number))])

    assert told[0] == told[1]
    assert not set(told[0]) & set(told[2])


def test_one_case_is_one_bundle(filled, tmp_path):
    done = run("fhir", filled, tmp_path / "case.json", "--case", "1" * 16)

    bundle = json.loads((tmp_path / "case.json").read_text())
    kinds = [entry["resource"]["resourceType"] for entry in bundle["entry"]]
    assert done.exit_code == 0 and bundle["type"] == "collection"
    assert kinds.count("Procedure") == kinds.count("Encounter") == 1


def test_bulk_is_one_file_a_type_and_replaces_what_was_there(filled, tmp_path):
    (tmp_path / "Condition.ndjson").write_text("an earlier export")

    assert run("fhir", filled, tmp_path, "--bulk").exit_code == 0

    for path in tmp_path.glob("*.ndjson"):
        rows = [json.loads(line) for line in path.read_text().splitlines()]
        assert {row["resourceType"] for row in rows} == {path.stem}
    assert (tmp_path / "Encounter.ndjson").read_text().count("\n") == 2
    assert not (tmp_path / "Condition.ndjson").exists()


def test_an_sqlite_file_answers_and_says_what_it_is(filled, tmp_path, station):
    target = tmp_path / "cases.sqlite3"

    assert run("sqlite", filled, target).exit_code == 0

    made = sqlite3.connect(f"{target.as_uri()}?mode=ro", uri=True)
    ids = [row[0] for row in made.execute('select "case" from cases order by opened_at')]
    lines = [row[0] for row in made.execute('select line from line where "case" = ?', ("1" * 16,))]
    tables = {row[0] for row in made.execute("select name from sqlite_master where type = 'table'")}
    assert ids == ["1" * 16, "2" * 16]
    assert lines == station.journal.lines_of_case("1" * 16)
    assert tables == {"cases", "answers", "pulls", "events", "facts", "line", "readme", "dictionary"}
    assert made.execute("select count(*) from readme").fetchone()[0] == len(sqlite_file.README)
    for view in sqlite_file.VIEWS:
        assert made.execute(f"select * from {view}").fetchall(), view
    made.close()


def test_no_key_account_or_practice_case_is_in_the_file(filled, tmp_path, station):
    target = tmp_path / "cases.sqlite3"
    run("sqlite", filled, target)

    raw = target.read_bytes()

    keys = [row[0] for row in station.journal.reader.execute("select public_key from device")]
    for secret in (station.identity.private_key, *keys, "3" * 16, "practice"):
        assert secret.encode() not in raw
    assert target.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("place", [0, 4096, 7 * 4096])
def test_a_damaged_file_is_found(filled, tmp_path, place):
    target = tmp_path / "cases.sqlite3"
    run("sqlite", filled, target)
    raw = bytearray(target.read_bytes())
    raw[place : place + 512] = b"\xff" * 512
    target.write_bytes(raw)

    with pytest.raises(ChecklistError, match="journal_damaged"):
        sqlite_file.check(target)


@pytest.mark.parametrize("form", FORMS)
def test_each_export_is_written_down(filled, tmp_path, station, form):
    run(form, filled, tmp_path / "out", "--post", "Lake post")

    assert trail_of(station) == [("", "exported", f"{form}: post=Lake post, cases=1")]


@pytest.mark.parametrize(
    ("form", "words", "code"),
    [
        ("fhir", ("--case", "9" * 16), 66),
        ("fhir", ("--case", "3" * 16), 66),
        ("csv", ("--from", "2026-02-30"), 2),
        ("csv", ("--from", "2026-02-02", "--to", "2026-02-01"), 2),
        ("sqlite", ("--from", "soon"), 2),
    ],
)
def test_a_refusal_writes_nothing_and_notes_nothing(filled, tmp_path, station, form, words, code):
    done = run(form, filled, tmp_path / "out", *words)

    assert done.exit_code == code
    assert not (tmp_path / "out").exists() and trail_of(station) == []


@pytest.mark.parametrize("form", FORMS)
def test_a_place_that_cannot_be_written_is_said(filled, tmp_path, station, form):
    done = run(form, filled, tmp_path / "not" / "there")

    assert done.exit_code == 73 and "cannot be written" in done.output
    assert trail_of(station) == []


@pytest.mark.parametrize("form", FORMS)
def test_no_journal_is_no_export(tmp_path, form):
    assert run(form, tmp_path / "empty", tmp_path / "out").exit_code == 66


def test_what_arrives_later_is_not_in_an_export_that_began(filled, client, tablet, station):
    reader = Reader(station.journal.path, Filter())
    first = [held.case_id for held in reader.cases()]
    tablet.note("note_added", "1" * 16, text="later")
    put(tablet, by_the_book(), days=2, case="4" * 16)
    tablet.send(client)

    again = {held.case_id: len(held.events) for held in reader.cases()}
    reader.close()

    assert list(again) == first
    assert count(station.journal.reader, Filter()) == 3


@pytest.mark.parametrize(
    ("chosen", "index"),
    [
        (Filter(), "mode_opened_at"), (Filter(since=0, until=9), "mode_opened_at"),
        (Filter(post="Hill post"), "mode_post_opened_at"), (Filter(case_id="1" * 16), "case_id"),
    ],
)
def test_a_choice_reaches_into_an_index(filled, station, chosen, index):
    reader, asked = station.journal.reader, []
    reader.set_trace_callback(asked.append)
    count(reader, chosen)
    reader.set_trace_callback(None)

    (step,) = [row["detail"] for row in reader.execute(f"explain query plan {asked[0]}")]

    assert step.startswith("SEARCH") and (index in step or "autoindex" in step)

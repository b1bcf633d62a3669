"""checklist invent: enters through the intake, marks its folder, refuses any other."""

import pytest
from click.testing import CliRunner

from checklist import create_app
from checklist.cli import main
from checklist.config import Settings, is_invented
from checklist.core.event import parse, problems
from checklist.web.parts import NAME

CASES = ("--cases", "30", "--posts", "3")


def invent(folder, *options):
    return CliRunner().invoke(main, ["invent", "--data", str(folder), *CASES, *options])


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Give an invented folder; its tests only read it."""
    made = tmp_path_factory.mktemp("invented") / "station"
    told = invent(made)
    assert told.exit_code == 0, told.output
    return made


@pytest.fixture(scope="module")
def app(folder):
    """Give a station that serves it, opened as any other."""
    app = create_app(Settings(data=folder))
    yield app
    app.extensions[NAME].journal.close()


def counts(app):
    reader = app.extensions[NAME].journal.reader
    rows = reader.execute(
        "select json_extract(line, '$.kind'), count(*) from event group by 1 order by 1"
    )
    return {kind: count for kind, count in rows.fetchall()}


def test_the_journal_holds_the_cases_and_passes_its_check(folder, app):
    checked = CliRunner().invoke(main, ["check-data", "--data", str(folder)])

    assert checked.exit_code == 0 and " 0 findings" in checked.output
    assert counts(app)["case_opened"] == 30
    assert counts(app)["log_opened"] == 3


def test_every_line_is_an_event_with_facts_that_are_known(app):
    reader = app.extensions[NAME].journal.reader
    events = [parse(row[0]) for row in reader.execute("select line from event where case_id <> ''")]

    assert [found for event in events for found in problems(event)] == []
    posts = {event["facts"]["post"] for event in events if event["kind"] == "case_opened"}
    assert posts == {"Three Wells 1", "Stone Bridge 2", "Upper Velinda 3"}
    assert {event["facts"]["mode"] for event in events if event["kind"] == "case_opened"} == {"real"}


def test_a_take_back_means_a_line_of_its_own_birth(app):
    reader = app.extensions[NAME].journal.reader
    events = {(e["log"], e["seq"]): e for e in (parse(row[0]) for row in reader.execute("select line from event"))}
    meant = [(e, events[e["facts"]["target_log"], e["facts"]["target_seq"]]) for e in events.values() if "target_seq" in e["facts"]]

    assert meant
    for event, target in meant:
        assert target["case"] == event["case"]
        assert target["seq"] < event["seq"]


def test_every_page_says_that_the_cases_are_invented(app):
    page = app.test_client().get("/station/", environ_base={"REMOTE_ADDR": "127.0.0.1"})

    assert "Invented cases" in page.get_data(as_text=True)


def test_the_same_seed_makes_the_same_births_and_another_others(app, tmp_path):
    told = []
    for name, seed in (("same", "0"), ("other", "5")):
        invent(tmp_path / name, "--seed", seed)
        again = create_app(Settings(data=tmp_path / name))
        told.append(counts(again))
        again.extensions[NAME].journal.close()

    assert told[0] == counts(app)
    assert told[1] != counts(app)


def test_a_folder_may_be_filled_further(tmp_path):
    invent(tmp_path / "twice")
    assert invent(tmp_path / "twice").exit_code == 0
    again = create_app(Settings(data=tmp_path / "twice"))
    assert counts(again)["case_opened"] == 60
    again.extensions[NAME].journal.close()


def test_a_folder_with_anything_else_in_it_is_refused_unchanged(tmp_path):
    (tmp_path / "station.sqlite3").write_bytes(b"real")

    refused = invent(tmp_path)

    assert refused.exit_code == 73
    assert "nothing was changed" in refused.output
    assert [path.name for path in tmp_path.iterdir()] == ["station.sqlite3"]
    assert not is_invented(tmp_path)


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path):
    (tmp_path / "taken").write_text("")

    refused = invent(tmp_path / "taken" / "below")

    assert refused.exit_code == 73
    assert "Traceback" not in refused.output

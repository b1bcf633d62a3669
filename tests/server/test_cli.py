"""Each command: help with example and exit codes, good use, bad use."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from checklist.cli import main
from checklist.core.limits import advise
from checklist.journal import Journal
from checklist.schema import connect
from checklist.tables import protocol_in_force
from tests.server.tablet import Tablet

COMMANDS = sorted(main.commands)


def run(*words):
    """Run the command line in this process."""
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def filled(client, tablet, settings):
    """Give the folder of a station that holds two cases, and their tablet and ids."""
    cases = [tablet.open_case("Bed 1"), tablet.open_case("Bed 2")]
    tablet.pull(cases[0], 3)
    tablet.send(client)
    return settings.data, tablet, cases


@pytest.fixture
def log(tmp_path):
    """Give a file with one case: three pulls that brought the head down."""
    tablet = Tablet()
    tablet.pull(tablet.open_case(), 3)
    path = tmp_path / "case.jsonl"
    path.write_text("".join(line + "\n" for line in tablet.lines), encoding="utf-8")
    return path


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_an_example_and_the_exit_codes(command):
    help_text = run(command, "--help").output

    assert "Example" in help_text
    assert f"checklist {command}" in help_text
    assert "Exit codes:" in help_text


@pytest.mark.parametrize("command", COMMANDS)
def test_an_unknown_option_is_wrong_use(command):
    assert run(command, "--nonsense").exit_code == 2


def test_every_command_has_been_written_down_here():
    assert {"check-data", "export", "replay", "serve"} <= set(COMMANDS)


def test_replay_tells_timeline_measures_and_advice(log):
    done = run("replay", log)

    assert done.exit_code == 0
    for word in ("timeline", "pull_began", "measures", "descent_pulls", "advice"):
        assert word in done.output


def test_replay_as_json_is_what_the_core_says(log):
    done = run("replay", log, "--json")

    found = json.loads(done.output)
    assert set(found) == {"case", "measures", "advice"}
    assert found["measures"]["pulls"] == 3
    last = {name: found["case"]["clock"][name] for name in ("at", "boot", "tick")}
    assert found["advice"] == advise(found["case"], protocol_in_force()[1], last)


def test_replay_judges_at_the_moment_that_is_asked(log):
    first = json.loads(run("replay", log, "--json").output)
    later = first["case"]["clock"]["at"] + 60_000

    found = json.loads(run("replay", log, "--json", "--at", later).output)

    assert found["measures"]["now_ms"] - first["measures"]["now_ms"] == 60_000


def test_replay_names_the_line_that_is_torn(log):
    whole = json.loads(run("replay", log, "--json").output)
    lines = log.read_bytes().split(b"\n")
    log.write_bytes(b"\n".join([lines[0], b"nonsense", *lines[1:-1], lines[-2][:40]]))

    done = run("replay", log, "--json")

    assert done.exit_code == 65
    assert f"{log}:2:" in done.stderr and f"{log}:12:" in done.stderr
    assert json.loads(done.stdout) == whole


@pytest.mark.parametrize("content", [b"", b"\xff\n", b"{}\n"])
def test_replay_of_what_is_no_log_fails(log, content):
    log.write_bytes(content)

    assert run("replay", log).exit_code == 65


def test_replay_wants_one_case_named_when_there_are_two(log):
    tablet = Tablet()
    ids = sorted(tablet.open_case(label) for label in ("1", "2"))
    log.write_text("".join(line + "\n" for line in tablet.lines))

    asked, chosen = run("replay", log), run("replay", log, "--case", ids[0], "--json")

    assert asked.exit_code == 65 and all(each in asked.output for each in ids)
    assert json.loads(chosen.output)["case"]["case"] == ids[0]


def test_replay_wants_a_file_and_a_moment(tmp_path, log):
    assert run("replay", tmp_path / "none").exit_code == 2
    assert run("replay", log, "--at", "soon").exit_code == 2


def test_export_gives_back_every_byte(filled, tmp_path):
    data, tablet, _ = filled
    target = tmp_path / "all.jsonl"

    done = run("export", "--data", data, "--to", target)

    assert done.exit_code == 0
    assert target.read_text(encoding="utf-8").split("\n")[:-1] == tablet.lines
    assert run("export", "--data", data).stdout == target.read_text(encoding="utf-8")


def test_export_of_one_case_can_be_replayed(filled, tmp_path):
    data, _, cases = filled
    target = tmp_path / "case.jsonl"
    run("export", "--data", data, "--case", cases[0], "--to", target)

    done = run("replay", target, "--json")

    assert json.loads(done.output)["measures"]["pulls"] == 3


def test_export_refuses_what_is_not_there(filled, tmp_path):
    data, _, _ = filled
    nowhere = tmp_path / "none" / "x.jsonl"

    codes = [
        run("export", "--data", tmp_path / "empty").exit_code,
        run("export", "--data", data, "--case", "0" * 16).exit_code,
        run("export", "--data", data, "--to", nowhere).exit_code,
    ]

    assert codes == [66, 66, 73]
    assert not (tmp_path / "empty").exists()


def test_check_data_finds_a_whole_journal_whole(filled):
    done = run("check-data", "--data", filled[0])

    assert done.exit_code == 0
    assert "11 events checked, 0 findings" in done.output


@pytest.mark.parametrize(
    ("damage", "finding"),
    [
        ("update event set line = replace(line, 'yes', 'no') where seq = 5", "does not follow"),
        ("delete from event where seq = 4", "nothing between"),
        ("update event set case_id = '' where seq = 2", "wrong place"),
        ("update event set line = 'x' where seq = 5", "cannot be read"),
        ("update batch set signature = 'AAAA'", "wrong signature"),
        ("update leaf set seq = 9", "list of its ends"),
        ("delete from batch", "signed by nobody"),
        ("update log set device_id = 'gone'", "points at a missing"),
        ("delete from case_summary", "missing from the list"),
        ("update case_summary set case_id = 'gone' where label = 'Bed 1'", "without any event"),
    ],
)
def test_check_data_names_every_damage(filled, settings, damage, finding):
    spoil(settings.database, damage)

    done = run("check-data", "--data", settings.data)

    assert done.exit_code == 1
    assert finding in done.output


def test_check_data_makes_the_list_of_cases_again(filled, settings):
    spoil(settings.database, "delete from case_summary")

    assert run("check-data", "--rebuild", "--data", settings.data).exit_code == 0

    journal = Journal.open(settings.database)
    labels = journal.reader.execute("select label from case_summary order by label").fetchall()
    assert [row["label"] for row in labels] == ["Bed 1", "Bed 2"]
    journal.close()


def test_check_data_wants_a_journal(tmp_path):
    assert run("check-data", "--data", tmp_path / "empty").exit_code == 66


def test_check_data_says_when_the_file_is_none(settings):
    settings.data.mkdir()
    settings.database.write_bytes(b"no journal at all" * 100)

    done = run("check-data", "--data", settings.data)

    assert done.exit_code == 70
    assert "damaged" in done.output and "Traceback" not in done.output


def test_the_demonstration_has_a_folder_of_its_own(filled, open_app, settings):
    demo = replace(settings, data=settings.data.parent / "demo", demo=True)
    open_app(demo)

    done = run("check-data", "--demo", "--data", settings.data)

    assert "0 events checked" in done.output


def spoil(database, change):
    """Change a journal as no part of the program would."""
    connection = connect(database)
    connection.execute("pragma foreign_keys = off")
    for verb in ("update", "delete"):
        connection.execute(f"drop trigger event_has_no_{verb}")
    connection.execute(change)
    connection.close()

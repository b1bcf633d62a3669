"""checklist language: good use, bad use, and what it leaves behind."""

import hashlib
import json

import pytest
from click.testing import CliRunner

from checklist.cli import main
from checklist.cli.language import language
from checklist.demo.velindi import LEAD, invented_language
from checklist.tables import TRANSLATIONS


def run(*words):
    return CliRunner().invoke(main, ["language", *map(str, words)])


@pytest.fixture(scope="module")
def invented(tmp_path_factory):
    """Give a folder with the invented language."""
    folder = tmp_path_factory.mktemp("own")
    invented_language(folder)
    return folder


@pytest.mark.parametrize("command", sorted(language.commands))
def test_every_command_has_help_with_an_example_and_refuses_wrong_use(command):
    help_text = run(command, "--help").output

    assert f"checklist language {command}" in help_text and "Example" in help_text
    assert run(command, "--nonsense").exit_code == 2


def test_its_help_names_every_exit_code():
    help_text = run("--help").output

    assert all(f"  {code}  " in help_text for code in (0, 1, 2, 65, 66, 70, 73, 75))


def test_a_language_is_begun_in_the_data_folder(tmp_path):
    done = run("add", "ki", "--data", tmp_path / "station")

    assert done.exit_code == 0 and "Kikuyu" in done.output
    assert (tmp_path / "station" / "translations" / "ki" / "language.toml").is_file()


def test_the_demonstration_has_languages_of_its_own(tmp_path):
    run("add", "ki", "--data", tmp_path / "station", "--demo")

    assert (tmp_path / "demo" / "translations" / "ki").is_dir()


def test_a_language_that_nobody_has_heard_of_says_what_to_fill_in(tmp_path):
    done = run("add", "qvx", "--translations", tmp_path)

    assert done.exit_code == 0 and "by hand" in done.output and "sample" in done.output


def test_what_cannot_be_begun_or_found_is_refused_in_a_sentence(tmp_path):
    run("add", "qvx", "--translations", tmp_path)
    codes = {}
    pack = ("pack", "qvx", "--by", "B", "--out", tmp_path / "out")
    for words in (("add", "qvx"), ("add", "en-XA"), ("update", "fr-CA"), ("check", "../x"), pack):
        done = run(*words, "--translations", tmp_path)
        codes[words[:2]] = done.exit_code
        assert done.stderr.strip().endswith((".", ")")) and "Traceback" not in done.output

    assert list(codes.values()) == [65, 65, 66, 66, 65]
    assert not (tmp_path / "out").exists()


def test_what_keeps_a_pack_from_being_made_is_said_text_by_text(tmp_path):
    done = run("pack", "sw", "--by", "B", "--out", tmp_path / "out", "--translations", tmp_path)

    assert done.exit_code == 65 and ": draft; " in done.stderr and "Obstacle" not in done.stderr


def test_the_english_is_checked_too():
    done = run("check", "en")

    assert done.exit_code == 0
    assert "0 that block" in done.output and "warn\t" in done.output


def test_a_check_says_what_blocks_and_ends_with_one(tmp_path):
    run("add", "ki", "--translations", tmp_path)
    po = tmp_path / "ki.po"
    run("export", "ki", "--out", po, "--translations", tmp_path)
    entry = 'msgctxt "pull.pull"\nmsgid "Pull"\nmsgstr "'
    po.write_text(po.read_text().replace(entry, f"{entry}Vuta\u202e"))
    taken = run("import", "ki", po, "--by", "Asha", "--translations", tmp_path)

    done = run("check", "ki", "--translations", tmp_path)

    assert "1 taken" in taken.output
    assert done.exit_code == 1
    assert "block\tpull.pull\tbidi-control\tA hidden sign turns the direction of writing. (U+202E)" in done.output
    assert "1 draft" in done.output and "list\tbedside\t" in done.output


def test_the_questions_are_shown_when_asked_for(invented):
    plain, asked = run("check", "qvv", "--translations", invented), run("check", "qvv", "--asks", "--translations", invented)

    assert plain.exit_code == asked.exit_code == 0
    assert "\nask\t" not in plain.output and "ask\t" in asked.output


def test_update_tells_what_is_to_write(invented):
    done = run("update", "qvv", "--translations", invented)

    assert done.exit_code == 0 and "to write, 0 whose English changed" in done.output


def test_a_pack_is_written_under_its_hash(invented, tmp_path):
    done = run("pack", "qvv", "--by", LEAD, "--out", tmp_path / "packs", "--translations", invented)

    assert done.exit_code == 0 and "left out\trecord" in done.output
    (pack,) = (tmp_path / "packs").iterdir()
    assert hashlib.sha256(pack.read_bytes()).hexdigest() == pack.stem
    assert json.loads(pack.read_bytes())["by"] == LEAD


def test_a_file_that_is_none_or_spoilt_is_refused(tmp_path):
    run("add", "ki", "--translations", tmp_path)
    bad = tmp_path / "bad.po"
    bad.write_text("nonsense")

    done = run("import", "ki", bad, "--by", "Asha", "--translations", tmp_path)

    assert done.exit_code == 65 and "line 1" in done.stderr and "Nothing of it was kept" in done.stderr
    assert run("import", "ki", tmp_path / "none.po", "--by", "Asha", "--translations", tmp_path).exit_code == 66


def test_a_place_that_cannot_be_written_is_named(tmp_path):
    (tmp_path / "file").write_text("")
    done = run("add", "ki", "--translations", tmp_path / "file" / "own")

    assert done.exit_code == 73 and "file" in done.stderr


def test_a_damaged_ledger_lets_nothing_count_as_approved(tmp_path):
    run("add", "ki", "--translations", tmp_path)
    (tmp_path / "ki" / "review.jsonl").write_text("nonsense\n")

    done = run("check", "ki", "--translations", tmp_path)

    assert done.exit_code == 70 and "line 1" in done.stderr


def test_nothing_is_written_beside_the_shipped_languages(tmp_path):
    before = sorted(TRANSLATIONS.rglob("*"))
    run("add", "ki", "--translations", tmp_path)
    run("update", "ki", "--translations", tmp_path)

    assert sorted(TRANSLATIONS.rglob("*")) == before

"""One's own work stands before what was shipped, and what was shipped is never written."""

from pathlib import Path

import pytest

from checklist.errors import ChecklistError
from checklist.translation.workshop import Workshop
from tests.translation.small import finish, write


def test_the_shipped_folder_is_never_written(folder, workshop, tmp_path):
    shipped = {path: path.read_bytes() for path in workshop.shipped.rglob("*") if path.is_file()}
    finish(folder)
    folder.export_po()
    folder.update()

    assert {path: path.read_bytes() for path in workshop.shipped.rglob("*") if path.is_file()} == shipped


def test_a_shipped_language_is_copied_at_the_first_change_and_read_before(folder, workshop, tmp_path):
    finish(folder, "desk")
    workshop.own.joinpath("qvv").rename(workshop.shipped / "qvv")
    shop = Workshop(workshop.shipped, tmp_path / "second")
    there = shop.open("qvv")
    assert there.state("desk.title") == "approved" and not shop.own.exists()

    write(there, "bed.stop")

    assert (shop.own / "qvv" / "review.jsonl").is_file() and there.state("desk.title") == "approved"
    assert Workshop(workshop.shipped, tmp_path / "third").open("qvv").state("bed.stop") == "missing"


def test_a_copy_that_was_cut_off_is_begun_anew_and_is_no_language(folder, workshop, tmp_path, monkeypatch):
    workshop.own.joinpath("qvv").rename(workshop.shipped / "qvv")
    shop = Workshop(workshop.shipped, tmp_path / "second")
    there = shop.open("qvv")
    with monkeypatch.context() as broken:
        broken.setattr(Path, "rename", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            write(there, "bed.stop")

    assert [one.tag for one in shop.languages()] == ["qvv"]
    write(there, "bed.stop")
    assert there.state("bed.stop") == "draft"


def test_work_whose_table_is_away_is_never_thrown_away(folder, workshop, tmp_path):
    finish(folder, "desk")
    workshop.own.joinpath("qvv").rename(workshop.shipped / "qvv")
    shop = Workshop(workshop.shipped, tmp_path / "second")
    write(shop.open("qvv"), "bed.stop")
    (shop.own / "qvv" / "language.toml").unlink()

    with pytest.raises(ChecklistError, match="language_malformed"):
        write(shop.open("qvv"), "bed.limit")

    assert "bed.stop" in (shop.own / "qvv" / "review.jsonl").read_text()

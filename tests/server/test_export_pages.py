"""The page that hands out cases: who may, how many, three downloads, each written down."""

import csv
import io
import json
import re
import sqlite3
import zipfile

import pytest

from checklist.export import csv_files
from checklist.export.chosen import Filter, Reader
from checklist.export.pseudonym import Pseudonyms
from tests.server.births_told import by_the_book, put, started
from tests.server.pages import fill, see
from tests.server.people import (  # noqa: F401
    an_account,
    clock,
    quick_hashes,
    trail_of,
)

PAGE = "/station/exports"
EVERYTHING = frozenset({"label", "text"})


@pytest.fixture
def filled(client, tablet):
    """A station with two real cases at two posts and one for practice."""
    put(tablet, by_the_book("Hill post"), case="1" * 16)
    put(tablet, by_the_book("Lake post"), days=1, case="2" * 16)
    put(tablet, started("Hill post", mode="practice"), case="3" * 16)
    assert tablet.send(client).status_code == 200


def download(client, **fields):
    """Ask for a file as the page offers it; every post and day unless said."""
    return fill(client, PAGE, **{"kind": "csv", "post": "", "first": "", "last": "", **fields})


def files_of(reply):
    """Read the ZIP of an answer."""
    with zipfile.ZipFile(io.BytesIO(reply.data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.mark.parametrize(
    ("asked", "cases"),
    [
        ("", 2), ("?post=Lake+post", 1), ("?last=2025-11-25", 1), ("?first=2025-11-26", 1),
        ("?first=2025-11-27", 0), ("?last=9999-12-31", 2), ("?first=20251126", 1), ("?first=+2025-11-26+", 1),
        ("?first=2025-11-26&last=2025-11-26", 1),
    ],
)
def test_it_says_how_many_cases_are_chosen(client, filled, asked, cases):
    page = see(client, PAGE + asked)

    assert f"Cases chosen: {cases}" in page
    assert ('name="kind"' in page) == (cases > 0)


@pytest.mark.parametrize("asked", ["?first=soon", "?last=2026-02-30", "?post=nowhere", "?first=0000-00-00"])
def test_a_choice_that_cannot_be_is_refused(client, filled, asked):
    page = see(client, PAGE + asked, 422)

    assert "Cases chosen" not in page
    assert page.count('role="alert"') == 1


@pytest.mark.parametrize("typed", ["", "soon", "31.03.2026", "2026-3-31"])
def test_a_day_is_typed_in_digits_and_stays_as_it_was_typed(client, filled, typed):
    page = see(client, f"{PAGE}?first={typed}&last={typed}", 200 if typed in ("", "2026-3-31") else 422)

    for name in ("first", "last"):
        (entry,) = re.findall(rf'<input [^>]*id="{name}"[^>]*>', page)
        assert 'type="text"' in entry and f'value="{typed}"' in entry
        (hint,) = re.findall(rf'id="{name}-hint">([^<]+)<', page)
        assert "like 2026-03-31: year, month, day" in hint


def test_a_first_day_after_the_last_is_refused_not_counted_as_none(client, filled, station):
    days = {"first": "2025-11-26", "last": "2025-11-25"}

    page = see(client, PAGE + "?first={first}&last={last}".format(**days), 422)

    assert "The first day comes after the last day." in page and "Cases chosen" not in page
    assert all(f'value="{day}"' in page for day in days.values())
    assert download(client, **days).status_code == 422
    assert trail_of(station) == []


def test_the_tables_are_those_of_the_command(client, filled, station, tmp_path):
    reader = Reader(station.journal.path, Filter())
    names = Pseudonyms.of_hub(station.identity.private_key)
    folder = tmp_path / "tables"
    csv_files.write_folder(reader, names, folder, frozenset(), lambda _: None)
    reader.close()

    reply = download(client)

    assert files_of(reply) == {path.name: path.read_bytes() for path in folder.iterdir()}
    assert re.fullmatch(r'attachment; filename="cases-[\d-]+\.zip"', reply.headers["Content-Disposition"])


def test_bed_and_text_are_in_the_tables_only_when_ticked(client, filled):
    least, ticked = (
        files_of(download(client, **fields))["cases.csv"].decode("utf-8-sig")
        for fields in ({}, {"with_labels": "y"})
    )

    assert "label" not in next(csv.reader(io.StringIO(least)))
    assert {row["label"] for row in csv.DictReader(io.StringIO(ticked))} == {"bed 2"}


def test_fhir_is_one_bundle_of_the_chosen_cases(client, filled):
    bundle = json.loads(download(client, kind="fhir", post="Lake post").data)

    posts = [e["resource"]["name"] for e in bundle["entry"] if e["resource"]["resourceType"] == "Organization"]
    assert posts == ["Lake post"]


def test_sqlite_is_a_whole_file_and_nothing_stays_behind(client, filled, settings, tmp_path):
    before = set(settings.data.iterdir())
    (tmp_path / "got.sqlite3").write_bytes(download(client, kind="sqlite").data)

    made = sqlite3.connect(tmp_path / "got.sqlite3")
    assert made.execute("select count(*) from cases").fetchone() == (2,)
    assert made.execute("pragma integrity_check").fetchone() == ("ok",)
    made.close()
    assert set(settings.data.iterdir()) == before


@pytest.mark.parametrize("kind", ["csv", "fhir", "sqlite"])
def test_each_download_is_written_down(client, filled, station, kind):
    download(client, kind=kind, first="2025-11-26")

    ((who, what, target),) = trail_of(station)
    assert (who, what) == ("", "exported")
    assert target == f"{kind}: from=1764115200000, cases=1"


@pytest.mark.parametrize("fields", [{"kind": "xml"}, {"post": "nowhere"}, {"last": "never"}])
def test_a_download_that_is_refused_is_not_written_down(client, filled, station, fields):
    assert download(client, **fields).status_code == 422
    assert trail_of(station) == []


def test_a_download_needs_the_token_of_the_page(client, filled, station):
    assert client.post(PAGE, data={"kind": "csv"}, environ_base={"REMOTE_ADDR": "127.0.0.1"}).status_code == 400
    assert trail_of(station) == []


@pytest.mark.parametrize(("role", "status"), [("supervisor", 200), ("keeper", 200), ("lead", 403)])
def test_only_supervisor_and_keeper_may(app, station, clock, role, status):  # noqa: F811
    person = an_account(app, station, "Asha", role)

    assert person.get(PAGE).status_code == status
    reply = person.post(PAGE, page="/station/account", kind="csv", post="", first="", last="")
    assert reply.status_code == status
    assert [row for row in trail_of(station) if row[1] == "exported"] == (
        [("Asha", "exported", "csv: all, cases=0")] if status == 200 else []
    )


def test_it_is_sent_piece_by_piece(client, filled, station, monkeypatch):
    seen = []
    reader = Reader(station.journal.path, Filter())
    monkeypatch.setattr(Reader, "_read", lambda self, case_id, read=Reader._read: seen.append(case_id) or read(self, case_id))

    pieces = csv_files.stream_zip(reader, Pseudonyms(b"k" * 32), EVERYTHING)
    next(pieces)

    assert seen == ["1" * 16]
    pieces.close()
    reader.close()

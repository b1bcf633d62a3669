"""The journal: whole or not at all, never changed, alike after any order of arrival."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checklist import device, summary
from checklist.audit import find_damage
from checklist.errors import ChecklistError
from checklist.intake import take
from checklist.journal import Journal
from tests.server.tablet import Tablet

NOW = 1_790_000_000_000


def journal_for(folder, tablet) -> Journal:
    """Open a journal in which a tablet may send."""
    journal = Journal.open(folder / "station.sqlite3")
    journal.write(
        lambda store: device.add(
            store.connection, tablet.public_key, tablet.name, device.ADMITTED, NOW
        )
    )
    return journal


def rows(journal, table="case_summary"):
    """Read a table as plain values."""
    return [tuple(row) for row in journal.reader.execute(f"select * from {table}")]


@pytest.mark.parametrize("change", ["update event set line = ''", "delete from event"])
def test_a_stored_event_can_be_neither_changed_nor_removed(client, tablet, station, change):
    tablet.note("hiss_heard")
    tablet.send(client)

    with pytest.raises(sqlite3.IntegrityError, match="kept as they came"):
        station.journal.write(lambda store: store.connection.execute(change))

    assert station.journal.lines_after(tablet.log, 0)[0] == tablet.lines


def test_a_full_disk_is_said_and_leaves_nothing_half_written(client, tablet, station, stored):
    tablet.pull(tablet.open_case(), 3)
    tablet.send(client)
    before = {table: stored(table) for table in ("event", "batch", "leaf", "case_summary")}
    limit = "select page_count from pragma_page_count"
    pages = station.journal.reader.execute(limit).fetchone()[0]
    cap(station, pages)
    tablet.pull(tablet.open_case("Bed 4"), 200)

    full = tablet.send(client)

    assert (full.status_code, full.json["code"]) == (507, "disk_full")
    assert {table: stored(table) for table in before} == before
    assert list(find_damage(station.journal.reader, lambda step: None)) == []
    cap(station, pages + 10_000)
    assert tablet.send(client).json["stored"] == 601


def cap(station, pages):
    """Let the file grow to so many pages, as a full disk would."""
    station.journal.write(
        lambda store: store.connection.execute(f"pragma max_page_count = {pages}").fetchone()
    )


def test_neighbours_of_a_failing_piece_are_stored_all_the_same(tmp_path):
    journal = Journal.open(tmp_path / "station.sqlite3")
    hold, begun = Event(), Event()

    def slow(store):
        begun.set()
        hold.wait()

    def add(number):
        return lambda store: store.connection.execute(
            "insert into log (log, device_id) values (?, 'd')", (str(number),)
        )

    journal.write(
        lambda store: store.connection.execute(
            "insert into device (device_id, public_key, name, state, asked_at)"
            " values ('d', '', '', 'waiting', 0)"
        )
    )
    with ThreadPoolExecutor(8) as pool:
        pool.submit(journal.write, slow)
        begun.wait()
        # These wait together and are committed together; "1" comes twice.
        jobs = [pool.submit(journal.write, add(number)) for number in (1, 2, 1, 3)]
        hold.set()
        failed = [job.exception() is not None for job in jobs]

    assert sorted(failed) == [False, False, False, True]
    assert sorted(row["log"] for row in journal.reader.execute("select log from log")) == [
        "1", "2", "3",
    ]
    journal.close()


def test_a_refusal_in_a_group_is_told_to_its_own_caller(tmp_path):
    journal = Journal.open(tmp_path / "station.sqlite3")

    def refuse(store):
        raise ChecklistError("log_foreign")

    with ThreadPoolExecutor(4) as pool:
        good = [pool.submit(journal.write, lambda store, n=n: n) for n in range(50)]
        bad = pool.submit(journal.write, refuse)
        results = [job.result() for job in good]

    assert results == list(range(50))
    assert bad.exception().code == "log_foreign"
    journal.close()


def test_the_same_batch_from_many_at_once_is_stored_once(tmp_path):
    tablet = Tablet()
    journal = journal_for(tmp_path, tablet)
    tablet.pull(tablet.open_case(), 10)
    body = tablet.batch()

    with ThreadPoolExecutor(16) as pool:
        replies = list(pool.map(lambda _: take(journal, body, "", NOW), range(48)))

    assert sorted(reply.stored for reply in replies) == [0] * 47 + [31]
    assert len(rows(journal, "batch")) == 1
    journal.close()


def test_opening_again_finds_everything(tmp_path):
    tablet = Tablet()
    journal = journal_for(tmp_path, tablet)
    tablet.pull(tablet.open_case())
    take(journal, tablet.batch(), "", NOW)
    journal.close()

    again = Journal.open(tmp_path / "station.sqlite3")

    assert again.lines_after(tablet.log, 0)[0] == tablet.lines
    again.close()


def test_nobody_else_on_the_machine_can_read_the_journal(station):
    files = list(station.settings.data.iterdir())

    assert len(files) == 3
    assert {file.stat().st_mode & 0o077 for file in [station.settings.data, *files]} == {0}


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda path: path.write_bytes(b"not a database, but long enough" * 40), "journal_damaged"),
        (lambda path: path.mkdir(), "data_unwritable"),
    ],
    ids=["no database", "a folder in its place"],
)
def test_a_file_that_is_no_journal_is_named(tmp_path, make, code):
    path = tmp_path / "station.sqlite3"
    make(path)

    with pytest.raises(ChecklistError) as refused:
        Journal.open(path)

    assert refused.value.code == code


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    kinds=st.lists(
        st.sampled_from(
            ["pull_began", "pull_ended", "case_closed", "withdrawn", "note_added", "hiss_heard"]
        ),
        max_size=12,
    ),
    cuts=st.lists(st.tuples(st.integers(1, 14), st.integers(1, 14)), max_size=6),
)
def test_any_cut_of_a_log_ends_in_the_same_journal(tmp_path_factory, kinds, cuts):
    tablet = Tablet()
    case = tablet.open_case()
    for kind in kinds:
        facts = {
            "withdrawn": {"target_log": tablet.log, "target_seq": len(tablet.lines)},
            "case_closed": {"why": "complete"},
            "note_added": {"text": "x"},
        }.get(kind, {})
        tablet.note(kind, case, **facts)
    last = len(tablet.lines)
    cut, whole = (journal_for(tmp_path_factory.mktemp("j"), tablet) for _ in range(2))

    for first, end in cuts:
        if first <= min(end, last):
            try:
                take(cut, tablet.batch(first, end), "", NOW)
            except ChecklistError as refused:
                assert refused.code == "unknown_prev"
    take(cut, tablet.batch(), "", NOW)
    take(whole, tablet.batch(), "", NOW)

    assert rows(cut) == rows(whole)
    assert rows(cut, "event") == rows(whole, "event")
    assert rows(cut, "leaf") == rows(whole, "leaf")
    before = rows(cut)
    cut.write(lambda store: summary.rebuild(store.connection, lambda step: None))
    assert rows(cut) == before
    assert list(find_damage(cut.reader, lambda step: None)) == []
    cut.close()
    whole.close()

"""The intake stopped at its every step: killed before any statement, or out of room at any page.

After a kill -9 the disk holds what was written to its files by then, so a copy of the files
at that moment is what the next start finds.
"""

import shutil

import pytest

from checklist import device
from checklist.audit import find_damage
from checklist.errors import ChecklistError
from checklist.intake import take
from checklist.journal import Journal
from tests.server.tablet import Tablet

NOW = 1_790_000_000_000
TABLES = ("event", "batch", "leaf", "case_summary", "log")
FILE = "station.sqlite3"


@pytest.fixture
def tablet():
    """Give a tablet with one case that is sent and one that is not."""
    told = Tablet()
    told.pull(told.open_case(), 3)
    return told


@pytest.fixture
def journal(tmp_path, tablet):
    """Give a journal that holds the first case."""
    opened = Journal.open(tmp_path / "data" / FILE)
    opened.write(
        lambda store: device.add(
            store.connection, tablet.public_key, tablet.name, device.ADMITTED, NOW
        )
    )
    take(opened, tablet.batch(), "", NOW)
    tablet.pull(tablet.open_case("Bed 4"), 40)
    yield opened
    opened.close()


def counts(journal) -> dict[str, int]:
    """Count the rows of every table that a batch touches."""
    return {
        table: journal.reader.execute(f"select count(*) from {table}").fetchone()[0]
        for table in TABLES
    }


def damage(journal) -> list[str]:
    """List what is wrong with a journal."""
    return list(find_damage(journal.reader, lambda step: None))


def test_a_kill_before_any_statement_leaves_all_of_a_batch_or_nothing(tmp_path, journal, tablet):
    copies = []

    def copy(statement: str) -> None:
        folder = tmp_path / f"copy{len(copies)}"
        folder.mkdir()
        for file in (tmp_path / "data").glob(f"{FILE}*"):
            if not file.name.endswith("-shm"):
                shutil.copy(file, folder)
        copies.append((statement, folder))

    before = counts(journal)
    journal.write(lambda store: store.connection.set_trace_callback(copy))
    take(journal, tablet.batch(), "", NOW)
    journal.write(lambda store: store.connection.set_trace_callback(None))
    after = counts(journal)

    found = []
    for _, folder in copies:
        survivor = Journal.open(folder / FILE)
        assert counts(survivor) in (before, after)
        assert damage(survivor) == []
        found.append(counts(survivor))
        assert take(survivor, tablet.batch(), "", NOW).leaves[0][1] == len(tablet.lines)
        survivor.close()
    kinds = {statement.split()[0].lower() for statement, _ in copies}
    assert kinds >= {"begin", "insert", "commit"}
    assert before in found and after in found


def test_a_disk_that_fills_at_any_page_leaves_nothing_half_written(journal, tablet):
    before = counts(journal)
    size = journal.reader.execute("select page_count from pragma_page_count").fetchone()[0]

    refusals = 0
    for room in range(size, size + 200):
        cap(journal, room)
        try:
            take(journal, tablet.batch(), "", NOW)
        except ChecklistError as error:
            assert error.code == "disk_full"
            assert counts(journal) == before
            assert damage(journal) == []
            refusals += 1
        else:
            break

    assert refusals > 5
    assert counts(journal)["event"] == len(tablet.lines)
    assert damage(journal) == []


def cap(journal, pages: int) -> None:
    """Let the file grow to so many pages, as a full disk would."""
    journal.write(
        lambda store: store.connection.execute(f"pragma max_page_count = {pages}").fetchone()
    )

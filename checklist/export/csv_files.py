"""Write the tables as CSV files: RFC 4180, UTF-8, safe to open in a spreadsheet.

UTF-8 with a byte order mark: without it a common spreadsheet reads names of posts in
other scripts as rubbish, and readers that know UTF-8 skip it. Text that a spreadsheet
would run as a formula gets an apostrophe in front; numbers are left as they are.
"""

import csv
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from checklist.export.chosen import Held, Reader
from checklist.export.columns import TABLES, Column, Table, kept, package
from checklist.export.pseudonym import Pseudonyms
from checklist.export.rows import ROWS, Row
from checklist.whole_files import WholeFiles

BOM = "\ufeff"
LINE_END = "\r\n"
DESCRIPTOR = "datapackage.json"
# What begins a formula, and the blanks that may stand before it.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FIRST_MS, LAST_MS = -62_135_596_800_000, 253_402_300_799_000
ABOUT = (
    "Real cases only. An empty cell means not recorded, and never no. Cases and tablets stand under"
    " pseudonyms; times are UTC by the tablet's own clock. A memory aid wrote this, not a device that measures."
)


def write_folder(
    reader: Reader, names: Pseudonyms, folder: Path, holds: frozenset[str],
    told: Callable[[int], None],
) -> int:
    """Write all tables and their descriptor in one pass; told hears of each case.

    Gives the number of cases. A file appears under its name only when all are complete.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = 0
    with WholeFiles() as files:
        writers = {
            table.name: _begin(
                files.open(folder / f"{table.name}.csv", "w", encoding="utf-8", newline=""), table, holds
            )
            for table in TABLES
        }
        for held in reader.cases():
            for table in TABLES:
                writers[table.name].writerows(_cells(table, holds, held, names))
            written += 1
            told(1)
        files.open(folder / DESCRIPTOR, "w", encoding="utf-8").write(describe(holds))
    return written


def stream_zip(reader: Reader, names: Pseudonyms, holds: frozenset[str]) -> Iterator[bytes]:
    """Give one ZIP of the same files, piece by piece, one pass over the cases a table."""
    pipe = _Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(DESCRIPTOR, describe(holds))
        for table in TABLES:
            with archive.open(f"{table.name}.csv", "w", force_zip64=True) as entry:
                out = io.TextIOWrapper(entry, encoding="utf-8", newline="")
                writer = _begin(out, table, holds)
                for held in reader.cases():
                    writer.writerows(_cells(table, holds, held, names))
                    yield from pipe.taken()
                out.flush()
                out.detach()
            yield from pipe.taken()
    yield from pipe.taken()


def describe(holds: frozenset[str]) -> str:
    """Write the data dictionary of the tables."""
    return json.dumps(package(holds, ABOUT), indent=1, ensure_ascii=False)


def moment(ms: int | None) -> str:
    """Write a wall time in ms as UTC, to the second; what no calendar holds is left empty."""
    if ms is None or not FIRST_MS <= ms <= LAST_MS:
        return ""
    return (EPOCH + timedelta(milliseconds=ms)).strftime("%Y-%m-%dT%H:%M:%SZ").rjust(20, "0")


def _begin(out, table: Table, holds: frozenset[str]):
    out.write(BOM)
    writer = csv.writer(out, lineterminator=LINE_END)
    writer.writerow([column.name for column in kept(table, holds)])
    return writer


def _cells(
    table: Table, holds: frozenset[str], held: Held, names: Pseudonyms
) -> Iterator[list[str]]:
    columns = kept(table, holds)
    name, device = names.name("case", held.case_id), names.name("device", held.device)
    for row in ROWS[table.name](held.case, name, device):
        if table.name != "facts" or _says_something(row, columns):
            yield [_cell(column, row[column.name]) for column in columns]


def _says_something(row: Row, columns: tuple[Column, ...]) -> bool:
    """A fact whose only content is left out is left out whole."""
    kept_names = {column.name for column in columns}
    return any(row[name] is not None for name in ("code", "number", "text") if name in kept_names)


def _cell(column: Column, value: object) -> str:
    if value is None:
        return ""
    if column.type == "datetime":
        return moment(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    return harmless(value) if isinstance(value, str) else str(value)


def harmless(text: str) -> str:
    """Keep a spreadsheet from running a text as a formula."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA) else text


class _Pipe(io.RawIOBase):
    """Takes what a writer that cannot wait writes, and gives it to one that can."""

    def __init__(self) -> None:
        super().__init__()
        self._pieces: list[bytes] = []

    def writable(self) -> bool:
        """Say that it may be written to; it cannot be sought in."""
        return True

    def write(self, piece) -> int:
        """Take a piece."""
        self._pieces.append(bytes(piece))
        return len(piece)

    def taken(self) -> Iterator[bytes]:
        """Give what was written since."""
        pieces, self._pieces = self._pieces, []
        if pieces:
            yield b"".join(pieces)

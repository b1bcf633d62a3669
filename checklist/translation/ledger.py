"""Who wrote, checked and approved which text: rows that are only ever added.

What a text may be used for is worked out anew from the rows each time. A row counts for
the text alone whose two hashes it names, so a change on either side leaves nothing to
remember: no row speaks of the new text yet.
"""

import json
import os
import unicodedata
from collections.abc import Iterable, Sequence
from functools import lru_cache
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation.source import Entry, src_hash, tgt_hash

FILE = "review.jsonl"
ACTS = ("written", "checked", "back", "judged", "approved", "withdrawn", "heard", "recorded")
HOW = ("person", "machine", "machine+edited")
# Whoever writes at the very machine before there are accounts; nobody can tell whose second eye that would be.
UNNAMED = "-"
# So many spellings of names are remembered folded; far more than ever work on languages at one place.
PEOPLE = 512
_ORDER = ("ctx", "src", "tgt", "act", "by", "at", "how", "note")


class Ledger:
    """The rows of one language, oldest first."""

    def __init__(self, rows: Iterable[dict] = (), path: Path | None = None) -> None:
        self.path = path
        self._rows: list[dict] = []
        self._of: dict[str, list[dict]] = {}
        self._states: dict[tuple, str] = {}
        for row in rows:
            self._keep(row)

    @classmethod
    def read(cls, path: Path) -> "Ledger":
        """Read review.jsonl, or begin an empty one; raises review_damaged."""
        try:
            lines = path.read_bytes().split(b"\n")
        except FileNotFoundError:
            return cls((), path)
        # What has no line end was cut off while it was written, so nobody was told that it is kept.
        return cls([_row(line, number) for number, line in enumerate(lines[:-1], start=1) if line.strip()], path)

    def rows(self) -> list[dict]:
        """Give every row, oldest first."""
        return list(self._rows)

    def history(self, name: str) -> list[dict]:
        """Give the rows of an id, of every text it ever had, oldest first."""
        return list(self._of.get(name, ()))

    def of(self, entry: Entry, forms: Sequence[str]) -> list[dict]:
        """Give the rows that speak of exactly this text."""
        src, tgt = src_hash(entry), tgt_hash(forms)
        return [row for row in self._of.get(entry.id, ()) if row["src"] == src and row["tgt"] == tgt]

    def writers(self, entry: Entry, forms: Sequence[str]) -> set[str]:
        """Give the names, folded, of whoever wrote this very text."""
        return {folded(row["by"]) for row in self.of(entry, forms) if row["act"] == "written"}

    def is_taken_up(self, entry: Entry, forms: Sequence[str]) -> bool:
        """Tell whether a named person stands for this very text, and no program alone."""
        return _by_a_person(self.of(entry, forms))

    def state(self, entry: Entry, forms: Sequence[str]) -> str:
        """Work out the state of a text: missing, draft, checked or approved."""
        if not forms or not all(form.strip() for form in forms):
            return "missing"
        # Rows are only ever added, so as long as an id has as many as before they are the same.
        known = (src_hash(entry), tgt_hash(forms), entry.safety, len(self._of.get(entry.id, ())))
        if known not in self._states:
            self._states[known] = self._state(entry, forms)
        return self._states[known]

    def _state(self, entry: Entry, forms: Sequence[str]) -> str:
        rows, writers = self.of(entry, forms), self.writers(entry, forms)
        state, seen = "draft", _seen(rows)
        for place, row in enumerate(rows):
            by_other = folded(row["by"]) not in writers | {UNNAMED}
            if row["act"] == "withdrawn":
                state = "draft"
            elif row["act"] == "judged" and _back(rows[:place + 1], writers, seen)[0] == "differs":
                # Whatever was said of it before, it was not understood as it was meant.
                state = "draft"
            elif row["act"] == "checked" and by_other and _by_a_person(rows):
                state = "checked" if state == "draft" else state
            elif row["act"] == "approved" and by_other and state == "checked":
                state = "approved" if not entry.safety or _back(rows[:place], writers, seen)[0] == "same" else state
        return state

    def back(self, entry: Entry, forms: Sequence[str]) -> str:
        """Say how the back-translation of a text stands: none, waits (to be judged), same or differs."""
        return self._back(entry, forms)[0]

    def said_back(self, entry: Entry, forms: Sequence[str]) -> dict | None:
        """Give the row of the newest back-translation that counts; None when there is none."""
        return self._back(entry, forms)[1]

    def last(self, entry: Entry, forms: Sequence[str], act: str) -> dict | None:
        """Give the newest row of an act on this text; of a check none that was withdrawn since."""
        found = None
        for row in self.of(entry, forms):
            if row["act"] == act:
                found = row
            elif row["act"] == "withdrawn" and act in ("checked", "approved"):
                found = None
        return found

    def add(
        self, entry: Entry, forms: Sequence[str], /, act: str, by: str, at: int, how: str = "", note: str = "", **more: object
    ) -> dict:
        """Add one row and write it down; raises review_refused with the reason."""
        return self.add_all([self.made(entry, forms, act, by, at, how, note, **more)])[0]

    def made(
        self, entry: Entry, forms: Sequence[str], /, act: str, by: str, at: int, how: str = "", note: str = "", **more: object
    ) -> dict:
        """Make a row without adding it; raises review_refused when this person may not do this now."""
        why = self.refusal(entry, forms, act, by, how, more)
        if why:
            raise ChecklistError("review_refused", id=entry.id, why=why)
        row = dict(zip(_ORDER, (entry.id, src_hash(entry), tgt_hash(forms), act, by, at, how, note), strict=True))
        return row | more

    def withdrawing(self, entry: Entry, forms: Sequence[str], /, by: str, at: int, note: str = "") -> list[dict]:
        """Make the rows that take a text out of use, and every other text of its id that was checked."""
        row = self.made(entry, forms, "withdrawn", by, at, note=note)
        last = {(row["src"], row["tgt"]): ""}
        for each in self._of.get(entry.id, ()):
            if each["act"] in ("checked", "approved", "withdrawn"):
                last[each["src"], each["tgt"]] = each["act"]
        here = (row["src"], row["tgt"])
        return [row | {"src": src, "tgt": tgt} for (src, tgt), act in last.items() if (src, tgt) == here or act != "withdrawn"]

    def add_all(self, rows: Sequence[dict]) -> list[dict]:
        """Add rows together: all are on the disk, or none was promised."""
        if self.path is not None and rows:
            _append(self.path, rows)
        for row in rows:
            self._keep(row)
        return list(rows)

    def refusal(self, entry: Entry, forms: Sequence[str], act: str, by: str, how: str = "", more: dict | None = None) -> str:
        """Name why a person may not do this to this text now; empty when they may."""
        more, rows, writers = more or {}, self.of(entry, forms), self.writers(entry, forms)
        if not by.strip() or (by.strip() == UNNAMED and act not in ("written", "withdrawn")):
            return "nobody"
        if act not in ACTS or (how not in HOW if act in ("written", "back") else how != ""):
            return "unknown"
        if act == "withdrawn":
            return ""
        if not forms or not all(form.strip() for form in forms):
            return "missing"
        if act == "written":
            return ""
        if not writers:
            return "unwritten"
        if act in ("checked", "back", "judged", "approved") and writers == {UNNAMED}:
            return "unnamed"
        if act in ("checked", "back", "judged", "approved") and folded(by) in writers:
            return "writer"
        if act == "checked" and not _by_a_person(rows):
            return "machine"
        # Who checks or judges knows the English; who says back what a text means must not, before or after.
        if (act == "back" and folded(by) in _seen(rows)) or (act in ("checked", "judged") and folded(by) in _readers(rows)):
            return "same_person"
        if act == "judged":
            return self._judging(entry, forms, more)
        if act == "approved":
            return self._approving(entry, forms)
        if act == "heard":
            return _hearing(rows, by, more)
        return "unconsented" if act == "recorded" and more.get("consent") is not True else ""

    def _approving(self, entry: Entry, forms: Sequence[str]) -> str:
        if self.state(entry, forms) == "draft":
            return "unchecked"
        return "unjudged" if entry.safety and self.back(entry, forms) != "same" else ""

    def _judging(self, entry: Entry, forms: Sequence[str], more: dict) -> str:
        if type(more.get("same")) is not bool:
            return "unknown"
        row = self.said_back(entry, forms)
        if row is None:
            return "no_back"
        return "changed" if more.get("back") not in (None, row_hash(row)) else ""

    def _back(self, entry: Entry, forms: Sequence[str]) -> tuple[str, dict | None]:
        rows = self.of(entry, forms)
        return _back(rows, self.writers(entry, forms), _seen(rows))

    def _keep(self, row: dict) -> None:
        self._rows.append(row)
        self._of.setdefault(row["ctx"], []).append(row)


@lru_cache(maxsize=PEOPLE)
def folded(name: str) -> str:
    """Fold a person's name, so that a space or a capital makes no second person."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def row_hash(row: dict) -> str:
    """Name one row, so that what is said of it can be bound to it."""
    return tgt_hash([json.dumps(row, sort_keys=True)])


def line(row: dict) -> str:
    """Write one row as its line."""
    return json.dumps(row, ensure_ascii=False, separators=(",", ":"))


def _row(text: bytes, number: int) -> dict:
    try:
        row = json.loads(text)
        if not all(isinstance(row[name], str) for name in _ORDER[:5]) or type(row["at"]) is not int:
            raise ValueError("no row")
    except (ValueError, KeyError, TypeError) as error:
        # A row left out could be the one that withdrew a wrong sentence.
        raise ChecklistError("review_damaged", line=number, why=str(error)) from None
    return row


def _append(path: Path, rows: Sequence[dict]) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # Unbuffered: what a full disk refused must not be written after all when the file is closed.
        with path.open("ab+", buffering=0) as file:
            _drop_what_was_cut_off(file)
            size = file.seek(0, os.SEEK_END)
            try:
                _write_whole(file, "".join(line(row) + "\n" for row in rows).encode())
                os.fsync(file.fileno())
            except OSError:
                # A half that stays would be one row cut off, and the rows before it would count alone.
                file.truncate(size)
                raise
    except OSError as error:
        raise ChecklistError("data_unwritable", path=str(path), why=str(error)) from None


def _write_whole(file, data: bytes) -> None:
    while data:
        data = data[file.write(data):]


def _drop_what_was_cut_off(file) -> None:
    file.seek(0)
    whole = file.read()
    end = whole.rfind(b"\n") + 1
    if end < len(whole):
        file.truncate(end)
        file.seek(0, os.SEEK_END)


def _by_a_person(rows: list[dict]) -> bool:
    return any(row["act"] == "written" and row.get("how") != "machine" and row["by"] != UNNAMED for row in rows)


def _seen(rows: list[dict]) -> set[str]:
    """Name whoever knows the English of a text without having written it: who checked or judged it at any time."""
    return {folded(row["by"]) for row in rows if row["act"] in ("checked", "judged")}


def _readers(rows: list[dict]) -> set[str]:
    return {folded(row["by"]) for row in rows if row["act"] == "back" and row.get("how") != "machine"}


def _back(rows: list[dict], writers: set[str], seen: set[str]) -> tuple[str, dict | None]:
    """Say how the newest back-translation that counts stands, and give its row: none, waits, same or differs."""
    state, back = "none", None
    for row in rows:
        by = folded(row["by"])
        # What a machine says back may be kept as a hint; it repeats the mistakes of a machine.
        if row["act"] == "back" and by not in writers | seen and row.get("how") != "machine":
            state, back = "waits", row
        elif row["act"] == "judged" and back and by not in {folded(back["by"]), *writers}:
            if row.get("back") in (None, row_hash(back)):
                state = "same" if row.get("same") is True else "differs"
    return state, back


def _hearing(rows: list[dict], by: str, more: dict) -> str:
    same = ("clip", "values")
    spoken = [row for row in rows if row["act"] == "recorded" and all(row.get(name) == more.get(name) for name in same)]
    if not spoken:
        return "unrecorded"
    return "same_person" if folded(spoken[-1]["by"]) == folded(by) else ""

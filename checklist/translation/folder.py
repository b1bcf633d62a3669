"""One language at work: write, check, translate back, judge, approve, withdraw, record.

Each act reads anew under the lock, is refused or written down whole, and loses nothing
that somebody else wrote meanwhile.
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path

from checklist.errors import ChecklistError
from checklist.translation import packing, table_review
from checklist.translation.approving import approving
from checklist.translation.catalog import Catalog, export_catalog, write_catalog
from checklist.translation.checks import Finding, blocks, unanswered
from checklist.translation.clips import Clip, clip_keys, clip_path, clips, read_clip
from checklist.translation.glossary import Term, changed, write_glossary
from checklist.translation.ledger import Ledger, folded, row_hash
from checklist.translation.lists import Readiness, WordList, is_enough, readiness
from checklist.translation.obstacles import Obstacle
from checklist.translation.packing import Packed, Shelf
from checklist.translation.po import unseen
from checklist.translation.returned import Taken, take, written
from checklist.translation.source import Entry, tgt_hash, tidy, values_hash
from checklist.translation.table import Language
from checklist.whole_files import WholeFiles


class Folder:
    """One language of the workshop. What it reads is read anew with refresh() and at each act."""

    def __init__(
        self, tag: str, source: Mapping[str, Entry], lists: Mapping[str, WordList],
        place: Callable[[], Path], changing: Callable[[str, Callable[[Path], object]], object],
        alone: Callable[[], AbstractContextManager],
    ) -> None:
        self.tag, self.source, self.lists = tag, source, lists
        self._place, self._changing, self._alone = place, changing, alone
        self.refresh()

    def refresh(self) -> None:
        """Read everything from the disk again."""
        self._shelf = Shelf.read(self._place(), self.source)

    @property
    def language(self) -> Language:
        """Give the table of the language."""
        return self._shelf.language

    @property
    def ledger(self) -> Ledger:
        """Give the ledger."""
        return self._shelf.ledger

    @property
    def glossary(self) -> list[Term]:
        """Give the glossary."""
        return self._shelf.glossary

    @property
    def catalog(self) -> Catalog:
        """Give the catalogue, brought to today's English."""
        return self._shelf.catalog

    def forms(self, name: str) -> list[str]:
        """Give the forms of an id; empty when it is not translated."""
        return self._shelf.forms(name)

    def tgt(self, name: str) -> str:
        """Name the text as it stands; a page hands this back when it writes."""
        return tgt_hash(self.forms(name))

    def state(self, name: str) -> str:
        """Give the state of an id."""
        return self.ledger.state(self._entry(name), self.forms(name))

    def states(self) -> dict[str, str]:
        """Give the state of every id."""
        return self._shelf.states(self.source)

    def readiness(self) -> dict[str, Readiness]:
        """Say of each list whether it is whole."""
        # Faults are looked for in what is good enough otherwise: a shipped draft has thousands.
        out = {name for name, state in self.states().items() if not is_enough(self.source[name], state) or self.obstacles(name)}
        return readiness(self.lists, self.source, out)

    def findings(self, name: str, forms: Sequence[str] | None = None) -> list[Finding]:
        """Check the text of an id, or the forms that somebody is about to write."""
        return self._shelf.findings(self._entry(name), forms)

    def obstacles(self, name: str) -> list[Obstacle]:
        """Give what keeps a text out of a pack; empty when it may go in."""
        return self._shelf.obstacles(self._entry(name))

    def unanswered(self, name: str) -> list[Finding]:
        """Give the questions that have come up since a text was checked."""
        return self._shelf.unanswered(self._entry(name))

    def history(self, name: str) -> list[dict]:
        """Give what was done with an id, oldest first, attempts among them."""
        return self.ledger.history(name)

    def attempts(self, name: str) -> list[dict]:
        """Give what was written for today's English after the text that stands, and did not take its place."""
        return self._shelf.attempts(self._entry(name))

    def before(self, name: str) -> str | None:
        """Give the English of before that the text was made from, when it has changed since."""
        return self._shelf.before(self._entry(name))

    def clips(self, name: str) -> list[Clip]:
        """Give the recordings of an id."""
        return clips(self._entry(name), self.forms(name), self.ledger)

    def clip_path(self, digest: str) -> Path:
        """Give the place of a recording."""
        return clip_path(self._shelf.folder, digest)

    def write(self, name: str, forms: Sequence[str], by: str, how: str, at: int, base_tgt: str, note: str = "") -> list[Finding]:
        """Write a text and give its findings; raises words_changed when it changed since base_tgt.

        An attempt that came second is kept in the ledger with its words, and the text stays.
        """
        entry, forms = self._entry(name), [tidy(form) for form in forms]
        if signs := unseen("".join(forms)):
            raise ChecklistError("review_refused", id=name, why="findings", codes=f"control {', '.join(signs)}")

        def work(shelf: Shelf) -> bool:
            row = written(shelf, entry, forms, by, how, at, note)
            # Who saves a program's text as it stands takes it up: from then on somebody answers for it.
            if shelf.forms(name) == forms and shelf.ledger.is_taken_up(entry, forms):
                return True
            fits = tgt_hash(shelf.forms(name)) == base_tgt
            shelf.ledger.add_all([row])
            if fits:
                self._keep(shelf, shelf.catalog.told(name, forms, entry))
            return fits

        if not self._do(work):
            raise ChecklistError("words_changed", id=name)
        return self.findings(name)

    def check(self, name: str, by: str, at: int, answers: Mapping[str, str], tgt: str | None = None, note: str = "") -> None:
        """Say that a text is right, with an answer to every ask; raises review_refused, words_changed."""
        def rows(shelf: Shelf, entry: Entry, forms: list[str]) -> list[dict]:
            findings = shelf.findings(entry, forms)
            wrong, open_asks = blocks(findings), unanswered(findings, dict(answers))
            if forms and (wrong or open_asks):
                why = "findings" if wrong else "unanswered"
                raise ChecklistError("review_refused", id=name, why=why, codes=", ".join(f.code for f in wrong or open_asks))
            return [shelf.ledger.made(entry, forms, "checked", by, at, note=note, answers=dict(answers))]

        self._act(name, tgt, rows)

    def back(self, name: str, by: str, at: int, text: str, how: str = "person", tgt: str | None = None) -> None:
        """Keep what somebody who does not see the English says that the text means."""
        if not text.strip():
            raise ChecklistError("review_refused", id=name, why="empty")
        self._act(name, tgt, lambda shelf, entry, forms: [
            shelf.ledger.made(entry, forms, "back", by, at, how, text=text.strip())])

    def judge(
        self, name: str, by: str, at: int, same: bool, tgt: str | None = None, note: str = "", back: str | None = None,
        then: Callable[[], object] = lambda: None,
    ) -> None:
        """Judge whether the back-translation says the same as the English; back: the hash of the row that was read.

        then: what is done before anybody else may work on the language.
        """
        def rows(shelf: Shelf, entry: Entry, forms: list[str]) -> list[dict]:
            read = shelf.ledger.said_back(entry, forms)
            told = row_hash(read) if back is None and read else back
            return [shelf.ledger.made(entry, forms, "judged", by, at, note=note, same=same, back=told)]

        self._act(name, tgt, rows, then)

    def withdraw(self, name: str, by: str, at: int, note: str = "", then: Callable[[], object] = lambda: None) -> None:
        """Take every text of an id out of use until it is checked and approved anew; then: as in judge()."""
        self._act(name, None, lambda shelf, entry, forms: shelf.ledger.withdrawing(entry, forms, by, at, note), then)

    def approve(self, list_id: str, by: str, at: int, note: str = "") -> int:
        """Approve a whole list; gives how many texts. Raises words_unready with what still lacks, and then writes nothing."""
        if list_id not in self.lists:
            raise ChecklistError("not_found", list=list_id)

        def work(shelf: Shelf) -> int:
            rows = approving(shelf, self.lists[list_id], self.source, by, at, note)
            shelf.ledger.add_all(rows)
            self._keep(shelf, shelf.catalog)
            return len(rows)

        return self._do(work)

    def record(self, name: str, values: Mapping[str, object], data: bytes, by: str, at: int, consent: bool) -> str:
        """Keep a recording of a sentence; gives its SHA-256. Raises clip_malformed, review_refused."""
        entry, digest = self._entry(name), read_clip(data)
        if dict(values) not in clip_keys(entry).values():
            raise ChecklistError("clip_malformed", id=name, why="this sentence is not spoken with these values")

        def rows(shelf: Shelf, entry: Entry, forms: list[str]) -> list[dict]:
            more = {"values": values_hash(dict(values)), "clip": digest, "consent": consent}
            row = shelf.ledger.made(entry, forms, "recorded", by, at, **more)
            target = clip_path(shelf.folder, digest)
            target.parent.mkdir(exist_ok=True)
            with WholeFiles() as files:
                files.open(target).write(data)
            return [row]

        self._act(name, None, rows)
        return digest

    def heard(self, name: str, values: Mapping[str, object], digest: str, by: str, at: int) -> None:
        """Say that a recording says exactly this; raises review_refused."""
        more = {"values": values_hash(dict(values)), "clip": digest}
        self._act(name, None, lambda shelf, entry, forms: [shelf.ledger.made(entry, forms, "heard", by, at, **more)])

    def change_table(self, by: str = "", at: int = 0, was_seen: str | None = None, **changes: object) -> None:
        """Change the table of the language; its tag and its plural forms stay. Raises words_changed, language_malformed."""
        self._do(lambda shelf: table_review.change(shelf.folder, shelf.ledger, shelf.language, changes, by, at, was_seen))

    def approve_table(self, by: str, at: int, seen: str) -> None:
        """Approve the table as it was seen, by its hash; raises review_refused."""
        self._do(lambda shelf: shelf.ledger.add_all([table_review.approving(shelf.ledger, shelf.language, by, at, seen)]))

    def change_term(self, en: str, term: Term | None, was_seen: str) -> None:
        """Put one term in, in its place or out; raises words_changed when it is not as it was seen, language_malformed."""
        self._do(lambda shelf: write_glossary(shelf.folder, changed(shelf.glossary, en, term, was_seen)))

    def update(self) -> dict[str, list[str]]:
        """Bring the file to today's English: {"new": ids, "stale": ids, "left": ids}."""
        def work(shelf: Shelf) -> None:
            self._keep(shelf, shelf.catalog)

        self._do(work)
        rows = self.catalog.rows
        return {
            "new": [name for name, row in rows.items() if not row.forms],
            "stale": [name for name, row in rows.items() if row.forms and row.before],
            "left": [row.id for row in self.catalog.left],
        }

    def import_po(self, data: bytes, by: str, at: int, how: str = "person", wrote: str = "") -> Taken:
        """Take in a file that came back; raises catalog_malformed with nothing kept.

        Every changed text is a draft by whoever brought it, whatever the file says of itself, and by
        whoever wrote it, where that is somebody else: neither is a second eye.
        """
        def work(shelf: Shelf) -> Taken:
            taken, rows, catalog = take(shelf, self.source, data, by, at, how)
            others = [row | {"by": wrote} for row in rows if wrote and folded(wrote) != folded(row["by"])]
            shelf.ledger.add_all([*others, *rows])
            self._keep(shelf, catalog)
            return taken

        return self._do(work)

    def export_po(self) -> bytes:
        """Give the file that a translator takes away."""
        return export_catalog(self.language, self.source, self.catalog, self.states())

    def pack(self, by: str, at: int, keep: Callable[[Packed], object] | None = None) -> Packed:
        """Make the pack; raises words_unready. keep: puts it in force while nobody can withdraw a line that it holds."""
        if keep is None:
            return packing.build(self._place(), self.source, self.lists, by, at)
        with self._alone():
            made = packing.build(self._place(), self.source, self.lists, by, at)
            keep(made)
        return made

    def _entry(self, name: str) -> Entry:
        if name not in self.source:
            raise ChecklistError("not_found", id=name)
        return self.source[name]

    def _do(self, work: Callable[[Shelf], object]) -> object:
        done = self._changing(self.tag, lambda folder: work(Shelf.read(folder, self.source)))
        self.refresh()
        return done

    def _act(
        self, name: str, tgt: str | None, rows: Callable[[Shelf, Entry, list[str]], list[dict]],
        then: Callable[[], object] = lambda: None,
    ) -> None:
        """Add rows on the text as it stands; refused when it is no more the one that was looked at."""
        entry = self._entry(name)

        def work(shelf: Shelf) -> None:
            forms = shelf.forms(name)
            if tgt is not None and tgt_hash(forms) != tgt:
                raise ChecklistError("words_changed", id=name)
            shelf.ledger.add_all(rows(shelf, entry, forms))
            then()
            self._keep(shelf, shelf.catalog)

        self._do(work)

    def _keep(self, shelf: Shelf, catalog: Catalog) -> None:
        """Write the file anew; which texts are marked as drafts follows from the ledger."""
        now = Shelf(shelf.folder, shelf.language, catalog, shelf.ledger, shelf.glossary)
        write_catalog(shelf.folder, shelf.language, self.source, catalog.forms(), now.states(self.source), catalog)

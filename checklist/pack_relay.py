"""Fetch from the hub the packs that it put in force, with their clips, whole or not at all.

What has arrived whole stays, so a session that breaks off is gone on with by the next.
Comes after the births in every session and for a bounded time, so that no birth waits for it.
"""

import sqlite3
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib import metadata
from typing import NamedTuple, Protocol

from checklist import device, pack_body, packs, trail
from checklist.core.event import parse, problems
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.packs import Place
from checklist.station import Identity

PROGRAM = "vacuum-birth-checklist"
# After so many seconds births get their turn again.
LONGEST_S = 60
# These concern one pack; the others may still come.
_OF_ONE_PACK = frozenset({"not_found", "pack_malformed", "pack_torn", "pack_foreign"})


class Said(NamedTuple):
    """What a hub said of a pack, and where."""

    place: Place
    tag: str
    digest: str
    size: int
    by: str


class Shelf(Protocol):
    """What is asked of a hub; over HTTP in upstream.py, by plain calls in tests."""

    def thing(self, digest: str) -> bytes:
        """Give the bytes that a digest names; raises not_found."""


@dataclass
class Report:
    """What a session did for packs: languages that came into force, refusals by tag, what broke off.

    waits: there is more to fetch, and only the time was up.
    """

    came: list[str] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)
    failure: str = ""
    waits: bool = False


def fetch(
    journal: Journal, identity: Identity, hub_id: str, shelf: Shelf, now: int,
    clock: Callable[[], float] = time.monotonic,
) -> Report:
    """Put in force what the hub has in force; raises nothing that a hub or a line can cause."""
    report, end = Report(), clock() + LONGEST_S
    for said in wanted(journal.reader, hub_id):
        try:
            if _was_refused(journal.reader, said):
                raise ChecklistError("pack_malformed", pack=said.digest)
            if not _fill(journal, said, shelf, now, lambda: clock() > end):
                report.waits = True
                return report
            _heed(journal, identity, said, now)
            report.came.append(said.tag)
        except ChecklistError as error:
            if error.code not in _OF_ONE_PACK:
                report.failure = error.code
                return report
            report.refused[said.tag] = error.code
            if error.code == "pack_malformed":
                journal.write(lambda store, said=said: _remember(store.connection, said))
    return report


def version() -> str:
    """Name this version of the program and of what it reads: another one may read what this one refused."""
    try:
        return f"{metadata.version(PROGRAM)} {pack_body.VERSION}"
    except metadata.PackageNotFoundError:
        return str(pack_body.VERSION)


def wanted(reader: sqlite3.Connection, hub_id: str) -> list[Said]:
    """List the newest word of this very hub on each language, where it was not heeded yet.

    What others signed, above it or beside it, changes nothing here: the hub tells on what it
    heeds itself. In one log the later place is the newer; where a hub had to begin another log, its clock
    tells. An older word that comes after a newer one therefore moves nothing back.
    """
    newest: dict[str, tuple[int, Said]] = {}
    for log in reader.execute(
        "select log_no, log from passed_log join log using (log) where device_id = ? order by log_no",
        (hub_id,),
    ).fetchall():
        for at, said in _last_of(reader, log):
            if said.tag not in newest or at >= newest[said.tag][0]:
                newest[said.tag] = (at, said)
    heeded = {
        row["tag"]: Place(row["heard_log"], row["heard_seq"])
        for row in reader.execute("select tag, heard_log, heard_seq from pack_in_force")
    }
    return [said for tag, (_, said) in sorted(newest.items()) if heeded.get(tag) != said.place]


def _last_of(reader: sqlite3.Connection, log: sqlite3.Row) -> list[tuple[int, Said]]:
    """Give the last word on each language in one log, with its time."""
    rows = reader.execute(
        "select line from event indexed by event_pack_made where log_no = ?"
        " and case_id = '' and json_extract(line, '$.kind') = 'pack_made' order by seq",
        (log["log_no"],),
    )
    found = {}
    for event in map(parse, [row["line"] for row in rows]):
        facts = event["facts"]
        if not problems(event):
            place = Place(log["log"], event["seq"])
            said = Said(place, facts["tag"], facts["digest"], facts["bytes"], facts.get("by", ""))
            found[said.tag] = (event["at"], said)
    return list(found.values())


def _fill(
    journal: Journal, said: Said, shelf: Shelf, now: int, is_late: Callable[[], bool]
) -> bool:
    """Fetch a pack and its clips as far as they lack here; gives whether all is here."""
    body = packs.held(journal.reader, said.digest)
    if body is None:
        body = shelf.thing(said.digest)
        if len(body) != said.size or pack_body.digest(body) != said.digest:
            raise ChecklistError("pack_torn", pack=said.digest)
        journal.write(lambda store: packs.store_pack(store.connection, body, said.by, now))
    if pack_body.read(body)["tag"] != said.tag:
        raise ChecklistError("pack_foreign", pack=said.digest)
    for digest in packs.lacking(journal.reader, said.digest):
        if is_late():
            return False
        clip = shelf.thing(digest)
        journal.write(
            lambda store, digest=digest, clip=clip: packs.store_clip(store.connection, digest, clip)
        )
    return True


def _was_refused(reader: sqlite3.Connection, said: Said) -> bool:
    """Tell whether this very version fetched that pack and could not read it; fetching it again would change nothing."""
    told = "select 1 from pack_refused where log = ? and seq = ? and version = ?"
    return reader.execute(told, (*said.place, version())).fetchone() is not None


def _remember(connection: sqlite3.Connection, said: Said) -> None:
    connection.execute(
        "insert or replace into pack_refused (log, seq, version) values (?, ?, ?)", (*said.place, version())
    )


def _heed(journal: Journal, identity: Identity, said: Said, now: int) -> None:
    def work(store) -> None:
        if packs.put_in_force(store, identity, said.digest, now, said.place):
            trail.note(store.connection, "", "pack_came", f"{said.tag} {said.digest}", now)

    journal.write(work)

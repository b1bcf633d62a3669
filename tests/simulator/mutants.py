"""Exchanges broken on purpose, each a mistake that real programs have made.

The simulator has to find every one of them, or it proves nothing.
"""

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import NamedTuple
from unittest.mock import patch

from checklist import intake, relay, relayed, stored, sync
from checklist.relay_state import ends_of, hear
from checklist.store import SqliteStore
from checklist.sync import Batch, chain
from tests.simulator.node import MemoryJournal
from tests.simulator.tablet import Tablet, beginning

# No mutant may stay unnoticed for longer.
SEEDS_TO_CATCH = 600


class Mutant(NamedTuple):
    """A broken exchange: what is wrong, and how it is put in place."""

    name: str
    broken: Callable[[], AbstractContextManager]


def _trust_cursor(self, cursor, heads):
    return False


def _count_places(self, log, seq, hashes):
    """Count an event as known when anything is held at its place."""
    rows = self.connection.execute(
        "select distinct seq from event join log using (log_no)"
        " where log = ? and seq between ? and ?",
        (log, seq, seq + len(hashes) - 1),
    )
    return len(rows.fetchall())


_add = SqliteStore.add


def _replace(self, batch, known, now):
    """Let the last writer win."""
    self.connection.execute("drop trigger if exists event_has_no_delete")
    self.connection.executemany(
        "delete from event where seq = ? and log_no = (select log_no from log where log = ?)",
        [(event["seq"], event["log"]) for event in batch.events[known:]],
    )
    _add(self, batch, known, now)


def _acknowledge_first(self, work):
    """Answer now and commit with the next piece of work."""
    if self.reader.in_transaction:
        self.reader.execute("commit")
    self.dies = ""
    count = "select count(*) from event"
    before = self.reader.execute(count).fetchone()[0]
    self.reader.execute("begin immediate")
    store = SqliteStore(self.reader)
    result = work(store)
    store.finish()
    if self.reader.execute(count).fetchone()[0] == before:
        self.reader.execute("commit")
    return result


def _believe(header, lines, public_key):
    """Take a batch for what it says it is."""
    hashes = chain(bytes.fromhex(header.prev), lines)
    return Batch(header, lines, hashes, [json.loads(line) for line in lines])


def _go_on_after_others(self, log, leaves):
    """Take the furthest end of a log for one's own."""
    theirs = [(seq, digest) for name, seq, digest in leaves if name == log]
    return max(theirs, default=beginning(log))


_agree = Tablet.agree


def _prune(self, cursor, log, place):
    """Let go of a log that is not written any more as soon as one station has all of it."""
    _agree(self, cursor, log, place)
    if place[0] == len(self.disk.hashes.get(log, [])) and log != self.next_log():
        self.gone = getattr(self, "gone", set()) | {log}


def _left(self):
    return [(log, last) for log, last in _tips(self) if log not in getattr(self, "gone", ())]


def _pending_of(tablet, log):
    return [line for name, line in tablet.pending if name == log]


def _ship_tips(self):
    """Send what is not durable yet as well."""
    logs = dict.fromkeys([*self.disk.logs, *(log for log, _ in self.pending)])
    return [(log, len(_ship_lines(self, log, 0))) for log in logs]


def _ship_lines(self, log, after):
    return [*self.disk.logs.get(log, []), *_pending_of(self, log)][after:]


_tips = Tablet.tips


def _since(self):
    """Send only logs with something newer, by its clock, than all that was ever looked at."""
    newest = {
        log: json.loads(self.disk.logs[log][-1])["at"] for log, _ in _tips(self)
    }
    mark = getattr(self, "mark", -1)
    self.mark = max([mark, *newest.values()])
    return [(log, last) for log, last in _tips(self) if newest[log] > mark]


def _accept_foreign(store, batch, now):
    """Say that it is stored when it is not: the answer of a proxy."""
    leaf = (batch.header.log, batch.events[-1]["seq"], batch.header.head)
    return sync.Reply([leaf], 0, False, now)


def _never_doubt(self, log):
    return None


def _one_branch(reader, log):
    """Relay of a fork only the branch that is furthest."""
    covered = relay._covered(reader, log, ends_of(reader, log)[:1])
    for _, signed in stored.after(reader, log, 0):
        if signed[0].head in covered:
            yield signed


_wanted = relay.wanted


def _only_down(reader):
    """Never ask a hub for what this station has lost."""
    return [(log, down) for log, down in _wanted(reader) if down]


def _hear_once(connection, told):
    """Believe for ever what the hub said first."""
    if connection.execute("select told from peer").fetchone()[0] == "":
        hear(connection, told)


# The list in the design also names pruning with its anchors, and a cursor that stays after
# unknown_prev. Nothing is pruned here, and the comparison of heads mends such a cursor; their
# places are taken by a tablet that lets go, one that adopts a foreign end, and by relays.
MUTANTS = (
    Mutant("tablet trusts its own cursor", lambda: patch.object(Tablet, "_rewind", _trust_cursor)),
    Mutant("first at a place wins", lambda: patch.object(SqliteStore, "count_known", _count_places)),
    Mutant("last at a place wins", lambda: patch.object(SqliteStore, "add", _replace)),
    Mutant("acknowledge before commit",
           lambda: patch.object(MemoryJournal, "write", _acknowledge_first)),
    Mutant("no chain, head or signature checked", lambda: patch.object(intake, "prove", _believe)),
    Mutant("a gap is accepted", lambda: patch.object(sync, "_is_anchored", lambda *_: True)),
    Mutant("tablet goes on after another's end",
           lambda: patch.object(Tablet, "last_shared", _go_on_after_others)),
    Mutant("tablet lets go on acknowledgement",
           lambda: patch.multiple(Tablet, agree=_prune, tips=_left)),
    Mutant("tablet sends what is not durable",
           lambda: patch.multiple(Tablet, tips=_ship_tips, lines=_ship_lines)),
    Mutant("changes since a time", lambda: patch.object(Tablet, "tips", _since)),
    Mutant("no new log after a fork", lambda: patch.object(Tablet, "doubt", _never_doubt)),
    Mutant("stored is said of what is not",
           lambda: patch.object(intake, "receive", _accept_foreign)),
    Mutant("of a fork one branch is relayed",
           lambda: patch.object(relay, "next_batches", _one_branch)),
    Mutant("nothing comes back from a hub", lambda: patch.object(relay, "wanted", _only_down)),
    Mutant("station trusts what it believes of its hub",
           lambda: patch.object(relay, "hear", _hear_once)),
    Mutant("hub checks no chain or signature",
           lambda: patch.object(relayed, "prove", _believe)),
)

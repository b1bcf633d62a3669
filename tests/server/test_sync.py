"""The exchange itself: one protocol core, two stores, the same answers.

The store in memory is the plainest reading of the promise: a set of events,
closed under "what came before", that only grows.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checklist import device, intake, sender
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.sync import chain, genesis, prove, receive
from tests.server.tablet import Tablet

NOW = 1_790_000_000_000
# Made with sha256sum from the definition of the chain.
GENESIS = "fd33e401dce839cf75853b21e0dce0863c2df1e00f70f0b1dc2ba2c5481ab878"
AFTER = "4279ca35232cd71ac5f24cff178da16517f96eebc6b9ca1debb312ddb75a73f6"


class MemoryStore:
    """Holds {hash: (seq, hash before)} of one log, and who owns it."""

    def __init__(self):
        self.held, self.log, self.device = {}, "", None

    def owner(self, log):
        return self.device

    def has(self, log, seq, digest):
        return self.held.get(digest, (0, b""))[0] == seq

    def count_known(self, log, seq, hashes):
        return sum(digest in self.held for digest in hashes)

    def leaves(self, log):
        inner = {before for _, before in self.held.values()}
        ends = [(log, seq, digest.hex()) for digest, (seq, _) in self.held.items()
                if digest not in inner]
        return sorted(ends, key=lambda leaf: (-leaf[1], leaf[2]))

    def add(self, batch, known, now):
        self.device = batch.header.device
        before = bytes.fromhex(batch.header.prev)
        for place, digest in enumerate(batch.hashes, start=batch.header.seq):
            self.held.setdefault(digest, (place, before))
            before = digest


def answer(take):
    """Give what an exchange answered, refusals included, in a fixed order."""
    try:
        reply = take()
    except ChecklistError as refused:
        return refused.code, sorted(refused.facts["leaves"])
    return reply.stored, reply.forked, sorted(reply.leaves)


@settings(max_examples=40, deadline=None)
@given(
    shared=st.integers(0, 4),
    own=st.tuples(*[st.integers(1, 4)] * 3),
    sends=st.lists(
        st.tuples(st.integers(0, 2), st.integers(1, 8), st.integers(1, 8)), max_size=14
    ),
)
def test_both_stores_give_the_same_answers_to_any_batches(tmp_path_factory, shared, own, sends):
    first = Tablet()
    for _ in range(shared):
        first.note("hiss_heard")
    branches = [first, first.twin(), first.twin()]
    for kind, branch, more in zip(("hiss_heard", "head_born", "screen_woke"), branches, own,
                                  strict=True):
        for _ in range(more):
            branch.note(kind)
    journal = Journal.open(tmp_path_factory.mktemp("sync") / "s.sqlite3")
    journal.write(
        lambda store: device.add(store.connection, first.public_key, "", device.ADMITTED, NOW)
    )
    memory = MemoryStore()

    for which, start, end in sends:
        branch = branches[which]
        if not start <= end <= len(branch.lines):
            continue
        batch = prove(branch.header(start, end), branch.lines[start - 1 : end], first.public_key)
        told = [
            answer(lambda: receive(memory, batch, NOW)),
            answer(lambda: journal.write(lambda store: receive(store, batch, NOW))),
        ]
        assert told[0] == told[1]

    count = journal.reader.execute("select count(*) from event").fetchone()[0]
    assert count == len(memory.held)
    journal.close()


def test_a_chain_begins_with_its_log_and_hashes_bytes_as_written():
    log = "00112233445566778899aabbccddeeff"

    (after,) = chain(genesis(log), ['{"text":"é"}'])

    assert genesis(log).hex() == GENESIS
    assert after.hex() == AFTER


@pytest.mark.parametrize("events", [1, 500, 501, 1200])
def test_a_log_cut_in_python_is_admitted_whole(tmp_path: Path, events):
    tablet = Tablet()
    for _ in range(events):
        tablet.note("hiss_heard")
    journal = Journal.open(tmp_path / "s.sqlite3")
    journal.write(
        lambda store: device.add(store.connection, tablet.public_key, "", device.ADMITTED, NOW)
    )

    replies = [
        intake.take(journal, body, "", NOW)
        for body in sender.cut(tablet.private_key, tablet.log, tablet.lines)
    ]

    assert sum(reply.stored for reply in replies) == events
    assert replies[-1].leaves == [(tablet.log, events, tablet.header().head)]
    journal.close()


def test_a_signature_covers_every_part_of_the_header():
    tablet = Tablet()
    tablet.note("hiss_heard")
    header = tablet.header()

    for part, other in {
        "log": "0" * 32, "seq": 2, "n": 2, "prev": "0" * 64, "head": "0" * 64,
    }.items():
        assert replace(header, **{part: other}).message != header.message

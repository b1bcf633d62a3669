"""Batches: what is admitted, what is refused, and that refusing stores nothing."""

import gzip
import json
from dataclasses import replace

import pytest

from checklist.intake import LARGEST_BATCH, LARGEST_PACKED
from checklist.sync import chain, genesis
from tests.server.tablet import Tablet, pack


def test_a_batch_is_stored_byte_for_byte(client, tablet, station):
    case = tablet.open_case(label="Bett 3 – ü")
    tablet.pull(case, 2)

    reply = tablet.send(client)

    assert reply.status_code == 200
    head = chain(genesis(tablet.log), tablet.lines)[-1].hex()
    assert reply.json["leaves"] == [[tablet.log, 7, head]]
    assert (reply.json["stored"], reply.json["forked"]) == (7, False)
    assert station.journal.lines_after(tablet.log, 0)[0] == tablet.lines


def test_the_same_batch_again_changes_nothing(client, tablet, stored):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client)

    again = tablet.send(client)

    assert (again.status_code, again.json["stored"], again.json["forked"]) == (200, 0, False)
    assert (stored("event"), stored("batch"), stored("leaf")) == (7, 1, 1)


def test_an_overlapping_batch_adds_only_what_is_new(client, tablet, stored):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client, tablet.batch(1, 5))

    reply = tablet.send(client, tablet.batch(3))

    assert (reply.status_code, reply.json["stored"]) == (200, 2)
    assert (stored("event"), stored("leaf")) == (7, 1)


def test_an_old_batch_that_comes_late_adds_nothing(client, tablet, stored):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client)

    late = tablet.send(client, tablet.batch(2, 4))

    assert (late.status_code, late.json["stored"], late.json["forked"]) == (200, 0, False)
    assert (stored("event"), stored("leaf")) == (7, 1)


def test_a_gap_is_refused_with_what_is_held(client, tablet, stored):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client, tablet.batch(1, 2))

    reply = tablet.send(client, tablet.batch(4))

    assert (reply.status_code, reply.json["code"]) == (409, "unknown_prev")
    assert reply.json["leaves"] == [[tablet.log, 2, tablet.header(1, 2).head]]
    assert stored() == 2


def test_a_log_that_is_not_known_at_all_starts_at_its_first_event(client, tablet, stored):
    tablet.pull(tablet.open_case())

    reply = tablet.send(client, tablet.batch(2))

    assert (reply.status_code, reply.json["code"], reply.json["leaves"]) == (
        409, "unknown_prev", [],
    )
    assert stored("log") == 0


def test_two_histories_of_one_log_are_both_kept(client, tablet, stored):
    case = tablet.open_case()
    tablet.pull(case)
    restored = tablet.twin()
    tablet.note("hiss_heard", case)
    restored.note("cup_detached", case)
    restored.note("hiss_heard", case)
    tablet.send(client)

    reply = restored.send(client)

    assert (reply.status_code, reply.json["stored"], reply.json["forked"]) == (200, 2, True)
    assert sorted(seq for _, seq, _ in reply.json["leaves"]) == [5, 6]
    assert (stored("event"), stored("leaf")) == (7, 2)


def test_both_branches_of_a_fork_go_on_growing(client, tablet, stored):
    restored = tablet.twin()
    for branch, kind in ((tablet, "hiss_heard"), (restored, "cup_detached")):
        branch.note(kind)
        branch.send(client)
    tablet.note("hiss_heard")
    restored.note("hiss_heard")

    for branch in (tablet, restored):
        assert branch.send(client, branch.batch(2)).json["stored"] == 1

    assert (stored("event"), stored("leaf")) == (4, 2)


def test_a_line_changed_on_the_way_is_refused(client, tablet, stored):
    tablet.pull(tablet.open_case())
    body = tablet.batch().replace(b'"descent":"yes"', b'"descent":"no"')

    reply = tablet.send(client, body)

    assert (reply.status_code, reply.json["code"]) == (422, "head_mismatch")
    assert stored() == 0


@pytest.mark.parametrize("part", ["seq", "prev", "head", "log"])
def test_a_header_that_was_not_signed_is_refused(client, tablet, stored, part):
    tablet.pull(tablet.open_case())
    other = {"seq": 2, "prev": "0" * 64, "head": "0" * 64, "log": tablet.log}[part]
    header = replace(tablet.header(), **{part: other})
    if part == "log":
        header = replace(header, signature=Tablet().signed(header).signature)

    reply = tablet.send(client, pack(header, tablet.lines))

    assert (reply.status_code, reply.json["code"]) == (422, "signature_wrong")
    assert stored() == 0


def test_a_signed_head_that_does_not_follow_is_refused(client, tablet, stored):
    tablet.pull(tablet.open_case())
    header = tablet.signed(replace(tablet.header(), head="ab" * 32))

    reply = tablet.send(client, pack(header, tablet.lines))

    assert (reply.status_code, reply.json["code"]) == (422, "head_mismatch")
    assert stored() == 0


def test_a_line_at_a_wrong_place_is_refused(client, tablet, stored):
    tablet.pull(tablet.open_case())
    lines = [tablet.lines[1], tablet.lines[0]]
    head = chain(genesis(tablet.log), lines)[-1].hex()
    header = tablet.signed(replace(tablet.header(1, 2), head=head))

    reply = tablet.send(client, pack(header, lines))

    assert (reply.status_code, reply.json["code"]) == (422, "chain_mismatch")
    assert stored() == 0


def test_a_line_that_is_no_event_is_refused(client, tablet, stored):
    tablet.lines = ['{"log":"x"}']

    reply = tablet.send(client)

    assert (reply.status_code, reply.json["code"]) == (422, "event_malformed")
    assert stored() == 0


def test_a_kind_from_a_newer_version_is_kept_as_it_came(client, tablet, station):
    tablet.note("ultrasound_done", "", place="ward", minutes=4)

    assert tablet.send(client).status_code == 200

    assert station.journal.lines_after(tablet.log, 0)[0] == tablet.lines


def test_another_device_cannot_write_into_a_log(client, tablet, stored):
    tablet.note("hiss_heard")
    tablet.send(client)
    thief = Tablet()
    thief.ask(client)
    client.application.extensions["checklist"].journal.write(
        lambda store: store.connection.execute("update device set state = 'admitted'")
    )
    thief.log, thief.lines = tablet.log, list(tablet.lines)
    thief.note("cup_detached")

    reply = thief.send(client, thief.batch(2))

    assert (reply.status_code, reply.json["code"]) == (403, "log_foreign")
    assert stored() == 1


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"", 400, "batch_malformed"),
        (b"\xff\xfe\n", 400, "batch_malformed"),
        (b"{}\n", 400, "batch_malformed"),
        (b"[]\n", 400, "batch_malformed"),
        (b'{"batch":1}', 400, "batch_malformed"),
        (b"[" * 100_000 + b"\n", 400, "batch_malformed"),
    ],
    ids=["empty", "not UTF-8", "no header", "a list", "cut off", "nested deep"],
)
def test_what_is_no_batch_is_refused(client, tablet, stored, body, status, code):
    reply = tablet.send(client, body)

    assert (reply.status_code, reply.json["code"]) == (status, code)
    assert stored() == 0


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("batch", 2), ("batch", True), ("log", "AB" * 16), ("log", 7), ("seq", 0), ("seq", 1.5),
        ("n", 2), ("prev", "00"), ("head", None), ("device", ""), ("alg", "none"),
        ("signature", 4),
    ],
)
def test_a_header_with_a_wrong_part_is_refused(client, tablet, name, value):
    tablet.note("hiss_heard")
    header = json.loads(tablet.header().line()) | {name: value}
    body = "\n".join([json.dumps(header), *tablet.lines, ""]).encode()

    reply = tablet.send(client, body)

    assert (reply.status_code, reply.json["code"]) == (400, "batch_malformed")


def test_a_batch_cut_off_in_its_compression_is_refused(client, tablet, stored):
    tablet.pull(tablet.open_case())
    torn = gzip.compress(tablet.batch())[:-9]

    reply = tablet.send(client, torn, packed=False, **{"Content-Encoding": "gzip"})

    assert (reply.status_code, reply.json["code"]) == (400, "batch_malformed")
    assert stored() == 0


def test_a_small_body_that_swells_is_refused_while_it_swells(client, tablet):
    bomb = gzip.compress(b"0" * 40_000_000)
    assert len(bomb) < LARGEST_PACKED

    reply = tablet.send(client, bomb, packed=False, **{"Content-Encoding": "gzip"})

    assert (reply.status_code, reply.json["code"]) == (413, "batch_too_big")
    assert reply.json["max"] == LARGEST_BATCH


@pytest.mark.parametrize(
    ("length", "encoding", "status"),
    [
        (LARGEST_PACKED, "gzip", 400),
        (LARGEST_PACKED + 1, "gzip", 413),
        (LARGEST_BATCH, "", 400),
        (LARGEST_BATCH + 1, "", 413),
    ],
)
def test_too_big_begins_right_after_the_limit(client, tablet, length, encoding, status):
    reply = tablet.send(
        client, b"\0" * length, packed=False, **{"Content-Encoding": encoding}
    )

    assert reply.status_code == status


def test_an_unknown_compression_is_refused(client, tablet):
    reply = tablet.send(client, packed=False, **{"Content-Encoding": "br"})

    assert (reply.status_code, reply.json["code"]) == (415, "encoding_unknown")


def test_a_batch_may_come_without_compression(client, tablet):
    tablet.note("hiss_heard")

    assert tablet.send(client, packed=False).status_code == 200


def test_the_address_must_name_the_log_of_the_batch(client, tablet):
    tablet.note("hiss_heard")
    body = tablet.batch()
    tablet.log = "0" * 32

    assert tablet.send(client, body).json["code"] == "batch_malformed"

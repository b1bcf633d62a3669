"""A receipt tells the station what the hub holds; a false, foreign or old one tells nothing."""

import json
from dataclasses import replace

import pytest

from checklist import receipt, relay, relay_state, sealing
from checklist.errors import ChecklistError
from tests.server.near_hub import NOW, Post
from tests.server.sticks import Pair, contents


@pytest.fixture
def pair(tmp_path):
    """Give a hub that took in one file, and the station that made it."""
    made = Pair(tmp_path)
    made.admit()
    made.birth()
    made.take(made.file())
    return made


def refused(pair, text: bytes) -> str:
    before = contents(pair.post)
    with pytest.raises(ChecklistError) as refusal:
        pair.hand_back(text)
    assert contents(pair.post) == before
    return refusal.value.code


def waiting(pair) -> int:
    return relay_state.waiting(pair.post.journal.reader)["count"]


def test_after_the_receipt_nothing_waits_and_only_what_is_new_travels(pair):
    assert waiting(pair) == len(pair.post.lines())
    assert pair.hand_back(pair.receipt()) == 1
    assert waiting(pair) == 0

    before = len(pair.post.lines())
    pair.birth()
    taken = pair.take(pair.file())
    assert taken.events == taken.stored == len(pair.post.lines()) - before


def test_an_old_receipt_moves_nothing_back(pair):
    old = pair.receipt()
    pair.birth()
    pair.take(pair.file())
    pair.hand_back(pair.receipt(NOW + 1))
    before = contents(pair.post)

    assert pair.hand_back(old) == 0
    assert pair.hand_back(pair.receipt(NOW + 1)) == 0
    assert contents(pair.post) == before and waiting(pair) == 0


def test_a_receipt_for_another_station_is_refused(pair, tmp_path):
    other = Post(tmp_path, "other")
    text = json.loads(pair.receipt()) | {"to": other.identity.station_id}

    assert refused(pair, json.dumps(text).encode()) == "stick_foreign"


def test_a_receipt_of_another_hub_is_refused(pair, tmp_path):
    other = Post(tmp_path, "other")
    pair.hub, hub = other, pair.hub
    pair.admit()
    text = pair.receipt()
    pair.hub = hub

    assert refused(pair, text) == "stick_foreign"


@pytest.mark.parametrize("change", [
    {"at": NOW + 5}, {"leaves": [["0" * 32, 5, "1" * 64]]}, {"signature": "x" * 86},
])
def test_an_altered_receipt_is_refused(pair, change):
    assert refused(pair, json.dumps(json.loads(pair.receipt()) | change).encode()) == "signature_wrong"


@pytest.mark.parametrize("text", [
    b'{"receipt"', b'{"receipt":true}', b'{"receipt":1}', b"[" * 5000, b'{"receipt":"1"}',
    b'{"receipt":1,"hub":"","key":"","to":"","signature":"","at":1,"leaves":[["a",1,"b"]]}',
])
def test_what_is_no_receipt_is_refused(pair, text):
    assert refused(pair, text) == "stick_malformed"


def test_a_newer_receipt_is_named(pair):
    assert refused(pair, json.dumps(json.loads(pair.receipt()) | {"receipt": 2}).encode()) == "stick_newer"


def test_a_station_that_trusts_no_hub_takes_no_receipt(tmp_path):
    lone = Post(tmp_path, "lone")

    with pytest.raises(ChecklistError) as refusal:
        lone.journal.write(lambda store: receipt.take(
            store, lone.identity,
            b'{"receipt":1,"hub":"h","key":"k","to":"t","signature":"s","at":1,"leaves":[]}', NOW,
        ))
    assert refusal.value.code == "sealing_missing"


def test_a_statement_is_proven_before_it_is_trusted(pair, tmp_path):
    other = Pair.seal(Post(tmp_path, "other"))
    for change in ({"seal": other["seal"]}, {"made_at": 1}, {"key": other["key"]}):
        with pytest.raises(ChecklistError) as refusal:
            sealing.read(json.dumps(pair.said | change).encode())
        assert refusal.value.code == "signature_wrong"
    for text in (b"", b"[]", b'{"sealing":2}', json.dumps(pair.said | {"made_at": True}).encode()):
        with pytest.raises(ChecklistError) as refusal:
            sealing.read(text)
        assert refusal.value.code == "stick_malformed"


def test_nobody_states_a_key_in_the_name_of_another_hub(pair, tmp_path):
    false = Post(tmp_path, "false")
    said = sealing._state(replace(false.identity, station_id=pair.said["hub"]), pair.said["seal"], NOW)

    with pytest.raises(ChecklistError) as refusal:
        sealing.read(json.dumps(said).encode())
    assert refusal.value.code == "signature_wrong"


def test_a_station_that_joined_a_hub_trusts_no_other(pair, tmp_path):
    hub = Post(tmp_path, "third")
    pair.post.join(hub)
    before = contents(pair.post)

    with pytest.raises(ChecklistError) as refusal:
        pair.post.journal.write(lambda store: sealing.trust(store.connection, pair.said, NOW))
    assert refusal.value.code == "hub_wrong" and contents(pair.post) == before


def test_a_station_learns_the_key_of_the_hub_that_it_joined(tmp_path):
    hub, post = Post(tmp_path, "hub"), Post(tmp_path, "post")
    said = Pair.seal(hub)
    relay.exchange(post.journal, post.join(hub), NOW)

    assert sealing.of_hub(post.journal.reader) == said

"""What a hub or a line does wrong with packs of words: nothing of it comes into force, and births go on."""

import pytest

from checklist import keys, pack_body, packs, peer
from checklist.errors import ChecklistError
from tests.server.hubs import hub, serve
from tests.server.packs_made import (
    CLIP, SPOKEN, TAG, VOICES, WORDS, Spoiled, a_birth, a_pack, clips_held, cut, in_force, make, other_bytes, post, said,
    withdraw,
)
from tests.server.tablet import Tablet

__all__ = ["hub", "post", "serve"]


@pytest.mark.parametrize("at", [1, 2, 4], ids=["the pack", "the first clip", "the last clip"])
def test_a_line_that_breaks_keeps_the_births_and_whatever_came_whole(hub, post, at):
    first = make(hub, a_pack(WORDS))
    post.sync()
    name = make(hub, SPOKEN, *VOICES)
    lines, before = a_birth(post), peer.read(post.journal.reader)["synced_at"]
    spoiled = Spoiled(hub)
    spoiled.change = lambda response, count: cut(response) if count >= at else response

    report = post.sync()

    assert lines <= hub.lines() and report.settled
    assert report.packs.failure == "station_unreachable"
    assert in_force(post) == first and clips_held(post) == max(at - 2, 0)
    told = peer.read(post.journal.reader)
    assert told["failure"] == "station_unreachable" and told["synced_at"] > before

    spoiled.change = lambda response, count: response
    spoiled.asked.clear()
    post.stop()
    post.start()
    assert post.sync().packs.came == [TAG]
    assert in_force(post) == name and len(spoiled.asked) == 4 - (at - 1)


@pytest.mark.parametrize(("change", "code"), [
    (lambda response: other_bytes(response, b"0" * len(SPOKEN)), "pack_torn"),
    (lambda response: other_bytes(response, SPOKEN[:-1]), "pack_torn"),
    (lambda response: other_bytes(response, SPOKEN + b" "), "pack_torn"),
    (lambda response: other_bytes(response, b"0" * (pack_body.LARGEST_PACK + 1)), "pack_torn"),
    (lambda response: other_bytes(response, a_pack(WORDS)), "pack_torn"),
], ids=["other bytes", "shorter", "longer", "oversize", "another pack"])
def test_a_body_that_is_not_what_was_announced_is_refused(hub, post, change, code):
    before = make(hub, a_pack(WORDS))
    post.sync()
    make(hub, SPOKEN, *VOICES)
    lines = a_birth(post)
    Spoiled(hub).change = lambda response, count: change(response)

    report = post.sync()

    assert (report.packs.refused, report.packs.came) == ({TAG: code}, [])
    assert in_force(post) == before and len(said(post)) == 1
    assert lines <= hub.lines()
    assert peer.read(post.journal.reader)["failure"] == code


def test_a_clip_that_is_another_is_refused_and_the_pack_waits(hub, post):
    make(hub, SPOKEN, *VOICES)
    Spoiled(hub).change = lambda response, count: response if count == 1 else other_bytes(response, CLIP)

    assert post.sync().packs.refused == {TAG: "pack_torn"}
    assert in_force(post) is None and clips_held(post) == 0


def test_more_than_any_answer_may_hold_ends_the_fetching_alone(hub, post):
    make(hub, SPOKEN, *VOICES)
    Spoiled(hub).change = lambda response, count: other_bytes(response, b"0" * (9 * 1024 * 1024))

    report = post.sync()

    assert (report.settled, report.packs.failure) == (True, "station_unreachable")


def test_a_pack_of_another_language_than_was_said_is_foreign(hub, post):
    name = make(hub, SPOKEN, *VOICES)
    # A hub whose word and whose pack are at odds.
    hub.journal.write(lambda store: store.connection.execute("delete from pack_said"))
    for table in ("pack", "pack_in_force"):
        hub.journal.write(lambda store, table=table: store.connection.execute(f"update {table} set tag = 'qab'"))
    hub.journal.write(lambda store: packs.tell(store, hub.parts.identity, post.parts.identity.station_id, 1))

    report = post.sync()

    assert report.packs.refused == {"qab": "pack_foreign"}
    assert in_force(post) == name


def test_one_pack_that_is_refused_holds_up_no_other(hub, post):
    make(hub, a_pack(WORDS))
    good = make(hub, a_pack(WORDS, tag="qab"))
    spoiled = Spoiled(hub)
    spoiled.change = lambda response, count: (
        response if spoiled.asked[-1].endswith(good) else other_bytes(response, b"x")
    )

    report = post.sync()

    assert (report.packs.refused, report.packs.came) == ({TAG: "pack_torn"}, ["qab"])


def test_a_retired_station_gets_no_pack_and_keeps_what_it_has(hub, post):
    before = make(hub, a_pack(WORDS))
    post.sync()
    hub.state_of(post.parts.identity.station_id, "retired")
    make(hub, SPOKEN, *VOICES)

    with pytest.raises(ChecklistError, match="device_retired"):
        post.sync()

    assert in_force(post) == before
    hub.state_of(post.parts.identity.station_id, "admitted")
    assert post.sync().packs.came == [TAG]


def test_a_pack_is_given_to_stations_alone(hub, post):
    name = make(hub, SPOKEN, *VOICES)
    tablet, client = Tablet(), hub.app.test_client()
    tablet.ask(client)
    hub.state_of(tablet.device_id, "admitted")
    path = f"/v1/things/{name}"
    identity = post.parts.identity

    def asked(path, key=identity.private_key):
        signature = keys.sign(key, f"get/1\n{path}")
        return client.get(path, headers={"X-Device": identity.station_id, "X-Signature": signature})

    assert client.get(path).status_code == 401
    assert tablet.get(client, path).json["code"] == "log_foreign"
    assert asked(path, keys.new_private_key()).json["code"] == "signature_wrong"
    assert asked("/v1/things/" + "0" * 64).json["code"] == "not_found"
    assert asked(path).data == SPOKEN
    hub.state_of(identity.station_id, "retired")
    assert asked(path).json["code"] == "device_retired"


def test_a_hub_that_cannot_say_its_words_still_takes_births(hub, serve, monkeypatch):
    make(hub, a_pack(WORDS))
    late = serve("late")
    late.join(hub)
    lines = a_birth(late)

    def full(*_):
        raise ChecklistError("disk_full")

    monkeypatch.setattr(packs, "tell", full)

    assert late.sync().settled and lines <= hub.lines()
    monkeypatch.undo()
    assert late.sync().packs.came == [TAG]


def test_a_pack_that_cannot_be_read_is_fetched_once_until_a_new_word_or_a_new_version(hub, post, monkeypatch):
    make(hub, a_pack(WORDS))
    asked = Spoiled(hub).asked

    def older_syncs() -> dict:
        with monkeypatch.context() as older:
            older.setattr("checklist.pack_body.VERSION", 0)
            return post.sync().packs.refused

    assert [older_syncs(), older_syncs()] == [{TAG: "pack_malformed"}] * 2 and len(asked) == 1
    withdraw(hub, "app.failed")
    assert [older_syncs(), older_syncs()] == [{TAG: "pack_malformed"}] * 2 and len(asked) == 2
    assert post.sync().packs.came == [TAG]
    assert in_force(post) == in_force(hub)

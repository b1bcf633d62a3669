"""Packs of words at one station: kept, put in force, said to all below, withdrawn in part, served in a release."""

import json
import sqlite3

import pytest
from flask import Response

from checklist import device, outbox, pack_body, packs
from checklist.audit import find_damage
from checklist.errors import ChecklistError
from checklist.keys import device_id, new_private_key, public_key_of
from checklist.releases import KEPT
from checklist.web.parts import renew_release
from tests.server.hubs import Served
from tests.server.packs_made import CLIP, TAG, WORDS, a_pack, in_force, make, said, withdraw
from tests.server.pages import see
from tests.server.people import trail_of



@pytest.fixture
def place(tmp_path, shell_folder):
    """Give a station that answers."""
    served = Served(tmp_path / "place", shell_folder)
    yield served
    served.stop()


def below(place, state=device.ADMITTED):
    """Let a station in that reports here; gives its id."""
    key = public_key_of(new_private_key())
    place.journal.write(lambda store: device.add(
        store.connection, key, "Hill post", state, 1, kind=device.POST
    ))
    return device_id(key)


def heard(place, station_id):
    """Give the digests that a station was told."""
    reader = place.journal.reader
    logs = [row["log"] for row in reader.execute(
        "select log from outbox_log where station_id = ?", (station_id,)
    )]
    rows = [line for log in logs for line in place.journal.lines_after(log, 0)[0]]
    return [json.loads(line)["facts"]["digest"] for line in rows]


def refusal(work):
    with pytest.raises(ChecklistError) as error:
        work()
    return error.value.code


def test_a_pack_comes_into_force_and_everyone_below_is_told(place):
    post, gone, waits = below(place), below(place, device.RETIRED), below(place, device.WAITING)
    body = a_pack(WORDS, {"app.failed": CLIP})

    name = make(place, body, CLIP)

    assert in_force(place) == name == pack_body.digest(body)
    assert said(place) == [{"tag": TAG, "digest": name, "bytes": len(body), "by": "Asha"}]
    assert [heard(place, one) for one in (post, gone, waits)] == [[name], [], []]
    assert trail_of(place.parts) == [("Asha", "pack_made", f"{TAG} {name}")]
    assert packs.held(place.journal.reader, name) == body
    assert packs.held(place.journal.reader, pack_body.digest(CLIP)) == CLIP


def test_the_same_pack_again_says_nothing_twice_and_an_older_one_may_come_back(place):
    first, second = a_pack(WORDS), a_pack({**WORDS, "app.failed": "Nafun re."})
    names = [make(place, body) for body in (first, first, second, first)]

    assert [facts["digest"] for facts in said(place)] == [names[0], names[2], names[0]]
    assert in_force(place) == names[0]


def test_withdrawn_lines_make_a_new_pack_without_them(place):
    body = a_pack(WORDS, {"app.failed": CLIP, "problem.not_found": CLIP + b"2"})
    first = make(place, body, CLIP, CLIP + b"2")

    name = withdraw(place, "app.failed", "no.such")

    told = json.loads(packs.held(place.journal.reader, name))
    assert in_force(place) == name != first
    assert (list(told["m"]), list(told["src"]), list(told["voice"])) == (["problem.not_found"],) * 3
    assert (told["withdrawn"], told["by"]) == (["app.failed"], "Ben")
    assert [what for _, what, _ in trail_of(place.parts)] == ["pack_made", "lines_withdrawn", "pack_made"]


def test_what_is_not_there_cannot_be_withdrawn(place):
    assert refusal(lambda: withdraw(place, "app.failed")) == "not_found"
    make(place, a_pack(WORDS))
    assert refusal(lambda: withdraw(place, "no.such")) == "not_found"
    assert len(said(place)) == 1


@pytest.mark.parametrize("other", [
    {"pack": 2}, {"pack": True}, {"tag": "en"}, {"tag": "../up"}, {"tag": "qaa\n"}, {"tag": "a" * 17}, {"name": " "},
    {"dir": "up"}, {"fallback": "en"}, {"plural": "01"}, {"script": None}, {"m": {"a": 1}}, {"m": {"a": []}}, {"m": []}, {"withdrawn": [1]}, {"units": {"min": 1}},
    {"voice": {"a": {"clip": "../../x", "type": "audio/webm"}}}, {"voice": {"a": {"clip": "0" * 64, "type": "text/html"}}},
    {"note": "x" * pack_body.LARGEST_PACK},
], ids=lambda other: json.dumps(other)[:40])
def test_what_is_no_pack_is_refused_and_nothing_is_said(place, other):
    assert refusal(lambda: make(place, a_pack(WORDS, **other))) == "pack_malformed"
    assert (said(place), in_force(place)) == ([], None)


@pytest.mark.parametrize("body", [b"", b"[]", b"{", b"\xff", b"[" * 5000], ids=repr)
def test_bytes_that_are_no_pack_are_refused(body):
    assert refusal(lambda: pack_body.read(body)) == "pack_malformed"


@pytest.mark.parametrize("given", [{}, {pack_body.digest(CLIP): b"other"}], ids=["missing", "other bytes"])
def test_a_pack_without_its_voice_does_not_come_into_force(place, given):
    shared, body = place.parts, a_pack(WORDS, {"app.failed": CLIP})

    code = refusal(lambda: shared.journal.write(
        lambda store: packs.keep(store, shared.identity, body, given, "Asha", 1)
    ))

    assert (code, in_force(place), said(place)) == ("pack_torn", None, [])
    assert packs.held(place.journal.reader, pack_body.digest(body)) is None


def test_a_clip_that_is_too_long_is_refused(place):
    long = b"0" * (pack_body.LARGEST_CLIP + 1)

    assert refusal(lambda: make(place, a_pack(WORDS, {"app.failed": long}), long)) == "pack_torn"


def test_a_new_pack_is_a_new_release_and_the_one_before_is_still_served(place):
    client = place.app.test_client()
    first = place.parts.release
    name = make(place, a_pack({"app.failed": "Nafun."}, {"app.failed": CLIP}), CLIP)

    script = client.get("/sw.js").get_data(as_text=True)

    second = place.parts.release
    assert second != first and f'RELEASE="{second}"' in script
    pack = client.get(f"/r/{second}/packs/{TAG}.json").get_json()
    assert (pack["lang"], pack["m"]["app.failed"]) == (TAG, "Nafun.")
    clip = client.get(f"/r/{second}/voice/{pack_body.digest(CLIP)}.webm")
    assert (clip.data, clip.mimetype) == (CLIP, "audio/webm")
    assert TAG in [one["tag"] for one in client.get(f"/r/{second}/contents.json").get_json()["packs"]]
    assert client.get(f"/r/{first}/contents.json").status_code == 200
    assert f"/r/{first}/" not in script and in_force(place) == name

    # Three quick packs take nothing from a tablet in the middle of fetching.
    for turn in range(KEPT - 1):
        assert client.get(f"/r/{second}/contents.json").status_code == 200
        make(place, a_pack({"app.failed": f"Nafun re {turn}."}))
        client.get("/")
    assert client.get(f"/r/{first}/contents.json").status_code == 404
    assert client.get(f"/r/{second}/contents.json").status_code == 200


def test_a_line_whose_english_changed_since_is_left_out_and_told(place):
    body = json.loads(a_pack(WORDS))
    body["src"]["app.failed"] = "0" * 20
    make(place, pack_body.write(body))

    release = place.parts.releases.now().name
    pack = place.app.test_client().get(f"/r/{release}/packs/{TAG}.json").get_json()

    assert list(pack["m"]) == ["problem.not_found"]


def test_the_release_is_not_made_anew_by_asking(place):
    client = place.app.test_client()
    made = []
    make_it = place.parts.releases._make
    place.parts.releases._make = lambda: made.append(1) or make_it()

    for path in ("/", "/sw.js", "/sw.js", "/health"):
        client.get(path)
    assert made == []
    make(place, a_pack(WORDS))
    for path in ("/", "/sw.js", "/"):
        client.get(path)
    assert made == [1]


def test_whoever_changes_the_words_has_the_release_made_behind_the_answer(place):
    first = place.parts.release
    make(place, a_pack(WORDS))
    with place.app.test_request_context("/"):
        answer = renew_release(Response("done"))
        assert place.parts.release == first
        answer.close()

    assert place.parts.release != first


def test_the_release_outlives_a_restart(place):
    make(place, a_pack(WORDS, {"app.failed": CLIP}), CLIP)
    name = place.parts.releases.now().name

    place.stop()
    place.start()

    assert place.parts.release == name


def test_a_damaged_pack_is_found_and_leaves_the_others(place):
    name = make(place, a_pack(WORDS, {"app.failed": CLIP}), CLIP)
    before = place.parts.release

    def damage(store):
        store.connection.execute("update pack set body = x'00' where digest = ?", (name,))
        store.connection.execute("update thing set body = x'00'")

    place.journal.write(damage)
    place.stop()
    place.start()

    assert place.parts.release == before
    assert place.app.test_client().get("/").status_code == 200
    found = list(find_damage(place.journal.reader, lambda _: None))
    assert [line.split(" ")[0] for line in found] == ["pack", "thing"]
    assert packs.body_in_force(place.journal.reader, TAG) is None


@pytest.mark.parametrize("damage", ["unreadable", "altered"])
def test_a_damaged_clip_is_left_out_and_keeps_no_tablet_from_its_words(place, monkeypatch, damage):
    held = packs.held

    def damaged(connection, digest):
        if digest != pack_body.digest(CLIP):
            return held(connection, digest)
        if damage == "altered":
            return b"another sound"
        raise sqlite3.DatabaseError("database disk image is malformed")

    make(place, a_pack(WORDS, {"app.failed": CLIP}), CLIP)
    monkeypatch.setattr("checklist.packs.held", damaged)

    release = place.parts.releases.now().name

    client = place.app.test_client()
    pack = client.get(f"/r/{release}/packs/{TAG}.json").get_json()
    assert pack["m"] == WORDS and pack["voice"] == {}
    assert client.get(f"/r/{release}/voice/{pack_body.digest(CLIP)}.webm").status_code == 404
    assert TAG in place.parts.releases.packs


def test_the_post_may_choose_a_language_that_came_as_a_pack(place):
    client = place.app.test_client()
    make(place, a_pack(WORDS))

    assert f'value="{TAG}">Tongue' in see(client, "/station/settings")


def test_what_a_tablet_says_of_packs_counts_for_nothing(place):
    from tests.server.tablet import Tablet

    tablet, client = Tablet(), place.app.test_client()
    tablet.ask(client)
    tablet.note("pack_made", tag=TAG, digest="0" * 64, bytes=7)

    assert tablet.send(client).status_code == 200
    assert in_force(place) is None
    assert outbox.logs_for(place.journal.reader, place.parts.identity) == [place.parts.identity.log]

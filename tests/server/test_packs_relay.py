"""Packs of words from a hub down to its stations, over real HTTP: whole or not at all, behind the births."""

import pytest
from click.testing import CliRunner

from checklist import keys, pack_body, pack_relay, packs, peer
from checklist.cli import main
from checklist.cli.common import open_station
from tests.server.hubs import Served, quick_codes
from tests.server.packs_made import CLIP, TAG, Spoiled, a_pack, cut, in_force, make, other_bytes, said, withdraw
from tests.server.people import trail_of
from tests.server.tablet import Tablet

WORDS = {"app.failed": "Nafun.", "problem.not_found": "Ini tafo."}
VOICES = [CLIP + bytes([number]) * 2000 for number in range(3)]
SPOKEN = a_pack(WORDS, {"app.failed": VOICES[0], "problem.not_found": VOICES[1], "problem.not_found|n=1": VOICES[2]})


@pytest.fixture
def serve(tmp_path, shell_folder, monkeypatch):
    """Open stations by name."""
    quick_codes(monkeypatch)
    opened = []

    def open_one(name: str) -> Served:
        opened.append(Served(tmp_path / name, shell_folder))
        return opened[-1]

    yield open_one
    for one in opened:
        one.stop()


@pytest.fixture
def hub(serve):
    """Give a hub."""
    return serve("hub")


@pytest.fixture
def post(serve, hub):
    """Give a station that reports to it."""
    post = serve("post")
    post.join(hub)
    return post


def a_birth(post):
    """Record a birth at a station; gives its lines."""
    tablet, client = Tablet(), post.app.test_client()
    tablet.ask(client)
    post.state_of(tablet.device_id, "admitted")
    tablet.pull(tablet.open_case(), 2)
    assert tablet.send(client).status_code == 200
    return set(tablet.lines)


def clips_held(post):
    return post.journal.reader.execute("select count(*) from thing").fetchone()[0]


def test_a_pack_comes_down_with_its_voice_in_one_session(hub, post):
    name = make(hub, SPOKEN, *VOICES)

    report = post.sync()

    assert (report.packs.came, report.packs.refused, report.packs.failure) == ([TAG], {}, "")
    assert in_force(post) == name and packs.held(post.journal.reader, name) == SPOKEN
    assert clips_held(post) == 3
    assert said(post) == [{"tag": TAG, "digest": name, "bytes": len(SPOKEN), "by": "Asha"}]
    assert ("", "pack_came", f"{TAG} {name}") in trail_of(post.parts)
    assert peer.read(post.journal.reader)["failure"] == ""


def test_nothing_is_asked_for_twice(hub, post):
    make(hub, SPOKEN, *VOICES)
    post.sync()
    asked = Spoiled(hub).asked

    report = post.sync()
    withdraw(hub, "app.failed")
    post.sync()

    assert report.packs == pack_relay.Report()
    assert asked == [f"/v1/things/{in_force(hub)}"]
    assert in_force(post) == in_force(hub)


def test_a_station_that_joins_later_is_told_what_is_in_force(serve, hub):
    name = make(hub, SPOKEN, *VOICES)
    late = serve("late")
    late.join(hub)

    late.sync()

    assert in_force(late) == name


def test_a_hub_passes_on_what_its_own_hub_put_in_force(serve, hub, post):
    top = serve("top")
    hub.join(top)
    name = make(top, SPOKEN, *VOICES)
    post.sync()
    assert in_force(post) is None

    hub.sync()
    report = post.sync()

    assert report.packs.came == [TAG]
    assert in_force(post) == in_force(hub) == name
    assert [facts["by"] for facts in said(post)] == ["Asha"]


def test_a_word_of_the_hub_s_hub_is_heeded_only_once_the_hub_itself_says_it(serve, hub, post):
    top = serve("top")
    hub.join(top)
    make(top, SPOKEN, *VOICES)
    Spoiled(top).change = lambda response, count: cut(response)
    hub.sync()
    assert in_force(hub) is None
    asked = Spoiled(hub).asked

    report = post.sync()

    # The word of the top came down; nobody below may act on it before the hub could.
    assert report.fetched == 1 and asked == [] and in_force(post) is None


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


def test_an_older_pack_that_comes_after_a_newer_moves_nothing_back(hub, post):
    make(hub, a_pack(WORDS))
    newer = make(hub, SPOKEN, *VOICES)
    asked = Spoiled(hub).asked

    post.sync()

    assert in_force(post) == newer
    assert asked[0] == f"/v1/things/{newer}" and len(asked) == 4


def test_the_hub_s_clock_decides_nothing_within_its_log(hub, post, monkeypatch):
    make(hub, a_pack(WORDS))
    monkeypatch.setattr(type(hub.parts), "now", staticmethod(lambda: 1))
    newer = make(hub, SPOKEN, *VOICES)

    post.sync()

    assert in_force(post) == newer


def test_what_a_post_withdraws_stays_withdrawn_until_the_hub_says_more(hub, post):
    make(hub, a_pack(WORDS))
    post.sync()
    own = withdraw(post, "app.failed")

    post.sync()
    assert in_force(post) == own
    again = make(hub, SPOKEN, *VOICES)
    post.sync()

    assert in_force(post) == again


def test_a_retired_station_gets_no_pack_and_keeps_what_it_has(hub, post):
    before = make(hub, a_pack(WORDS))
    post.sync()
    hub.state_of(post.parts.identity.station_id, "retired")
    make(hub, SPOKEN, *VOICES)

    with pytest.raises(Exception, match="device_retired"):
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


def test_births_get_their_turn_before_all_clips_are_here(hub, post):
    name = make(hub, SPOKEN, *VOICES)
    slow = Slow(hub)
    births_only(post)

    def turn():
        return pack_relay.fetch(
            post.journal, post.parts.identity, hub.parts.identity.station_id, slow, 1, lambda: slow.seconds
        )

    first = turn()
    assert (first.waits, first.came, clips_held(post)) == (True, [], 1)
    second = turn()
    assert (second.waits, second.came) == (False, [TAG])
    assert in_force(post) == name


class Slow:
    """A hub on a line that takes forty seconds for each thing."""

    def __init__(self, hub):
        self.hub, self.seconds = hub, 0

    def thing(self, digest):
        self.seconds += 40
        return packs.held(self.hub.journal.reader, digest)


def births_only(post):
    """Hold a session in which no pack is fetched."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pack_relay, "fetch", lambda *_: pack_relay.Report())
        post.sync()


def test_a_station_put_back_from_a_copy_fetches_again_what_it_lost(hub, post, tmp_path):
    make(hub, a_pack(WORDS))
    post.sync()
    copy = tmp_path / "copy"
    post.journal.reader.execute("pragma query_only = off")
    post.journal.reader.execute("vacuum into ?", (str(copy),))
    newer = make(hub, SPOKEN, *VOICES)
    post.sync()
    post.stop()
    for left in post.settings.data.glob("station.sqlite3*"):
        left.unlink()
    post.settings.database.write_bytes(copy.read_bytes())
    post.start()

    post.sync()

    assert in_force(post) == newer


def test_the_command_line_says_which_words_came(hub, post):
    make(hub, SPOKEN, *VOICES)
    told = CliRunner().invoke(main, ["sync", "--data", str(post.settings.data)])

    assert (told.exit_code, f"Words came into force: {TAG}." in told.output) == (0, True)
    with open_station(post.settings.data, False) as (journal, _):
        assert list(packs.in_force(journal.reader)) == [TAG]

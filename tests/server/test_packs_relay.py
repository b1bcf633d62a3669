"""Packs of words from a hub down to its stations, over real HTTP: in order, once, behind the births."""

import pytest
from click.testing import CliRunner

from checklist import pack_relay, packs, peer
from checklist.cli import main
from checklist.cli.common import open_station
from tests.server.hubs import hub, serve
from tests.server.packs_made import SPOKEN, TAG, VOICES, WORDS, Spoiled, a_pack, clips_held, cut, in_force, make, post, said, withdraw
from tests.server.people import trail_of

__all__ = ["hub", "post", "serve"]


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

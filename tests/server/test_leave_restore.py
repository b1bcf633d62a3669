"""A station that leaves its hub, and one whose folder was put back from a backup."""

import shutil

import pytest
from click.testing import CliRunner

from checklist import limits_of, outbox, peer, retention, sealing, station
from checklist.audit import find_damage
from checklist.cli import main
from checklist.core.event import parse
from checklist.errors import ChecklistError
from checklist.forks import unsettled
from checklist.station import Post
from tests.server.hubs import hub, serve
from tests.server.packs_made import TAG, WORDS, a_birth, a_pack, in_force, make, post, withdraw
from tests.server.people import trail_of
from tests.server.tablet import Tablet

__all__ = ["hub", "post", "serve"]


def run(*told):
    return CliRunner().invoke(main, [str(word) for word in told])


def at_rest(post, *told):
    """Run a command on the folder of a station that is stopped meanwhile."""
    post.stop()
    try:
        return run(*told, "--data", post.settings.data)
    finally:
        post.start()


def set_post(post, name, altitude_m):
    shared = post.parts
    post.journal.write(lambda store: station.set_post(store, shared.identity, Post(name, altitude_m), shared.now()))


def back_up(post, folder):
    post.stop()
    shutil.copytree(post.settings.data, folder)
    post.start()


def put_back(post, folder, *told):
    """Put a backup in the place of the folder and run the command; gives its outcome."""
    post.stop()
    shutil.rmtree(post.settings.data)
    shutil.copytree(folder, post.settings.data)
    done = run("restore", *told, "--data", post.settings.data)
    post.start()
    return done


def test_a_station_that_left_keeps_everything_and_reports_to_nobody(hub, post):
    lines = a_birth(post)
    post.sync()
    more = a_birth(post)

    left = at_rest(post, "leave")

    assert left.exit_code == 0 and f"at {hub.url}" in left.output and "7 entries had not reached it" in left.output
    with pytest.raises(ChecklistError, match="hub_missing"):
        post.sync()
    assert lines | more <= post.lines() and hub.lines() == lines
    assert sealing.of_hub(post.journal.reader) is None and not retention.has_level_above(post.journal.reader)
    assert trail_of(post.parts)[-1][1] == "hub_left"
    assert at_rest(post, "leave").exit_code == 66


def test_a_station_that_left_may_join_again_and_sends_what_is_lacking(hub, post):
    a_birth(post)
    post.sync()
    at_rest(post, "leave")
    more = a_birth(post)

    post.join(hub)

    assert post.sync().settled
    assert more <= hub.lines() and len(hub.lines()) == 14


def test_what_came_down_from_the_hub_stays_after_leaving(hub, post):
    name = make(hub, a_pack(WORDS))
    post.sync()
    before = outbox.logs_for(post.journal.reader, post.parts.identity)

    at_rest(post, "leave")

    assert in_force(post) == name
    assert outbox.logs_for(post.journal.reader, post.parts.identity) == before


def test_a_station_put_back_goes_on_in_a_new_log_with_what_was_set_last(hub, post, tmp_path):
    set_post(post, "Hill post", 300)
    post.sync()
    back_up(post, tmp_path / "backup")
    set_post(post, "Hill post", 2400)
    lines = a_birth(post)
    post.sync()
    before = post.parts.identity

    done = put_back(post, tmp_path / "backup")

    assert done.exit_code == 0 and "8 events came back" in done.output
    after = post.parts.identity
    assert after.log != before.log and after.incarnation != before.incarnation
    assert post.parts.post.altitude_m == 2400 and lines <= post.lines()
    set_post(post, "Hill post", 2500)
    assert post.sync().settled
    assert unsettled(post.journal.reader) == [] == unsettled(hub.journal.reader)
    assert post.lines() == hub.lines()
    assert list(find_damage(post.journal.reader, lambda _: None)) == []


def test_a_station_put_back_without_its_hub_forks_nothing_either(hub, post, tmp_path):
    set_post(post, "Hill post", 300)
    post.sync()
    back_up(post, tmp_path / "backup")
    set_post(post, "Hill post", 2400)
    post.sync()
    hub.stop()

    refused = put_back(post, tmp_path / "backup")
    alone = put_back(post, tmp_path / "backup", "--alone")
    set_post(post, "Hill post", 350)
    hub.start()
    report = post.sync()

    assert refused.exit_code == 69 and "--alone" in refused.output
    assert alone.exit_code == 0
    assert report.settled and post.parts.post.altitude_m == 350
    assert unsettled(post.journal.reader) == [] == unsettled(hub.journal.reader)


def test_tablets_hear_the_old_log_and_the_new(post, tmp_path):
    set_post(post, "Hill post", 300)
    tablet, client = Tablet(), post.app.test_client()
    tablet.ask(client)
    post.state_of(tablet.device_id, "admitted")
    old = post.parts.identity.log
    back_up(post, tmp_path / "backup")

    put_back(post, tmp_path / "backup", "--alone")

    client = post.app.test_client()
    heads = tablet.get(client, "/v1/heads").json
    logs = [log for log, _, _ in heads["outboxes"]]
    assert logs == [post.parts.identity.log, old] and heads["outbox"][0] == logs[0]
    assert set(heads["proofs"]) == set(logs)
    line = tablet.get(client, f"/v1/logs/{logs[0]}/events?after=0").text.splitlines()[0]
    assert parse(line)["facts"]["altitude_m"] == 300


def test_limits_are_said_again(post, tmp_path):
    def sign(store):
        limits_of.propose(store.connection, "", "Hill post", "cup_minutes.stop=15", "Asha", 1)
        draft = limits_of.draft(store.connection, "")
        limits_of.sign(store, post.parts.identity, "", draft["limits_no"], "Ben", 1)

    post.journal.write(sign)
    back_up(post, tmp_path / "backup")

    put_back(post, tmp_path / "backup", "--alone")

    lines, _ = post.journal.lines_after(post.parts.identity.log, 0)
    assert [parse(line)["facts"]["changes"] for line in lines] == ["cup_minutes.stop=15"]


def test_a_hub_put_back_moves_no_station_back_to_older_words(hub, post, tmp_path):
    make(hub, a_pack(WORDS))
    post.sync()
    back_up(hub, tmp_path / "backup")
    newer = withdraw(hub, "app.failed")
    post.sync()

    put_back(hub, tmp_path / "backup")
    report = post.sync()

    assert report.settled and in_force(post) == newer
    again = make(hub, a_pack({**WORDS, "app.failed": "Nafun re."}))
    assert post.sync().packs.came == [TAG] and in_force(post) == again
    assert peer.read(post.journal.reader)["failure"] == ""

"""What a station sends its hub: whole chains, as signed, however often the line breaks."""

import pytest

from checklist import audit
from checklist.errors import ChecklistError
from checklist.relay import exchange
from checklist.relay_state import waiting
from tests.server.near_hub import NOW, Post, hub, post, way
from tests.server.tablet import Tablet

__all__ = ["hub", "post", "way"]


@pytest.fixture
def tablet(post):
    """Give a tablet with seven events at the station, in three batches that overlap."""
    tablet = post.admit(Tablet())
    tablet.pull(tablet.open_case(), 2)
    for first, last in ((1, 3), (2, 5), (5, 7)):
        post.hear(tablet, first, last)
    return tablet


def sound(post):
    assert list(audit.find_damage(post.journal.reader, lambda _: None)) == []


def test_a_hub_holds_after_one_session_what_the_station_holds(post, hub, way, tablet):
    report = exchange(post.journal, way, NOW)

    assert (report.sent, report.settled) == (7, True)
    assert hub.lines() == post.lines() == set(tablet.lines)
    assert waiting(post.journal.reader)["count"] == 0
    sound(hub)


def test_a_second_session_asks_once_and_sends_nothing(post, way, tablet):
    exchange(post.journal, way, NOW)
    way.asked.clear()

    report = exchange(post.journal, way, NOW)

    assert (way.asked, report.sent, report.settled) == (["heads"], 0, True)


def test_the_hub_knows_through_whom_a_log_came(post, hub, way, tablet):
    exchange(post.journal, way, NOW)

    row = hub.journal.reader.execute(
        "select log.via, device.via, device.state from log join device using (device_id)"
    ).fetchone()

    assert tuple(row) == (post.identity.station_id, post.identity.station_id, "relayed")


def test_both_branches_of_a_fork_arrive(post, hub, way, tablet):
    twin = tablet.twin()
    tablet.note("hiss_heard")
    twin.note("cup_detached")
    twin.note("head_born")
    post.hear(tablet)
    exchange(post.journal, way, NOW)
    post.hear(twin, 8)

    report = exchange(post.journal, way, NOW)

    assert report.settled
    assert hub.lines() == set(tablet.lines) | set(twin.lines)
    assert len(hub.journal.leaves_of_device(tablet.device_id)) == 2
    sound(hub)


@pytest.mark.parametrize("what", ["heads", "introduce", "push"])
@pytest.mark.parametrize("time", [1, 2, 3])
def test_a_cut_session_loses_nothing_and_the_next_one_goes_on(post, hub, way, tablet, what, time):
    other = post.admit(Tablet())
    other.pull(other.open_case(), 30)
    for first in range(1, 91, 9):
        post.hear(other, first, first + 8)
    way.fail_at = {what: time}
    try:
        exchange(post.journal, way, NOW, size=2000)
    except ChecklistError as error:
        assert error.code == "station_unreachable"
    way.fail_at = {}

    report = exchange(post.journal, way, NOW, size=2000)

    assert report.settled
    assert hub.lines() == post.lines()
    sound(hub)


def test_what_a_tablet_brought_itself_is_not_counted_twice(post, hub, way, tablet):
    hub.admit(tablet)
    hub.hear(tablet)

    report = exchange(post.journal, way, NOW)

    assert (report.sent, report.settled) == (0, True)
    assert len(hub.lines()) == 7


def test_a_restored_hub_gets_everything_again(post, hub, way, tablet):
    copy = hub.save()
    exchange(post.journal, way, NOW)
    hub.restore(copy)

    report = exchange(post.journal, way, NOW)

    assert (report.sent, report.settled) == (7, True)
    assert hub.lines() == post.lines()


def test_a_hub_restored_to_the_middle_of_a_batch_chain_goes_on_from_there(post, hub, way, tablet):
    exchange(post.journal, way, NOW)
    copy = hub.save()
    tablet.note("hiss_heard")
    post.hear(tablet, 8)
    exchange(post.journal, way, NOW)
    hub.restore(copy)

    report = exchange(post.journal, way, NOW)

    assert (report.sent, report.settled) == (1, True)


def test_a_restored_station_gets_back_what_it_had_sent(post, hub, way, tablet):
    copy = post.save()
    tablet.note("hiss_heard")
    other = post.admit(Tablet())
    other.note("cup_detached")
    post.hear(tablet, 8)
    post.hear(other)
    exchange(post.journal, way, NOW)
    held = post.lines()
    post.restore(copy)

    report = exchange(post.journal, way, NOW)

    assert (report.fetched, report.settled) == (2, True)
    assert post.lines() == held
    sound(post)


def test_a_retired_device_is_kept_back_and_said(post, hub, way, tablet):
    exchange(post.journal, way, NOW)
    hub.journal.write(lambda store: store.connection.execute(
        "update device set state = 'retired' where device_id = ?", (tablet.device_id,)
    ))
    tablet.note("hiss_heard")
    post.hear(tablet, 8)

    report = exchange(post.journal, way, NOW)

    assert report.refused == {} or set(report.refused.values()) == {"device_retired"}
    assert waiting(post.journal.reader)["kept_back"] == 1
    assert len(hub.lines()) == 7 and len(post.lines()) == 8


def test_a_device_that_the_hub_takes_back_is_sent_again(post, hub, way, tablet):
    test_a_retired_device_is_kept_back_and_said(post, hub, way, tablet)
    hub.journal.write(lambda store: store.connection.execute(
        "update device set state = 'admitted' where device_id = ?", (tablet.device_id,)
    ))

    report = exchange(post.journal, way, NOW)

    assert (report.sent, report.settled) == (1, True)


def test_a_retired_station_may_not_relay(post, hub, way, tablet):
    hub.journal.write(lambda store: store.connection.execute(
        "update device set state = 'retired' where device_id = ?", (post.identity.station_id,)
    ))

    with pytest.raises(ChecklistError) as refused:
        exchange(post.journal, way, NOW)

    assert refused.value.code == "device_retired"
    assert hub.lines() == set() and len(post.lines()) == 7


def test_kinds_of_a_later_version_are_relayed_byte_for_byte(post, hub, way):
    tablet = post.admit(Tablet())
    line = tablet.note("dreamt_of_later", fact_of_later="é ")
    tablet.lines[-1] = line[:-1] + ', "beside":[1, {"a" : null}]}'
    post.hear(tablet)

    exchange(post.journal, way, NOW)

    assert hub.lines() == set(tablet.lines)


def test_three_levels_hold_the_same(tmp_path, post, hub, way, tablet):
    top = Post(tmp_path, "top")
    upward = hub.join(top)
    exchange(post.journal, way, NOW)

    report = exchange(hub.journal, upward, NOW)

    assert report.settled
    assert top.lines() == set(tablet.lines)
    sound(top)
    top.journal.close()


def test_a_restored_hub_fetches_from_above_what_its_stations_no_longer_hold(
    tmp_path, post, hub, way, tablet
):
    top = Post(tmp_path, "top")
    upward = hub.join(top)
    copy = hub.save()
    exchange(post.journal, way, NOW)
    exchange(hub.journal, upward, NOW)
    hub.restore(copy)

    report = exchange(hub.journal, upward, NOW)

    assert (report.fetched, report.settled) == (7, True)
    assert hub.lines() == set(tablet.lines)
    assert exchange(post.journal, way, NOW).settled
    top.journal.close()


def test_a_station_reads_no_log_that_it_has_not_brought(post, hub, way, tablet):
    stranger = hub.admit(Tablet())
    stranger.note("hiss_heard")
    hub.hear(stranger)

    with pytest.raises(ChecklistError) as refused:
        way.pull(stranger.log, 0, 0)

    assert refused.value.code == "not_found"


def test_a_hub_that_misses_the_same_again_and_again_is_not_asked_for_ever(post, way, tablet):
    def miss(body):
        way.asked.append("push")
        return [{"log": tablet.log, "code": "unknown_prev", "leaves": []}] * 3

    way.push = miss

    report = exchange(post.journal, way, NOW)

    assert (way.asked.count("push"), report.settled) == (1, False)
    assert report.refused == {tablet.log: "unknown_prev"}

"""What a hub says comes down to every station below it, in its own name only."""

import pytest

from checklist import relay
from checklist.errors import ChecklistError
from checklist.relay import exchange
from tests.server.near_hub import NOW, Post, hub, post, way
from tests.server.tablet import Tablet

__all__ = ["hub", "post", "way"]


@pytest.fixture
def tablet(post):
    """Give a tablet with one event."""
    tablet = post.admit(Tablet())
    tablet.note("hiss_heard")
    return tablet


def test_remarks_go_down_all_the_way(tmp_path, post, hub, way):
    top = Post(tmp_path, "top")
    upward = hub.join(top)
    hub.say(post.identity.station_id, "from the district")
    top.say(hub.identity.station_id, "from the region")
    exchange(hub.journal, upward, NOW)

    report = exchange(post.journal, way, NOW)

    assert (report.fetched, report.settled) == (2, True)
    assert post.lines() == hub.lines()
    top.journal.close()


def test_an_outbox_lost_by_the_hub_comes_back_from_below(post, hub, way):
    hub.say(post.identity.station_id, "first")
    copy = hub.save()
    hub.say(post.identity.station_id, "second")
    exchange(post.journal, way, NOW)
    hub.restore(copy)

    report = exchange(post.journal, way, NOW)

    assert report.settled
    assert len(hub.lines()) == 2


def test_a_hub_that_wrote_on_after_a_restore_keeps_both_and_begins_anew(post, hub, way):
    hub.say(post.identity.station_id, "first")
    copy = hub.save()
    hub.say(post.identity.station_id, "lost for a while")
    exchange(post.journal, way, NOW)
    hub.restore(copy)
    hub.say(post.identity.station_id, "written after")
    exchange(post.journal, way, NOW)
    hub.say(post.identity.station_id, "in a new log")

    report = exchange(post.journal, way, NOW)

    assert report.settled
    assert post.lines() == hub.lines() and len(hub.lines()) == 4


def test_a_hub_cannot_speak_in_the_name_of_a_tablet(post, hub, way, tablet):
    pulled = relay.Pulled([(tablet.header(), tablet.lines)], tablet.public_key, 0)

    with pytest.raises(ChecklistError) as refused:
        relay.take(post.journal, pulled, tablet.log, True, NOW)

    assert refused.value.code == "log_foreign"

"""A station and its hub over real HTTP: joining, sessions, refusals."""

import gzip
import urllib.request

import pytest

from checklist import keys, peer, relayed
from checklist.errors import ChecklistError
from checklist.relay_state import waiting
from checklist.wire import Wire
from tests.server.hubs import hub, serve
from tests.server.tablet import Tablet

__all__ = ["hub", "serve"]


@pytest.fixture
def post(serve):
    """Give a station."""
    return serve("post")


@pytest.fixture
def tablet(post):
    """Give a tablet whose seven events the station holds."""
    tablet = Tablet()
    client = post.app.test_client()
    assert tablet.ask(client).status_code == 201
    tablet.pull(tablet.open_case(), 2)
    assert tablet.send(client).status_code == 200
    return tablet


def refused(work):
    with pytest.raises(ChecklistError) as error:
        work()
    return error.value.code


def test_what_was_recorded_before_joining_goes_along(hub, post, tablet):
    post.join(hub)

    report = post.sync()

    assert (report.sent, report.settled) == (7, True)
    assert hub.lines() == set(tablet.lines)
    assert peer.read(post.journal.reader)["failure"] == ""


# Raised before anything is sent: an https hub whose authority's file has gone.
def test_a_line_that_cannot_be_laid_is_written_down_too(hub, post, tablet, tmp_path):
    post.join(hub)
    post.journal.write(lambda store: store.connection.execute(
        "update peer set url = 'https://127.0.0.1:1', authority = ?", (str(tmp_path / "gone.pem"),)
    ))

    code = refused(post.sync)

    told = peer.read(post.journal.reader)
    assert code.startswith("certificate_") and told["failure"] == code and told["tried_at"]


def test_three_levels_over_http(serve, hub, post, tablet):
    top = serve("top")
    hub.join(top)
    post.join(hub)
    post.sync()

    report = hub.sync()

    assert report.settled
    assert top.lines() == set(tablet.lines)


def test_two_stations_are_never_each_others_hub(serve, hub, post):
    top = serve("top")
    post.join(hub)
    hub.join(top)
    hub.sync()

    assert refused(lambda: hub.join(post)) == "hub_wrong"
    assert refused(lambda: post.join(post)) == "hub_wrong"
    assert refused(lambda: top.join(hub)) == "hub_wrong"
    assert peer.read(hub.journal.reader)["url"] == top.url


def test_a_hub_that_is_gone_is_said_and_nothing_is_lost(hub, post, tablet):
    post.join(hub)
    hub.stop()

    assert refused(post.sync) == "station_unreachable"

    hub.start()
    assert waiting(post.journal.reader)["count"] == 7
    assert post.sync().settled


def test_another_station_at_the_address_gets_nothing(serve, hub, post, tablet):
    post.join(hub)
    other = serve("other")
    post.journal.write(
        lambda store: store.connection.execute("update peer set url = ?", (other.url,))
    )

    assert refused(post.sync) in ("device_unknown", "hub_wrong")
    assert other.lines() == set()


def test_a_retired_station_learns_it_and_keeps_everything(hub, post, tablet):
    post.join(hub)
    post.sync()
    hub.state_of(post.parts.identity.station_id, "retired")
    tablet.note("hiss_heard")
    tablet.send(post.app.test_client(), tablet.batch(8))

    assert refused(post.sync) == "device_retired"
    assert len(hub.lines()) == 7 and len(post.lines()) == 8
    assert peer.read(post.journal.reader)["failure"] == "device_retired"


def test_a_full_disk_at_the_hub_is_said_and_the_next_session_brings_all(hub, post, tablet):
    post.join(hub)
    for _ in range(400):
        tablet.note("note_added", text="x" * 500)
    client = post.app.test_client()
    for first in range(8, 408, 100):
        assert tablet.send(client, tablet.batch(first, first + 99)).status_code == 200

    def pages(most):
        hub.journal.write(
            lambda store: store.connection.execute(f"pragma max_page_count = {most}").fetchone()
        )

    (now,) = hub.journal.reader.execute("pragma page_count").fetchone()
    pages(now + 12)
    assert refused(post.sync) == "disk_full"
    assert hub.lines() < post.lines()
    assert peer.read(post.journal.reader)["failure"] == "disk_full"

    pages(1_000_000)
    assert post.sync().settled
    assert hub.lines() == post.lines() == set(tablet.lines)


def test_what_letters_cannot_shrink_goes_in_smaller_messages(hub, post):
    tablet = Tablet()
    client = post.app.test_client()
    tablet.ask(client)
    for _ in range(120):
        tablet.note("remark_made", text=keys.new_private_key()[40:200] * 1)
    for first in range(1, 121, 10):
        assert tablet.send(client, tablet.batch(first, first + 9)).status_code == 200
    post.join(hub)

    assert post.sync().settled
    assert hub.lines() == set(tablet.lines)


def signed_post(post, hub, path, body, headers=None, key=None):
    """Post a body signed by a station; gives (status, code)."""
    identity = post.parts.identity
    signature = keys.sign(key or identity.private_key, relayed.message(path, body))
    request = urllib.request.Request(hub.url + path, body, {
        "X-Device": identity.station_id, "X-Signature": signature,
        "Content-Type": "application/x-ndjson", **(headers or {}),
    })
    try:
        with urllib.request.urlopen(request) as reply:
            return reply.status, reply.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


@pytest.mark.parametrize(
    ("body", "encoding", "status", "code"),
    [
        (gzip.compress(b"0" * 10_000_000), "gzip", 413, "batch_too_big"),
        (b"0" * 300_000, "", 413, "batch_too_big"),
        (b"not gzip", "gzip", 400, "batch_malformed"),
        (b"{}\n", "", 400, "batch_malformed"),
        (b"", "", 400, "batch_malformed"),
        (b"x", "br", 415, "encoding_unknown"),
    ],
    ids=["a bomb", "too long", "not gzip", "no header", "nothing", "unknown encoding"],
)
def test_a_body_that_is_none_is_refused(hub, post, body, encoding, status, code):
    post.join(hub)

    answered, said = signed_post(
        post, hub, "/v1/batches", body, {"Content-Encoding": encoding} if encoding else {}
    )

    assert answered == status and f'"{code}"' in said
    assert hub.lines() == set()


def test_a_body_that_another_signed_is_refused(hub, post, tablet):
    post.join(hub)
    body = tablet.batch()

    answered, said = signed_post(post, hub, "/v1/batches", body, key=keys.new_private_key())

    assert (answered, '"signature_wrong"' in said) == (422, True)


def test_a_tablet_may_not_relay(hub, tablet, post):
    client = hub.app.test_client()
    here = Tablet()
    here.ask(client)
    body = here.batch() if here.lines else tablet.batch()
    headers = {
        "X-Device": here.device_id,
        "X-Signature": keys.sign(here.private_key, relayed.message("/v1/batches", body)),
    }

    reply = client.post(
        "/v1/batches", data=body, content_type="application/x-ndjson", headers=headers
    )

    assert (reply.status_code, reply.json["code"]) == (403, "log_foreign")


def test_a_device_known_by_word_alone_must_ask_by_itself(hub, post, tablet):
    post.join(hub)
    post.sync()
    client = hub.app.test_client()
    tablet.note("hiss_heard")

    sent, asked = tablet.send(client), tablet.ask(client, {"REMOTE_ADDR": "10.0.0.9"})

    assert (sent.json["code"], asked.json["state"]) == ("device_unknown", "waiting")
    assert post.sync().settled and len(hub.lines()) == 7


def test_a_batch_forged_by_a_station_is_refused_and_others_go_on(hub, post, tablet):
    post.join(hub)
    other = Tablet()
    other.note("hiss_heard")
    client = post.app.test_client()
    other.ask(client)
    post.state_of(other.device_id, "admitted")
    other.send(client)
    post.journal.write(lambda store: store.connection.execute(
        "update batch set signature = ? where device_id = ?", ("A" * 86, tablet.device_id)
    ))

    report = post.sync()

    assert report.refused == {tablet.log: "signature_wrong"}
    assert hub.lines() == set(other.lines)


def test_plain_http_to_another_machine_is_refused(post):
    assert refused(lambda: Wire("http://192.0.2.7", post.parts.identity)) == "certificate_needed"


def test_a_station_without_a_hub_says_so(post):
    assert refused(post.sync) == "hub_missing"

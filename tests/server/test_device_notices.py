"""What the page of devices says of codes, of copied tablets, and of the hub."""

import re

import pytest

from checklist import pairing, peer
from checklist.relay import SIZES
from tests.server.hubs import quick_codes
from tests.server.pages import token
from tests.server.tablet import ELSEWHERE, LOCAL, START_MS, Tablet


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Make stretching quick."""
    quick_codes(monkeypatch)


def page(client):
    reply = client.get("/station/devices", environ_base=LOCAL)
    assert reply.status_code == 200
    return reply.text


def test_a_code_from_the_page_lets_a_tablet_in(client, station):
    made = client.post(
        "/station/devices/code", data={"csrf_token": token(client, "/station/devices")},
        environ_base=LOCAL,
    )
    code = re.search(r'class="code">([0-9A-Z]{4}-[0-9A-Z]{4})<', made.text)[1]
    tablet = Tablet()
    stretched = pairing.stretch(code, station.identity.station_id)
    proof = pairing.proof(stretched, tablet.public_key, station.identity.station_id)

    reply = client.post(
        "/v1/devices", json=tablet.asking() | {"proof": proof}, environ_base=ELSEWHERE
    )

    assert (made.status_code, made.headers["Cache-Control"]) == (200, "no-store")
    assert reply.json["state"] == "admitted"
    assert code not in page(client)


def test_nobody_elsewhere_makes_a_code(client, stored):
    data = {"csrf_token": token(client, "/station/devices")}

    reply = client.post("/station/devices/code", data=data, environ_base=ELSEWHERE)

    assert (reply.status_code, stored("code")) == (403, 0)


def test_a_copied_tablet_is_told_of_until_it_goes_its_own_way(client, tablet, station):
    tablet.note("hiss_heard")
    twin = tablet.twin()
    tablet.note("hiss_heard")
    twin.note("cup_detached")
    tablet.send(client)
    assert twin.send(client).json["forked"] is True
    told = station.pack.text("station.fork.do")
    assert told in page(client)

    anew = twin.twin()
    anew.log, anew.lines = "ab" * 16, []
    anew.note("log_opened", device=twin.device_id, previous=twin.log, why="fork")
    anew.send(client)

    assert told not in page(client)


def test_the_page_says_how_it_stands_with_the_hub(client, tablet, station):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client)
    key = Tablet().public_key
    station.journal.write(lambda store: peer.join(
        store.connection, url="https://hub.test", public_key=key, name="", authority="",
        size=SIZES["first"], now=START_MS,
    ))
    station.journal.write(
        lambda store: peer.note(store.connection, START_MS, "station_unreachable")
    )

    told = page(client)

    assert "https://hub.test" in told and ">7 (" in told
    assert station.pack.text("problem.station_unreachable") in told

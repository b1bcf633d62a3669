"""A forgotten PIN: the station says so in its own log, and the settings stay in force."""

import re

import pytest

from checklist import station as station_module
from checklist.core.event import parse
from checklist.station import Post
from tests.server.pages import fill, see, token
from tests.server.tablet import ELSEWHERE, Tablet

POST = Post(post="Hill post", gauge_unit="mmhg")


def press(client, device_id):
    return fill(client, f"/station/devices/{device_id}/reset-pin", page="/station/devices")


def said(station):
    lines, _ = station.journal.lines_after(station.identity.log, 0)
    return [(event["kind"], event["facts"]) for event in map(parse, lines)]


def test_the_button_of_an_admitted_tablet_says_so_in_the_outbox(client, station, tablet):
    reply = press(client, tablet.device_id)

    assert reply.status_code == 303
    assert said(station) == [("pin_reset", {"device": tablet.device_id})]
    assert "lets go of its PIN" in see(client, reply.location)


def test_the_tablet_hears_of_it_with_its_next_exchange(client, station, tablet):
    press(client, tablet.device_id)

    log, seq, _ = tablet.get(client, "/v1/heads").json["outbox"]
    told = tablet.get(client, f"/v1/logs/{log}/events?after=0").text.splitlines()

    assert (seq, [parse(line)["facts"] for line in told]) == (1, [{"device": tablet.device_id}])


def test_the_settings_of_the_post_stay_in_force(client, station, tablet):
    station.journal.write(
        lambda store: station_module.set_post(store, station.identity, POST, station.now())
    )

    press(client, tablet.device_id)

    assert station_module.settings(station.journal.reader, station.identity) == POST


def test_before_any_setting_a_reset_sets_none(client, station, tablet):
    press(client, tablet.device_id)

    assert station_module.settings(station.journal.reader, station.identity) is None


def test_a_tablet_that_waits_has_no_such_button(client, tablet):
    other = Tablet()
    other.ask(client)

    page = see(client, "/station/devices")

    assert re.findall(r"devices/(\w+)/reset-pin", page) == [tablet.device_id]


@pytest.mark.parametrize("who", ["nobody", "the station itself"])
def test_only_a_tablet_has_a_pin(client, station, tablet, who):
    device_id = "0" * 32 if who == "nobody" else station.identity.station_id

    reply = press(client, device_id)

    assert (reply.status_code, said(station)) == (404, [])


def test_nobody_else_on_the_network_may_reset_a_pin(client, station, tablet):
    fields = {"csrf_token": token(client, "/station/devices")}

    reply = client.post(
        f"/station/devices/{tablet.device_id}/reset-pin", data=fields, environ_base=ELSEWHERE
    )

    assert (reply.status_code, said(station)) == (403, [])

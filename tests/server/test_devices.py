"""Who may send: asking, being admitted, waiting, being retired."""

import pytest

from checklist import keys
from checklist.device import MOST_WAITING
from tests.server.tablet import ELSEWHERE, LOCAL, Tablet


def settle(client, tablet, verb):
    """Press a button of the device page, as a person does."""
    client.application.config["WTF_CSRF_ENABLED"] = False
    reply = client.post(f"/station/devices/{tablet.device_id}/{verb}", environ_base=LOCAL)
    client.application.config["WTF_CSRF_ENABLED"] = True
    assert reply.status_code == 303


def test_the_first_device_on_this_machine_is_admitted(client, station):
    tablet = Tablet()

    reply = tablet.ask(client)

    assert (reply.status_code, reply.json) == (
        201,
        {
            "device": tablet.device_id, "state": "admitted",
            "station": station.identity.station_id,
            "key": keys.public_key_of(station.identity.private_key),
        },
    )


def test_the_first_device_from_elsewhere_waits(client):
    reply = Tablet().ask(client, ELSEWHERE)

    assert (reply.status_code, reply.json["state"]) == (202, "waiting")


@pytest.mark.parametrize(
    "headers",
    [{"Host": "evil.example:8765"}, {"X-Forwarded-For": "10.0.0.9"}, {"Forwarded": "for=x"}],
    ids=["another name for this machine", "proxy", "proxy by the standard"],
)
def test_what_only_seems_to_be_this_machine_waits(client, headers):
    reply = client.post(
        "/v1/devices", json=Tablet().asking(), environ_base=LOCAL, headers=headers
    )

    assert reply.status_code == 202


def test_the_second_device_waits(client, tablet):
    assert Tablet().ask(client).status_code == 202


def test_no_device_is_admitted_by_itself_once_one_was_retired(client, tablet):
    settle(client, tablet, "retire")

    assert Tablet().ask(client).status_code == 202


def test_asking_again_changes_nothing(client, tablet, stored):
    before = stored("device")

    again = tablet.ask(client)

    assert (again.status_code, again.json["state"]) == (200, "admitted")
    assert stored("device") == before


def test_a_waiting_device_may_not_send_until_a_person_admits_it(client, tablet, stored):
    other = Tablet()
    other.ask(client)
    other.note("hiss_heard")
    refused = other.send(client)
    assert (refused.status_code, refused.json["code"]) == (403, "device_waiting")
    assert stored() == 0

    settle(client, other, "admit")

    assert other.send(client).status_code == 200


def test_a_retired_device_sends_no_more_and_what_it_sent_stays(client, tablet, stored):
    tablet.note("hiss_heard")
    tablet.send(client)
    settle(client, tablet, "retire")
    tablet.note("hiss_heard")

    reply = tablet.send(client)

    assert (reply.status_code, reply.json["code"]) == (403, "device_retired")
    assert stored() == 1
    assert tablet.ask(client).json["code"] == "device_retired"


def test_an_unknown_device_is_refused(client):
    stranger = Tablet()
    stranger.note("hiss_heard")

    reply = stranger.send(client)

    assert (reply.status_code, reply.json["code"]) == (401, "device_unknown")


@pytest.mark.parametrize(
    ("change", "status", "code"),
    [
        ({"signature": "A" * 86}, 422, "signature_wrong"),
        ({"signature": "?"}, 422, "signature_wrong"),
        ({"key": "AAAA"}, 400, "device_malformed"),
        ({"key": keys.encode(b"\4" + b"\1" * 64)}, 400, "device_malformed"),
        ({"key": 7}, 400, "device_malformed"),
        ({"name": None}, 400, "device_malformed"),
        ({"name": "x" * 5000}, 413, "batch_too_big"),
    ],
)
def test_a_device_that_cannot_prove_itself_is_refused(client, stored, change, status, code):
    before = stored("device")

    reply = client.post("/v1/devices", json=Tablet().asking() | change, environ_base=LOCAL)

    assert (reply.status_code, reply.json["code"]) == (status, code)
    assert stored("device") == before


def test_a_form_of_a_foreign_page_cannot_ask(client):
    reply = client.post("/v1/devices", data="{}", content_type="text/plain")
    from_page = client.post(
        "/v1/devices", json=Tablet().asking(), headers={"Sec-Fetch-Site": "cross-site"}
    )

    assert (reply.status_code, from_page.status_code) == (415, 403)
    assert from_page.json["code"] == "page_foreign"


def test_the_list_of_those_who_wait_has_an_end(client, station):
    station.journal.write(
        lambda store: store.connection.executemany(
            "insert into device (device_id, public_key, name, state, asked_at)"
            " values (?, '', '', 'waiting', 0)",
            [(f"{number:032x}",) for number in range(MOST_WAITING)],
        )
    )

    reply = Tablet().ask(client, ELSEWHERE)

    assert (reply.status_code, reply.json["code"]) == (403, "waiting_full")


def test_heads_tell_a_device_only_of_its_own_logs(client, tablet, station):
    tablet.note("hiss_heard")
    tablet.send(client)
    other = Tablet()
    other.ask(client)
    settle(client, other, "admit")

    mine, others = (each.get(client, "/v1/heads").json for each in (tablet, other))

    assert mine["leaves"] == [[tablet.log, 1, tablet.header().head]]
    assert others["leaves"] == []
    assert (mine["station"], mine["device"], mine["demo"], mine["outbox"]) == (
        station.identity.station_id, "admitted", False, None,
    )
    assert mine["incarnation"] == station.identity.incarnation


def test_heads_that_did_not_change_are_not_sent_again(client, tablet):
    first = tablet.get(client, "/v1/heads")
    tag = first.headers["ETag"]

    same = tablet.get(client, "/v1/heads", **{"If-None-Match": tag})
    tablet.note("hiss_heard")
    tablet.send(client)
    changed = tablet.get(client, "/v1/heads", **{"If-None-Match": tag})

    assert (same.status_code, same.data, changed.status_code) == (304, b"", 200)


def test_a_waiting_device_learns_that_it_waits_and_no_more(client, tablet):
    other = Tablet()
    other.ask(client)

    heads = other.get(client, "/v1/heads").json

    assert (heads["device"], heads["leaves"], heads["outbox"]) == ("waiting", [], None)


def test_an_answer_needs_a_signature_over_its_very_address(client, tablet):
    signature = keys.sign(tablet.private_key, "get/1\n/v1/heads")
    headers = {"X-Device": tablet.device_id, "X-Signature": signature}

    elsewhere = client.get(f"/v1/logs/{tablet.log}/events", headers=headers)
    unsigned = client.get("/v1/heads", headers={"X-Device": tablet.device_id})

    assert [reply.json["code"] for reply in (elsewhere, unsigned)] == ["signature_wrong"] * 2


def test_a_log_is_read_back_from_any_place(client, tablet):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client)

    reply = tablet.get(client, f"/v1/logs/{tablet.log}/events?after=3")

    assert reply.text == "".join(line + "\n" for line in tablet.lines[3:])
    assert reply.headers["X-Head"] == tablet.header().head


def test_of_a_fork_the_branch_that_came_first_is_read_back(client, tablet):
    tablet.note("hiss_heard")
    restored = tablet.twin()
    tablet.note("cup_detached")
    tablet.note("hiss_heard")
    restored.note("head_born")
    tablet.send(client)
    restored.send(client)

    reply = tablet.get(client, f"/v1/logs/{tablet.log}/events?after=1")

    assert reply.text == "".join(line + "\n" for line in tablet.lines[1:])


def test_at_most_a_thousand_lines_come_at_once(client, tablet):
    for _ in range(1001):
        tablet.note("hiss_heard")
    for first in (1, 501, 1001):
        tablet.send(client, tablet.batch(first, first + 499))

    first = tablet.get(client, f"/v1/logs/{tablet.log}/events?after=0")
    rest = tablet.get(client, f"/v1/logs/{tablet.log}/events?after=1000")

    assert (first.text.count("\n"), rest.text.count("\n")) == (1000, 1)


def test_nobody_reads_the_log_of_another_device(client, tablet):
    tablet.note("hiss_heard")
    tablet.send(client)
    other = Tablet()
    other.ask(client)
    waiting = other.get(client, f"/v1/logs/{tablet.log}/events?after=0")
    settle(client, other, "admit")

    reply = other.get(client, f"/v1/logs/{tablet.log}/events?after=0")

    assert (waiting.json["code"], reply.json["code"]) == ("device_waiting", "log_foreign")


def test_a_log_that_is_not_held_is_not_found(client, tablet):
    reply = tablet.get(client, f"/v1/logs/{'0' * 32}/events?after=0")

    assert (reply.status_code, reply.json["code"]) == (404, "not_found")

"""The pages for people: who may read them, what they show, what a form may change."""

import re
import sqlite3
from dataclasses import replace

import pytest

from checklist import device, summary
from checklist import station as post_settings
from checklist.core.event import parse
from checklist.sync import chain, genesis
from checklist.web import device_pages
from tests.server.pages import PAGES, fill, see, token
from tests.server.tablet import ELSEWHERE, LOCAL, Tablet

GOOD = {
    "post": "Hill post", "altitude_m": "2400", "gauge_unit": "mmhg",
    "same_contraction_s": "20", "language": "en",
}


@pytest.mark.parametrize("path", [*PAGES, "/station/cases/0011223344556677"])
@pytest.mark.parametrize(
    ("environ", "headers"),
    [
        (ELSEWHERE, {}),
        ({"REMOTE_ADDR": "::ffff:192.168.4.7"}, {}),
        (LOCAL, {"Host": "post.example"}),
        (LOCAL, {"X-Forwarded-For": "192.168.4.7"}),
    ],
    ids=["network", "network as IPv6", "foreign name", "proxy"],
)
def test_pages_open_only_on_this_machine(client, path, environ, headers):
    reply = client.get(path, environ_base=environ, headers=headers)

    assert reply.status_code == 403
    assert "localhost" in reply.text
    assert "<h1>" in reply.text


@pytest.mark.parametrize("host", ["localhost:8765", "127.0.0.1:8765", "[::1]:8765", "localhost"])
def test_pages_open_under_every_name_of_this_machine(client, host):
    reply = client.get("/station/", environ_base=LOCAL, headers={"Host": host})

    assert reply.status_code == 200


@pytest.mark.parametrize("number", ["127.0.0.1", "[::1]"])
def test_the_app_is_called_by_one_name_so_that_a_tablet_has_one_store(client, number):
    reply = client.get("/?from=bookmark", environ_base=LOCAL, headers={"Host": f"{number}:8765"})

    assert reply.status_code == 302
    assert reply.location == "http://localhost:8765/?from=bookmark"
    assert client.get("/", environ_base=LOCAL).status_code == 200


@pytest.mark.parametrize(
    ("address", "environ", "headers"),
    [
        ("http://127.0.0.1:8765/", ELSEWHERE, {}),
        ("http://127.0.0.1:8765/", LOCAL, {"X-Forwarded-For": "192.168.4.7"}),
        ("http://post.example/", LOCAL, {}),
        ("https://127.0.0.1:8765/", LOCAL, {}),
    ],
    ids=["network", "proxy", "another name", "certificate"],
)
def test_what_is_not_this_machine_alone_keeps_its_name(client, address, environ, headers):
    assert client.get(address, environ_base=environ, headers=headers).status_code == 200


@pytest.mark.parametrize(
    "path",
    [*PAGES, "/", "/sw.js", "/health", "/nothing", "/v1/heads", "/v1/nothing",
     "/station/cases/0011223344556677"],
)
def test_every_answer_carries_the_guarding_headers(client, path):
    headers = client.get(path, environ_base=LOCAL).headers

    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy and "*" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "Cache-Control" in headers


@pytest.mark.parametrize("path", PAGES)
def test_pages_hold_no_script_and_no_inline_style(client, path):
    page = see(client, path)

    assert not re.search(r"<script|<style|\sstyle=|\son\w+=|javascript:", page)


def test_the_exchange_reads_and_sets_no_cookie(client, tablet):
    token(client, "/station/settings")
    tablet.note("hiss_heard")

    replies = [tablet.send(client), tablet.get(client, "/v1/heads"), client.get("/health")]

    assert not any("Set-Cookie" in reply.headers for reply in replies)
    cookie = client.get_cookie("station", path="/station")
    assert cookie.http_only and cookie.same_site == "Strict" and cookie.path == "/station"


@pytest.mark.parametrize(
    "path",
    ["/station/settings", f"/station/devices/{'0' * 32}/admit",
     f"/station/devices/{'0' * 32}/retire", f"/station/devices/{'0' * 32}/name"],
)
def test_a_form_without_its_token_changes_nothing(client, stored, path):
    before = (stored("event"), stored("device"))

    reply = client.post(path, data=GOOD, environ_base=LOCAL)

    assert reply.status_code == 400
    assert "load the page again" in reply.text
    assert (stored("event"), stored("device")) == before


def test_a_token_still_holds_after_a_restart(client, open_app, stored):
    old = token(client, "/station/settings")
    cookie = client.get_cookie("station", path="/station")
    again = open_app().test_client()
    again.set_cookie("station", cookie.value, path="/station")

    reply = again.post(
        "/station/settings", data={**GOOD, "csrf_token": old}, environ_base=LOCAL
    )

    assert reply.status_code == 303
    assert stored() == 1


def test_settings_become_a_signed_event_that_tablets_can_pull(client, tablet, station):
    assert fill(client, "/station/settings", **GOOD).status_code == 303

    log, seq, head = tablet.get(client, "/v1/heads").json["outbox"]
    reply = tablet.get(client, f"/v1/logs/{log}/events?after=0")
    (line,) = reply.text.splitlines()
    event = parse(line)
    assert (log, seq, event["kind"]) == (station.identity.log, 1, "post_set")
    assert event["facts"] == {
        "post": "Hill post", "altitude_m": 2400, "gauge_unit": "mmhg",
        "same_contraction_s": 20, "language": "en",
    }
    assert chain(genesis(log), [line])[-1].hex() == head == reply.headers["X-Head"]


def test_settings_that_did_not_change_make_no_event(client, stored):
    for _ in range(2):
        fill(client, "/station/settings", **GOOD)

    assert stored() == 1
    fill(client, "/station/settings", **GOOD | {"altitude_m": ""})
    assert stored() == 2
    assert 'value="2400"' not in see(client, "/station/settings")


@pytest.mark.parametrize(
    ("name", "below", "least", "most", "above"),
    [("same_contraction_s", "-1", "0", "30", "31"), ("altitude_m", "-431", "-430", "6000", "6001")],
)
def test_numbers_are_taken_up_to_their_bounds_and_no_further(
    client, stored, name, below, least, most, above
):
    for value in (below, above, "x"):
        reply = fill(client, "/station/settings", **GOOD | {name: value})
        assert reply.status_code == 422 and "role=\"alert\"" in reply.text
    assert stored() == 0

    for value in (least, most):
        assert fill(client, "/station/settings", **GOOD | {name: value}).status_code == 303
    assert stored() == 2


@pytest.mark.parametrize(
    ("name", "value"),
    [("post", ""), ("post", "x" * 61), ("gauge_unit", "psi"), ("language", "xx")],
)
def test_what_the_form_does_not_offer_is_refused(client, stored, name, value):
    assert fill(client, "/station/settings", **GOOD | {name: value}).status_code == 422
    assert stored() == 0


def test_a_person_admits_names_and_retires_a_device(client, tablet):
    other = Tablet("<b>new</b>")
    other.ask(client)
    assert "&lt;b&gt;new" in see(client, "/station/devices")
    base = f"/station/devices/{other.device_id}"

    for action in ({"path": f"{base}/admit"}, {"path": f"{base}/name", "name": "Ward tablet"}):
        assert fill(client, page="/station/devices", **action).status_code == 303

    page = see(client, "/station/devices")
    assert "Ward tablet" in page and "Waits to be admitted" not in page
    fill(client, f"{base}/retire", page="/station/devices")
    assert "Retired" in see(client, "/station/devices")


def test_every_device_is_on_exactly_one_page(client, tablet, monkeypatch):
    monkeypatch.setattr(device_pages, "PAGE_SIZE", 3)
    for number in range(6):
        Tablet(f"new {number}").ask(client)

    seen = [
        re.findall(r"<h3><bdi>([^<]+)", see(client, f"/station/devices?skip={skip}"))
        for skip in (0, 3, 6)
    ]

    assert [len(page) for page in seen] == [3, 3, 1]
    assert sorted(sum(seen, [])) == [*(f"new {number}" for number in range(6)), "tablet"]
    assert seen[-1] == ["tablet"]


def test_a_device_that_is_not_there_cannot_be_admitted(client):
    reply = fill(client, f"/station/devices/{'0' * 32}/admit", page="/station/settings")

    assert reply.status_code == 404


def test_the_station_itself_cannot_be_retired(client, station):
    path = f"/station/devices/{station.identity.station_id}/retire"

    assert fill(client, path, page="/station/settings").status_code == 404


def test_a_bug_shows_no_trace(app, station, monkeypatch, caplog):
    def broken(*_, **__):
        raise RuntimeError("secret detail")

    monkeypatch.setattr(summary, "page", broken)
    reply = app.test_client().get("/station/", environ_base=LOCAL)

    assert reply.status_code == 500
    assert "secret detail" not in reply.text and "Traceback" not in reply.text
    assert "secret detail" in caplog.text


@pytest.mark.parametrize(
    ("family", "status", "code"),
    [
        (sqlite3.SQLITE_CORRUPT, 500, "journal_damaged"),
        (sqlite3.SQLITE_BUSY, 503, "journal_busy"),
        (sqlite3.SQLITE_ERROR, 500, "unexpected"),
    ],
)
def test_a_journal_that_cannot_be_read_is_said(client, tablet, monkeypatch, family, status, code):
    def unreadable(*_, **__):
        error = sqlite3.DatabaseError("no")
        error.sqlite_errorcode = family
        raise error

    for module, name in ((summary, "page"), (post_settings, "settings"), (device, "read")):
        monkeypatch.setattr(module, name, unreadable)

    page = client.get("/station/", environ_base=LOCAL)
    told = tablet.get(client, "/v1/heads")

    assert (page.status_code, told.status_code) == (status, status)
    assert code in page.text and told.json["code"] == code
    assert ("Retry-After" in told.headers) == (status == 503)


@pytest.mark.parametrize("demo", [True, False])
def test_the_demonstration_says_so_on_every_screen(open_app, settings, demo):
    app = open_app(replace(settings, demo=demo))
    client, tablet = app.test_client(), Tablet()
    tablet.ask(client)

    shown = ["Invented cases" in see(client, path) for path in PAGES]

    assert shown == [demo] * 3
    assert tablet.get(client, "/v1/heads").json["demo"] is demo

"""Accounts: the first one, links, roles, closing; every refusal says why and changes nothing."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from checklist import accounts
from checklist.cli import main
from checklist.cli.serve import _first_link
from checklist.errors import ChecklistError
from checklist.web import guard
from tests.server.pages import see
from tests.server.people import PASSWORD, Person, an_account, quick_hashes, trail_of
from tests.server.tablet import ELSEWHERE, LOCAL

__all__ = ["quick_hashes"]
DAY_MS = 24 * 60 * 60 * 1000


@pytest.fixture
def keeper(app, station):
    return an_account(app, station, "Asha", "keeper")


def test_without_accounts_this_machine_may_do_all_and_nobody_else_anything(client):
    assert client.get("/station/account/everyone", environ_base=LOCAL).status_code == 200
    for path in ("/station/account/everyone", "/station/account/enter", "/station/account/trail"):
        assert client.get(path, environ_base=ELSEWHERE).status_code == 403
    assert client.get("/station/account/enter", environ_base=LOCAL).status_code == 303


def test_from_the_first_account_on_the_machine_alone_is_no_key(client, station, keeper):
    reply = client.get("/station/", environ_base=LOCAL)

    assert reply.status_code == 303
    assert reply.location.startswith("/station/account/enter?next=/station/")


def test_a_closed_account_does_not_open_the_machine_again(client, station, app, keeper):
    an_account(app, station, "Ben", "keeper")
    station.journal.write(lambda store: store.connection.execute("update account set closed_at = 1"))

    assert client.get("/station/", environ_base=LOCAL).status_code == 303


def test_the_first_account_is_made_by_a_link_and_may_do_everything(app, station):
    token = station.journal.write(lambda store: accounts.first_link(store.connection, station.now()))
    person = Person(app, "Asha")

    reply = person.post(
        f"/station/account/link/{token}", name="Asha", chosen=PASSWORD, again=PASSWORD
    )

    assert reply.status_code == 303
    assert accounts.by_name(station.journal.reader, "asha")["roles"] == accounts.ROLES
    assert station.journal.write(lambda store: accounts.first_link(store.connection, station.now())) is None


def test_a_first_link_is_worth_nothing_once_there_is_an_account(app, station):
    token = station.journal.write(lambda store: accounts.first_link(store.connection, station.now()))
    an_account(app, station, "Asha", "keeper")

    assert Person(app, "Eve").get(f"/station/account/link/{token}").status_code == 410
    with pytest.raises(ChecklistError, match="link_unknown"):
        station.journal.write(lambda store: accounts.use_link(store.connection, token, "Eve", "x", 0))


def test_a_link_opens_once(app, station):
    token = station.journal.write(
        lambda store: accounts.add(store.connection, "Asha", ("lead",), "", station.now())
    )
    path = f"/station/account/link/{token}"
    assert Person(app, "Asha").post(path, chosen=PASSWORD, again=PASSWORD).status_code == 303
    kept = accounts.by_name(station.journal.reader, "Asha")["password"]

    again = Person(app, "Eve").get(path)

    assert again.status_code == 410 and "used already" in again.text
    assert accounts.by_name(station.journal.reader, "Asha")["password"] == kept


@pytest.mark.parametrize(("age", "status"), [(DAY_MS - 1, 200), (DAY_MS, 410), (DAY_MS + 1, 410)])
def test_a_link_opens_for_a_day(app, station, monkeypatch, age, status):
    made = station.now()
    token = station.journal.write(
        lambda store: accounts.add(store.connection, "Asha", ("lead",), "", made)
    )
    monkeypatch.setattr(type(station), "now", staticmethod(lambda: made + age))

    assert Person(app, "Asha").get(f"/station/account/link/{token}").status_code == status


def test_the_token_of_a_link_is_not_stored(station):
    token = station.journal.write(
        lambda store: accounts.add(store.connection, "Asha", ("lead",), "", 1)
    )

    assert token not in "\n".join(station.journal.reader.iterdump())


def test_a_keeper_makes_an_account_and_hands_over_its_link(app, station, keeper):
    reply = keeper.post("/station/account/everyone", name="Ben", roles=["lead", "supervisor"])

    link = re.search(r"/station/account/link/[\w-]+", reply.text)[0]
    ben = Person(app, "Ben")
    assert ben.post(link, chosen=PASSWORD, again=PASSWORD).status_code == 303
    assert ben.get("/station/settings").status_code == 200
    assert ("Asha", "account_made", "Ben: lead, supervisor") in trail_of(station)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"name": "ASHA", "roles": ["lead"]}, "of this name already"),
        ({"name": "Ben", "roles": []}, "role=\"alert\""),
        ({"name": "Ben", "roles": ["king"]}, "role=\"alert\""),
        ({"name": " ", "roles": ["lead"]}, "role=\"alert\""),
        ({"name": "x" * 61, "roles": ["lead"]}, "role=\"alert\""),
    ],
    ids=["taken", "no role", "unknown role", "no name", "long name"],
)
def test_an_account_that_cannot_be_is_refused(station, keeper, stored, fields, said):
    before = (stored("account"), stored("trail"))

    reply = keeper.post("/station/account/everyone", **fields)

    assert reply.status_code == 422 and said in reply.text
    assert (stored("account"), stored("trail")) == before


@pytest.mark.parametrize(
    ("role", "path", "status"),
    [
        ("keeper", "/station/devices", 200), ("lead", "/station/devices", 403),
        ("supervisor", "/station/devices", 403), ("keeper", "/station/account/everyone", 200),
        ("supervisor", "/station/account/everyone", 403), ("lead", "/station/account/everyone", 403),
        ("supervisor", "/station/", 200), ("keeper", "/station/", 403),
        ("lead", "/station/settings", 200), ("supervisor", "/station/settings", 403),
        ("supervisor", "/station/account/trail", 200), ("lead", "/station/account/trail", 403),
    ],
)
def test_a_page_opens_to_its_roles_and_to_no_other(app, station, role, path, status):
    reply = an_account(app, station, "Asha", role).get(path)

    assert reply.status_code == status
    if status == 403:
        assert "not meant for this page" in reply.text
    else:
        assert "Open to:" in reply.text


def test_a_form_of_a_wrong_role_changes_nothing(app, station, tablet, keeper):
    lead = an_account(app, station, "Ben", "lead")

    reply = lead.post(f"/station/devices/{tablet.device_id}/retire", page="/station/settings")

    assert reply.status_code == 403
    assert tablet.ask(app.test_client()).json["state"] == "admitted"


def test_a_forged_token_of_a_form_changes_nothing(keeper, stored):
    reply = keeper.client.post(
        "/station/account/everyone", data={"name": "Ben", "roles": "lead", "csrf_token": "forged"},
        environ_base=ELSEWHERE,
    )

    assert reply.status_code == 400 and "load the page again" in reply.text
    assert stored("account") == 1


def test_the_last_keeper_cannot_be_closed(station, keeper):
    reply = keeper.post("/station/account/1/close", page="/station/account/everyone")

    assert reply.status_code == 409 and "last account" in reply.text
    assert keeper.get("/station/devices").status_code == 200


def test_who_is_closed_is_out_at_once(app, station, keeper):
    ben = an_account(app, station, "Ben", "supervisor")
    assert ben.get("/station/").status_code == 200

    assert keeper.post("/station/account/2/close", page="/station/account/everyone").status_code == 303

    assert ben.get("/station/").status_code == 303
    assert "wrong" in ben.enter().text
    assert trail_of(station)[-2:] == [("Asha", "account_closed", "Ben"), ("", "sign_in_refused", "")]


def test_a_new_link_ends_the_sessions_and_the_old_link(app, station, keeper):
    ben = an_account(app, station, "Ben", "supervisor")

    reply = keeper.post("/station/account/2/link", page="/station/account/everyone")

    assert re.search(r"/station/account/link/[\w-]+", reply.text)
    assert ben.get("/station/").status_code == 303


def test_no_link_is_drawn_to_a_page_that_would_refuse(app, station):
    page = an_account(app, station, "Asha", "lead").get("/station/settings").text

    assert "/station/account/everyone" not in page and "/station/devices" not in page
    assert "/station/settings" in page


def test_a_page_that_refuses_shows_the_way_to_those_that_do_not(app, station):
    page = an_account(app, station, "Asha", "keeper").get("/station/").text

    assert "not meant for this page" in page
    assert "/station/devices" in page and "/station/settings" not in page


def test_pages_without_accounts_name_no_roles(client):
    assert "Open to:" not in see(client, "/station/settings")


def test_the_cookie_is_bound_to_this_host_where_there_is_https(app, monkeypatch, station):
    with app.app_context():
        assert guard.cookie_name() == "account"
        secure = replace(station, settings=replace(station.settings, certificate=Path("x.pem")))
        monkeypatch.setitem(app.extensions, "checklist", secure)
        assert guard.cookie_name() == "__Host-account"
        reply = an_account(app, secure, "Asha", "lead")
    cookie = reply.client.get_cookie("__Host-account")
    assert cookie.secure and cookie.http_only and cookie.same_site == "Strict" and cookie.path == "/"


def test_the_command_line_makes_lists_and_closes_accounts(settings, station, app):
    def run(*words):
        return CliRunner().invoke(main, ["account", *words, "--data", str(settings.data)])

    made = run("add", "Asha", "--role", "supervisor", "--role", "keeper")
    link = re.search(r"/station/account/link/[\w-]+", made.output)[0]

    assert Person(app, "Asha").post(link, chosen=PASSWORD, again=PASSWORD).status_code == 303
    assert "Asha\tsupervisor, keeper\topen" in run("list").output
    assert run("add", "Asha", "--role", "lead").exit_code == 65
    assert run("add", "Ben", "--role", "king").exit_code == 2
    assert run("close", "Asha").exit_code == 65
    assert run("link", "Nobody").exit_code == 66
    run("add", "Ben", "--role", "keeper")
    assert run("close", "asha").exit_code == 0
    assert "Asha\tsupervisor, keeper\tclosed" in run("list").output


@pytest.mark.parametrize(("host", "is_made"), [("0.0.0.0", True), ("127.0.0.1", False), ("localhost", False)])
def test_a_hub_on_the_network_prints_the_link_of_its_first_account(open_app, settings, host, is_made):
    app = open_app(replace(settings, host=host))

    link = _first_link(app, "https://hub.example/")

    assert (link is not None) == is_made
    if is_made:
        person = Person(app, "Asha")
        page = link.removeprefix("https://hub.example")
        assert person.post(page, name="Asha", chosen=PASSWORD, again=PASSWORD).status_code == 303
        assert _first_link(app, "https://hub.example/") is None


def test_starting_again_voids_the_link_that_was_printed_before(open_app, settings):
    app = open_app(replace(settings, host="0.0.0.0"))
    first, second = (_first_link(app, "") for _ in range(2))

    assert Person(app, "Eve").get(f"/{first}").status_code == 410
    assert Person(app, "Asha").get(f"/{second}").status_code == 200


def test_a_wrong_name_for_the_first_account_makes_none(app, station, stored):
    token = station.journal.write(lambda store: accounts.first_link(store.connection, station.now()))

    reply = Person(app, "x").post(
        f"/station/account/link/{token}", name="\u200b", chosen=PASSWORD, again=PASSWORD
    )

    assert reply.status_code == 422 and stored("account") == 0
    assert Person(app, "x").get(f"/station/account/link/{token}").status_code == 200

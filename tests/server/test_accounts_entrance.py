"""Signing in: the same answer whatever was wrong, growing waits, sessions that end."""

import threading

import pytest

from checklist import attempts, passwords, sessions
from tests.server.people import PASSWORD, Person, asha, clock, quick_hashes
from tests.server.tablet import ELSEWHERE

__all__ = ["asha", "clock", "quick_hashes"]
MINUTE_MS = 60_000
IDLE_MS, WHOLE_MS = 20 * MINUTE_MS, 12 * 60 * MINUTE_MS


def test_who_signs_in_comes_back_to_where_one_was(app, asha):
    asha.client.delete_cookie("account", path="/station")
    away = asha.get("/station/?mode=practice")
    assert away.location == "/station/account/enter?next=/station/?mode%3Dpractice"

    reply = asha.enter(then="?next=/station/?mode%3Dpractice")

    assert (reply.status_code, reply.location) == (303, "/station/?mode=practice")
    assert asha.get("/station/?mode=practice").status_code == 200


@pytest.mark.parametrize(
    "next_page", ["https://evil.example/", "//evil.example", "/\\evil.example", "station", "", "/other"],
)
def test_nobody_is_led_elsewhere_after_signing_in(asha, next_page):
    assert asha.enter(then=f"?next={next_page}").location == "/station/account"


@pytest.mark.parametrize(
    ("name", "password"),
    [("Asha", "wrong but long enough"), ("Nobody", PASSWORD), ("Asha", "short"), ("Asha", PASSWORD[:-1])],
)
def test_a_wrong_name_and_a_wrong_password_get_the_same_answer(app, asha, name, password):
    reply = Person(app, name).enter(password)

    assert reply.status_code == 422
    assert "Name, password or code is wrong." in reply.text
    assert "account=" not in str(reply.headers.getlist("Set-Cookie"))


def test_a_name_that_does_not_exist_costs_the_same_hash(app, asha, monkeypatch):
    asked = []
    monkeypatch.setattr(passwords, "is_right", lambda kept, said: asked.append(kept) or False)

    Person(app, "Nobody").enter()
    Person(app, "Asha").enter("wrong but long enough")

    assert len(asked) == 2 and asked[0] == ""


def test_the_wait_doubles_up_to_a_quarter_of_an_hour_and_nobody_is_shut_out(station):
    who, now, waits = attempts.subjects("Asha", "1.2.3.4"), 1_000_000, []
    for _ in range(20):
        wait = station.journal.write(lambda store: attempts.begin(store.connection, who, now))
        if wait:
            waits.append(wait)
            now += wait
            assert station.journal.write(lambda store: attempts.begin(store.connection, who, now)) == 0

    assert waits[:4] == [1000, 2000, 4000, 8000]
    assert waits[-1] == max(waits) == 15 * MINUTE_MS


def test_a_wait_survives_a_restart(app, asha, open_app, clock):
    eve = Person(app, "Asha")
    for _ in range(3):
        eve.enter("wrong but long enough")

    again = Person(open_app(), "Asha")

    assert "Too many tries" in again.enter().text


def test_during_a_wait_even_the_right_password_is_not_looked_at(app, asha, clock, stored):
    eve = Person(app, "Asha")
    for _ in range(3):
        eve.enter("wrong but long enough")
    before = stored("session")

    assert "Wait 1\u00a0s" in eve.enter().text
    assert stored("session") == before
    clock["now"] += 1000
    assert eve.enter().status_code == 303


def test_one_address_is_slowed_down_over_many_names(app, asha):
    eve = Person(app, "")
    said = []
    for number in range(22):
        eve.name = f"guess {number}"
        said.append("Too many tries" in eve.enter().text)

    assert said == [False] * 20 + [True] * 2


@pytest.mark.parametrize(("idle", "status"), [(IDLE_MS - 1, 200), (IDLE_MS, 303), (IDLE_MS + 1, 303)])
def test_a_session_ends_when_it_is_idle(asha, clock, idle, status):
    clock["now"] += idle

    reply = asha.get("/station/devices")

    assert reply.status_code == status
    if status == 303:
        assert "ended=1" in reply.location
        assert "Your time here was over" in asha.get(reply.location).text


@pytest.mark.parametrize(("before_end", "status"), [(1, 200), (0, 303)])
def test_a_session_ends_when_its_day_is_over_however_busy(asha, clock, before_end, status):
    began = clock["now"]
    while clock["now"] + 10 * MINUTE_MS < began + WHOLE_MS:
        clock["now"] += 10 * MINUTE_MS
        assert asha.get("/station/devices").status_code == 200
    clock["now"] = began + WHOLE_MS - before_end

    assert asha.get("/station/devices").status_code == status


def test_a_form_that_is_sent_after_the_end_changes_nothing_and_leads_back(asha, clock, stored):
    page = asha.get("/station/account/everyone").text
    token = page.split('name="csrf_token"')[1].split('value="')[1].split('"')[0]
    clock["now"] += IDLE_MS
    before = stored("account")

    reply = asha.client.post(
        "/station/account/everyone", data={"csrf_token": token, "name": "Ben", "roles": "lead"},
        headers={"Referer": "http://localhost/station/account/everyone"}, environ_base=ELSEWHERE,
    )

    assert reply.location == "/station/account/enter?next=/station/account/everyone&ended=1"
    assert stored("account") == before


def test_signing_out_ends_the_session_at_the_station(asha, stored):
    token = asha.client.get_cookie("account", path="/station").value
    assert asha.post("/station/account/leave", page="/station/account").status_code == 303

    asha.client.set_cookie("account", token, path="/station")

    assert stored("session") == 0
    assert asha.get("/station/").status_code == 303


def test_the_token_of_a_session_is_not_stored(asha, station):
    token = asha.client.get_cookie("account", path="/station").value

    assert token not in "\n".join(station.journal.reader.iterdump())
    assert len(token) == 43  # 32 random bytes as base64url


def test_a_new_password_ends_every_other_session(app, asha):
    elsewhere = Person(app, "Asha")
    elsewhere.enter()
    new = "a boat full of reeds"

    reply = asha.post("/station/account", now=PASSWORD, chosen=new, again=new)

    assert reply.status_code == 303
    assert asha.get("/station/account").status_code == 200
    assert elsewhere.get("/station/account").status_code == 303
    assert Person(app, "Asha").enter().status_code == 422
    assert Person(app, "Asha").enter(new).status_code == 303


@pytest.mark.parametrize(
    ("now", "chosen", "again", "said"),
    [
        ("not this one at all", "a boat full of reeds", "a boat full of reeds", "is wrong"),
        (PASSWORD, "elevenchars", "elevenchars", "fewer than 12"),
        (PASSWORD, "a boat full of reeds", "a boat full of weeds", "not the same"),
        (PASSWORD, "Password2026!", "Password2026!", "tried first"),
        (PASSWORD, "123456789012", "123456789012", "tried first"),
        (PASSWORD, "aaaaaaaaaaaaaa", "aaaaaaaaaaaaaa", "tried first"),
        (PASSWORD, "asha asha 2026", "asha asha 2026", "name of the account"),
        (PASSWORD, "x" * 257, "x" * 257, "more than 256"),
    ],
)
def test_a_password_that_will_not_do_is_refused(asha, station, now, chosen, again, said):
    kept = station.journal.reader.execute("select password from account").fetchone()[0]

    reply = asha.post("/station/account", now=now, chosen=chosen, again=again)

    assert reply.status_code == 422 and said in reply.text
    assert station.journal.reader.execute("select password from account").fetchone()[0] == kept


@pytest.mark.parametrize(("length", "why"), [(11, "short"), (12, None), (13, None), (256, None), (257, "long")])
def test_a_password_may_be_anything_within_its_length(length, why):
    signs = "ẞ 力🙂 q€w%r"

    assert passwords.weakness((signs * 40)[:length], "Asha") == why


def test_hashing_costs_at_least_what_asvs_asks(monkeypatch):
    monkeypatch.undo()

    kept = passwords.make("the river bends twice")

    assert kept.startswith("$argon2id$")
    assert passwords.HASHER.memory_cost >= 46 * 1024 and passwords.HASHER.time_cost >= 1
    assert passwords.is_right(kept, "the river bends twice")
    assert not passwords.is_right(kept, "the river bends once")
    assert not passwords.is_right("", "")


def test_no_more_than_two_hashes_are_made_at_once(monkeypatch):
    state = {"now": 0, "most": 0}
    lock, meet = threading.Lock(), threading.Barrier(2, timeout=5)

    class Slow:
        def hash(self, password):
            with lock:
                state["now"] += 1
                state["most"] = max(state["most"], state["now"])
            meet.wait()
            with lock:
                state["now"] -= 1
            return ""

    monkeypatch.setattr(passwords, "HASHER", Slow())
    threads = [threading.Thread(target=passwords.make, args=("x",)) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert state["most"] == 2


def test_a_session_that_is_used_is_not_written_down_at_every_page(asha, station, clock, monkeypatch):
    touched = []
    monkeypatch.setattr(sessions, "touch", lambda connection, session, now: touched.append(now))

    for _ in range(5):
        clock["now"] += 10_000
        asha.get("/station/devices")

    assert len(touched) == 0
    clock["now"] += 10_000
    asha.get("/station/devices")
    assert len(touched) == 1

"""One-time codes: good once, for ten minutes, for five tries, and never on the line."""

import hashlib
import hmac
from threading import Thread

import pytest

from checklist import keys, pairing
from checklist.admission import make_code
from checklist.device import MOST_WAITING
from checklist.web.parts import Parts
from tests.server.hubs import quick_codes
from tests.server.tablet import ELSEWHERE, START_MS, Tablet


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Make stretching quick."""
    quick_codes(monkeypatch)


@pytest.fixture
def clock(monkeypatch):
    """Drive the wall clock of the station."""
    clock = {"now": START_MS}
    monkeypatch.setattr(Parts, "now", staticmethod(lambda: clock["now"]))
    return clock


@pytest.fixture
def code(station, clock):
    """Give a code."""
    return make_code(station.journal, station.identity, "", clock["now"])


def ask(client, station, code, tablet=None, **other):
    """Ask with the proof of a code, as a device elsewhere does."""
    tablet = tablet or Tablet()
    stretched = pairing.stretch(code, station.identity.station_id)
    proof = pairing.proof(stretched, tablet.public_key, station.identity.station_id)
    return client.post(
        "/v1/devices", json=tablet.asking() | {"proof": proof} | other, environ_base=ELSEWHERE
    )


def tried(station):
    """List the trail, oldest first."""
    rows = station.journal.reader.execute("select what, target from trail order by trail_no")
    return [tuple(row) for row in rows]


def test_a_right_code_lets_a_device_in_and_proves_the_station(client, station, code):
    tablet = Tablet()

    reply = ask(client, station, code, tablet)

    own = keys.public_key_of(station.identity.private_key)
    stretched = pairing.stretch(code, station.identity.station_id)
    assert (reply.status_code, reply.json["state"]) == (201, "admitted")
    assert reply.json["proof"] == pairing.answer(stretched, tablet.public_key, own)
    assert tried(station) == [("code_made", ""), ("code_used", tablet.device_id)]


def test_a_code_that_waits_is_not_kept_in_clear(station, code):
    dump = "\n".join(station.journal.reader.iterdump())

    assert code not in dump and code.encode().hex().upper() not in dump


def test_a_code_is_typed_as_people_type(client, station, code):
    typed = f"{code[:4].lower()} - {code[4:].lower()}".replace("0", "o").replace("1", "l")

    assert ask(client, station, typed).status_code == 201


def test_a_used_code_is_refused(client, station, code):
    ask(client, station, code)

    reply = ask(client, station, code)

    assert (reply.status_code, reply.json["code"]) == (403, "code_refused")


def test_a_wrong_code_leaves_the_device_waiting_and_is_written_down(client, station, code):
    tablet = Tablet()

    reply = ask(client, station, "0" * 8, tablet)

    assert reply.json["code"] == "code_refused"
    assert tried(station)[-1] == ("code_refused", tablet.device_id)
    assert tablet.ask(client, ELSEWHERE).json["state"] == "waiting"


def crowd(station):
    """Let as many strangers wait as may."""
    station.journal.write(
        lambda store: store.connection.executemany(
            "insert into device (device_id, public_key, name, state, asked_at)"
            " values (?, '', '', 'waiting', 0)",
            [(f"{number:032x}",) for number in range(MOST_WAITING)],
        )
    )


def test_a_code_lets_in_even_while_as_many_wait_as_may(client, station, code):
    crowd(station)

    reply = ask(client, station, code)

    assert (reply.status_code, reply.json["state"]) == (201, "admitted")


def test_a_wrong_code_is_counted_even_while_as_many_wait_as_may(client, station, code):
    crowd(station)

    replies = [ask(client, station, "0" * 8) for _ in range(pairing.MOST_TRIES)]

    assert {reply.json["code"] for reply in replies} == {"code_refused"}
    assert ask(client, station, code).json["code"] == "code_refused"


@pytest.mark.parametrize(
    ("later", "status"),
    [(pairing.GOOD_FOR_MS - 1, 201), (pairing.GOOD_FOR_MS, 403), (-1, 403)],
    ids=["just in time", "too late", "the clock was set back"],
)
def test_a_code_is_good_for_ten_minutes(client, station, clock, code, later, status):
    clock["now"] += later

    assert ask(client, station, code).status_code == status


@pytest.mark.parametrize(("wrong", "status"), [(4, 201), (5, 403)])
def test_five_wrong_tries_void_a_code(client, station, code, wrong, status):
    for _ in range(wrong):
        assert ask(client, station, "0" * 8).status_code == 403

    assert ask(client, station, code).status_code == status


def test_tries_are_limited_in_all_and_the_wait_is_told(client, station, clock, code):
    for _ in range(pairing.MOST_TRIES_IN_ALL):
        ask(client, station, "0" * 8)
    lines = len(tried(station))
    fresh = make_code(station.journal, station.identity, "", clock["now"])

    reply = ask(client, station, fresh)

    assert (reply.status_code, reply.json["code"]) == (429, "tries_full")
    assert int(reply.headers["Retry-After"]) > 0
    assert len(tried(station)) == lines + 1
    clock["now"] += pairing.GOOD_FOR_MS + 1
    later = make_code(station.journal, station.identity, "", clock["now"])
    assert ask(client, station, later).status_code == 201


def test_of_two_who_race_with_one_code_one_wins(app, station, code):
    replies = []
    threads = [
        Thread(target=lambda: replies.append(ask(app.test_client(), station, code).status_code))
        for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(replies) == [201, *[403] * 7]


def test_a_retired_device_is_not_let_in_by_a_code(client, station, code):
    tablet = Tablet()
    tablet.ask(client, ELSEWHERE)
    station.journal.write(
        lambda store: store.connection.execute("update device set state = 'retired'")
    )

    reply = ask(client, station, code, tablet)

    assert reply.json["code"] == "device_retired"
    assert ask(client, station, code).status_code == 201


def test_a_proof_is_good_for_one_key_and_one_station_only(client, station, code):
    mine, other = Tablet(), Tablet()
    stretched = pairing.stretch(code, station.identity.station_id)
    stolen = pairing.proof(stretched, mine.public_key, station.identity.station_id)
    elsewhere = pairing.proof(stretched, other.public_key, "0" * 32)

    replies = [
        client.post("/v1/devices", json=other.asking() | {"proof": proof}, environ_base=ELSEWHERE)
        for proof in (stolen, elsewhere)
    ]

    assert [reply.json["code"] for reply in replies] == ["code_refused"] * 2


@pytest.mark.parametrize("odd", [{"proof": 7}, {"kind": "hub"}, {"kind": None}])
def test_an_asking_of_another_shape_is_refused(client, station, odd):
    reply = client.post("/v1/devices", json=Tablet().asking() | odd, environ_base=ELSEWHERE)

    assert (reply.status_code, reply.json["code"]) == (400, "device_malformed")


def test_a_station_is_never_let_in_by_being_first_on_this_machine(client, station):
    reply = client.post("/v1/devices", json=Tablet().asking() | {"kind": "station"})

    assert (reply.status_code, reply.json["state"]) == (202, "waiting")
    assert Tablet().ask(client).status_code == 201


def test_a_proof_is_what_the_standard_says(monkeypatch):
    """RFC 8018 (PBKDF2) and RFC 2104 (HMAC), reckoned here without our own functions."""
    monkeypatch.setattr(pairing, "ROUNDS", 600_000)
    stretched = hashlib.pbkdf2_hmac("sha256", b"K7QH2M9D", b"code/1\nabc", 600_000)

    shown = pairing.proof(pairing.stretch("k7qh-2m9d", "abc"), "key", "abc")

    assert shown == hmac.new(stretched, b"pair/1\nkey\nabc", "sha256").hexdigest()


def test_codes_are_forty_bits_in_letters_that_are_not_mistaken():
    codes = {pairing.new_code() for _ in range(1000)}

    assert len(codes) == 1000
    assert all(len(code) == 8 and set(code) <= set(pairing.LETTERS) for code in codes)
    assert len(pairing.LETTERS) == 32 and not set("ILOU") & set(pairing.LETTERS)

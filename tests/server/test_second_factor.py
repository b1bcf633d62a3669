"""A code from a phone besides the password: asked for once set up, worth something once."""

import hashlib
import hmac
import struct

import pyotp
import pytest

from checklist import second_factor
from tests.server.people import PASSWORD, Person, asha, clock, quick_hashes, trail_of

__all__ = ["asha", "clock", "quick_hashes"]
PAGE = "/station/account/second"


def code_at(secret, now):
    return pyotp.TOTP(secret).at(now // 1000)


def secret_of(station):
    return station.journal.reader.execute("select second from account").fetchone()[0]


@pytest.fixture
def phone(asha, clock, station):
    """Set the second factor up; gives its secret."""
    shown = "".join(asha.get(PAGE).text.split("<code>")[1].split("</code>")[0].split())
    assert asha.post(PAGE, now=PASSWORD, code=code_at(shown, clock["now"])).status_code == 303
    assert secret_of(station) == shown
    clock["now"] += 30_000
    return shown


def enter(app, code, password=PASSWORD):
    person = Person(app, "Asha")
    return person.post("/station/account/enter", name="Asha", password=password, code=code)


def test_without_a_code_nobody_gets_in_any_more(app, phone, clock):
    reply = enter(app, "")

    assert reply.status_code == 422 and "Name, password or code is wrong." in reply.text
    clock["now"] += 60_000
    assert enter(app, code_at(phone, clock["now"])).status_code == 303


@pytest.mark.parametrize(("late", "status"), [(-60, 422), (-30, 303), (0, 303), (30, 303), (60, 422)])
def test_a_clock_may_be_one_step_behind_or_ahead(app, phone, clock, late, status):
    clock["now"] += 120_000

    assert enter(app, code_at(phone, clock["now"] + late * 1000)).status_code == status


def test_a_code_is_worth_something_once(app, phone, clock):
    code = code_at(phone, clock["now"])
    assert enter(app, code).status_code == 303

    assert enter(app, code).status_code == 422


def test_the_code_alone_is_not_enough(app, phone, clock):
    assert enter(app, code_at(phone, clock["now"]), "wrong but long enough").status_code == 422


@pytest.mark.parametrize(("password", "right"), [(PASSWORD, False), ("wrong but long enough", True)])
def test_it_is_not_set_up_without_password_and_code(asha, clock, station, password, right):
    shown = "".join(asha.get(PAGE).text.split("<code>")[1].split("</code>")[0].split())
    code = code_at(shown, clock["now"]) if right else "000000"

    reply = asha.post(PAGE, now=password, code=code)

    assert reply.status_code == 422 and 'role="alert"' in reply.text
    assert secret_of(station) == ""


def test_the_owner_ends_it_with_password_and_code(app, asha, phone, clock, station):
    assert asha.post(PAGE, now=PASSWORD, code="000000").status_code == 422
    assert phone not in asha.get(PAGE).text
    assert asha.post(PAGE, now=PASSWORD, code=code_at(phone, clock["now"])).status_code == 303

    assert secret_of(station) == ""
    assert enter(app, "").status_code == 303
    assert ("Asha", "second_ended", "Asha") in trail_of(station)


def test_a_wrong_code_to_end_it_slows_the_next_try(asha, phone, clock, station):
    for _ in range(3):
        assert asha.post(PAGE, now=PASSWORD, code="000000").status_code == 422

    assert asha.post(PAGE, now=PASSWORD, code=code_at(phone, clock["now"])).status_code == 422
    clock["now"] += 30_000
    assert asha.post(PAGE, now=PASSWORD, code=code_at(phone, clock["now"])).status_code == 303
    assert secret_of(station) == ""


def test_a_new_link_ends_it_for_who_lost_the_phone(asha, phone, station):
    asha.post("/station/account/1/link", page="/station/account/everyone")

    assert secret_of(station) == ""


def test_codes_are_those_of_the_standard():
    # RFC 6238, appendix B, SHA-1, time 1111111109: 07081804, of which six digits are shown.
    secret = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"
    mac = hmac.new(b"12345678901234567890", struct.pack(">Q", 1111111109 // 30), hashlib.sha1).digest()
    cut = struct.unpack(">I", mac[mac[-1] & 15 :][:4])[0] & 0x7FFFFFFF

    assert cut % 10**8 == 7081804
    assert second_factor.step_of(secret, "081 804", 1111111109_000) == 1111111109 // 30
    assert second_factor.step_of(secret, "081805", 1111111109_000) is None
    assert second_factor.step_of(secret, "\u0660\u0661", 1111111109_000) is None

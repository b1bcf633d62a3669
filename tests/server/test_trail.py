"""The trail: who did what, shown page by page, never changed without being found out."""

import pytest

from checklist import trail
from checklist.audit import find_damage
from tests.server.people import asha, clock, quick_hashes, trail_of

__all__ = ["asha", "clock", "quick_hashes"]


def test_the_trail_is_only_added_to_and_shows_who_did_what(asha, station, clock):
    rows = trail_of(station)

    assert rows == [
        ("", "account_made", "Asha: supervisor, keeper"), ("Asha", "password_set", "Asha"),
        ("Asha", "signed_in", "Asha"),
    ]
    for change in ("update trail set who = 'Eve'", "delete from trail"):
        with pytest.raises(Exception, match="only ever added to"):
            station.journal.write(lambda store: store.connection.execute(change))
    assert "Set a password" in asha.get("/station/account/trail").text


def test_a_trail_of_many_rows_is_shown_page_by_page(asha, station):
    def many(store):
        for number in range(250):
            trail.note(store.connection, "Asha", "case_seen", f"case {number:03}", number)

    station.journal.write(many)
    path, seen = "/station/account/trail", []
    while path:
        page = asha.get(path).text
        seen += [int(piece[:3]) for piece in page.split("<bdi>case ")[1:]]
        path = page.split('rel="next"')[0].split('href="')[-1].rstrip('" ') if 'rel="next"' in page else ""

    assert seen == list(range(249, -1, -1))


@pytest.mark.parametrize(
    "damage", ["update trail set target = 'Eve' where trail_no = 2", "delete from trail where trail_no = 2"],
)
def test_a_trail_that_was_changed_behind_its_back_is_found(asha, station, damage):
    assert [one for one in find_damage(station.journal.reader, lambda n: None)] == []

    def spoil(store):
        for verb in ("update", "delete"):
            store.connection.execute(f"drop trigger trail_has_no_{verb}")
        store.connection.execute(damage)

    station.journal.write(spoil)

    assert any("trail" in one for one in find_damage(station.journal.reader, lambda n: None))


def test_reading_a_case_by_an_account_is_written_down(asha, station, tablet):
    case = tablet.open_case()
    tablet.send(asha.client)

    asha.get(f"/station/cases/{case}")

    assert trail_of(station)[-1] == ("Asha", "case_seen", case)

"""Stricter limits of a post: drafted by one, signed by another, sent down, kept with their history."""

import re

import pytest

from checklist import device, keys, limits_of, outbox, post_protocol
from checklist.core.event import parse
from checklist.core.protocol import limit_row
from checklist.tables import protocol_in_force
from tests.server.leads import asha, ben
from tests.server.pages import fill, see
from tests.server.people import an_account, quick_hashes, trail_of
from tests.server.tablet import LOCAL

__all__ = ["asha", "ben", "quick_hashes"]
PAGE = "/station/limits"
BASE, PROTOCOL = protocol_in_force()
STRICT = {"cup_minutes.caution": "8", "cup_minutes.stop": "15"}


def said(station):
    rows = station.journal.reader.execute("select line from event where case_id = '' order by event_no")
    return [parse(row["line"]) for row in rows]


def sign(person, number=1):
    return person.post(f"{PAGE}/{number}/sign", page=PAGE)


def test_a_draft_that_a_second_person_signs_goes_down_to_the_tablets(asha, ben, station):
    assert asha.post(PAGE, **STRICT).status_code == 303
    assert said(station) == []

    assert sign(ben).status_code == 303

    (event,) = said(station)
    assert event["kind"] == "limits_set"
    assert event["facts"] == {
        "post": station.identity.station_id[:8], "number": 1, "base": BASE,
        "changes": "cup_minutes.caution=8 cup_minutes.stop=15", "by": "Asha", "signed_by": "Ben",
    }
    page = asha.get(PAGE).text
    assert "made by Asha, signed by Ben" in page and 'value="15"' in page
    assert [what for _, what, _ in trail_of(station)][-2:] == ["limits_drafted", "limits_set"]


def test_who_made_a_draft_cannot_sign_it(asha, station):
    asha.post(PAGE, **STRICT)

    reply = sign(asha)

    assert reply.status_code == 403 and "a second person" in reply.text
    assert said(station) == [] and limits_of.in_force(station.journal.reader, "") is None


def test_without_accounts_limits_cannot_be_signed(client, station):
    assert fill(client, PAGE, **STRICT).status_code == 303
    assert "That needs two accounts" in see(client, PAGE)

    reply = fill(client, f"{PAGE}/1/sign", page=PAGE)

    assert reply.status_code == 403 and "two accounts" in reply.text
    assert said(station) == []


def test_a_draft_from_before_there_were_accounts_cannot_be_signed(client, app, station):
    fill(client, PAGE, **STRICT)

    assert sign(an_account(app, station, "Asha", "lead")).status_code == 403
    assert said(station) == []


@pytest.mark.parametrize(
    ("name", "value", "said_why"),
    [
        ("cup_minutes.stop", "21", "at most 20"), ("cup_minutes.caution", "11", "at most 10"),
        ("poor_pulls.stop", "3", "at most 2"), ("cup_minutes.stop", "0", "at least 1"),
        ("working_suction.stop", "59", "at least 60"), ("pulls.stop", "five", "Whole numbers"),
        ("pulls.stop", "4.5", "Whole numbers"), ("pulls.stop", "-1", "Whole numbers"),
        ("pulls.stop", "\u0665", "Whole numbers"),
    ],
)
def test_a_refused_number_stays_as_typed_with_its_reason(asha, stored, name, value, said_why):
    reply = asha.post(PAGE, **STRICT | {name: value})

    assert reply.status_code == 422
    assert said_why in reply.text and f'value="{value}"' in reply.text
    assert stored("post_limits") == 0


def test_a_caution_after_its_stop_is_refused(asha, stored):
    reply = asha.post(PAGE, **{"cup_minutes.caution": "9", "cup_minutes.stop": "8"})

    assert reply.status_code == 422 and "which is at 8" in reply.text
    assert stored("post_limits") == 0


@pytest.mark.parametrize("value", ["19", "20"])
def test_a_number_up_to_the_shipped_one_is_taken(asha, station, value):
    assert asha.post(PAGE, **{"cup_minutes.stop": value}).status_code == 303

    draft = limits_of.draft(station.journal.reader, "")
    assert draft["changes"] == ("" if value == "20" else "cup_minutes.stop=19")


def test_what_is_sent_beside_the_form_is_left_out(asha, station):
    asha.post(PAGE, **{"rim.caution": "0", "never.stop": "1", "pulls.stop": "5"})

    assert limits_of.draft(station.journal.reader, "")["changes"] == "pulls.stop=5"


def test_a_wrong_role_may_neither_read_nor_sign(app, station, asha, stored):
    asha.post(PAGE, **STRICT)
    cleo = an_account(app, station, "Cleo", "supervisor")

    assert cleo.get(PAGE).status_code == 403
    assert cleo.post(f"{PAGE}/1/sign", page="/station/account").status_code == 403
    assert said(station) == []


def test_a_form_without_its_token_changes_nothing(asha, stored):
    reply = asha.client.post(PAGE, data=STRICT, environ_base=LOCAL)

    assert reply.status_code == 400 and "load the page again" in reply.text
    assert stored("post_limits") == 0


def test_a_newer_draft_takes_the_place_of_the_older_and_only_it_can_be_signed(asha, ben, station):
    asha.post(PAGE, **STRICT)
    asha.post(PAGE, **{"pulls.stop": "5"})

    assert sign(ben, 1).status_code == 404
    assert sign(ben, 2).status_code == 303
    assert [event["facts"]["changes"] for event in said(station)] == ["pulls.stop=5"]


def test_a_draft_can_be_thrown_away(asha, ben, station):
    asha.post(PAGE, **STRICT)
    assert ben.post(f"{PAGE}/drop", page=PAGE).status_code == 303

    assert sign(ben).status_code == 404
    assert said(station) == []


def test_going_back_to_the_shipped_limits_needs_two_persons_too(asha, ben, station):
    asha.post(PAGE, **STRICT)
    sign(ben)
    assert ben.post(f"{PAGE}/withdraw", page=PAGE).status_code == 303
    assert sign(ben, 2).status_code == 403
    assert sign(asha, 2).status_code == 303

    facts = said(station)[-1]["facts"]
    assert facts["number"] == 2 and "changes" not in facts
    assert "as shipped" in asha.get(PAGE).text


def test_a_case_under_stricter_limits_is_judged_by_them(asha, ben, station):
    asha.post(PAGE, **STRICT)
    sign(ben)
    name = post_protocol.named(BASE, "cup_minutes.caution=8 cup_minutes.stop=15")

    table, known = post_protocol.protocol_for(station.journal.reader, name)

    assert known
    assert [level["at"] for level in limit_row(table, "cup_minutes")["levels"]] == [8, 15, 15]
    assert post_protocol.protocol_for(station.journal.reader, BASE) == (PROTOCOL, True)
    assert post_protocol.protocol_for(station.journal.reader, "0" * 16) == (PROTOCOL, False)


def test_limits_that_another_station_set_are_found_by_their_name(tablet, client, station):
    tablet.note("limits_set", post="Far post", number=3, base=BASE, changes="pulls.stop=5", by="X", signed_by="Y")
    tablet.send(client)

    table, known = post_protocol.protocol_for(station.journal.reader, post_protocol.named(BASE, "pulls.stop=5"))

    assert known and limit_row(table, "pulls")["levels"][-1]["at"] == 5


def test_the_page_names_every_limit_with_its_source_and_how_it_is_known(asha):
    page = asha.get(PAGE).text

    for row in PROTOCOL["limits"]:
        assert row["known"].replace("'", "&#39;") in page


def test_the_page_shows_units_by_their_signs_and_none_of_the_protocols_own_english(asha):
    shown = re.findall(r'<bdi class="quiet">(.*?)</bdi>', asha.get(PAGE).text)

    assert len(shown) == len(PROTOCOL["limits"]) and set(shown) == {"", "min", "kPa", "/min"}


@pytest.mark.parametrize("name", ["0" * 32, "x"])
def test_a_station_that_is_not_served_has_no_limits(asha, name):
    assert asha.get(f"{PAGE}?station={name}").status_code == 404


def test_the_review_judges_a_case_by_the_limits_it_began_under(asha, ben, station, tablet, client):
    asha.post(PAGE, **STRICT)
    sign(ben)
    name = post_protocol.named(BASE, "cup_minutes.caution=8 cup_minutes.stop=15")

    for digest in (name, "f" * 16):
        case = tablet.open_case()
        line = tablet.lines[-1].replace('"protocol":""', f'"protocol":"{digest}"')
        tablet.lines[-1] = line
        tablet.send(client)
        row = station.journal.reader.execute(
            "select judged, protocol from review_case where case_id = ?", (case,)
        ).fetchone()
        assert tuple(row) == (int(digest == name), digest)


def test_a_hub_sets_the_limits_of_a_post_whose_station_reports_there(asha, ben, station):
    key = keys.public_key_of(keys.new_private_key())
    far = station.journal.write(
        lambda store: device.add(store.connection, key, "Far post", device.ADMITTED, 1, kind="station")
    )
    page = f"{PAGE}?station={far}"
    assert far in asha.get(f"{PAGE}/posts").text
    asha.post(page, **STRICT)
    assert "a draft waits" in asha.get(f"{PAGE}/posts").text

    assert ben.post(f"{PAGE}/1/sign?station={far}", page=page).status_code == 303

    (event,) = said(station)
    assert event["facts"]["post"] == "Far post"
    assert event["log"] in outbox.logs_for(station.journal.reader, station.identity, far)
    assert event["log"] != station.identity.log
    assert limits_of.in_force(station.journal.reader, "") is None
    assert "number 1 in force" in asha.get(f"{PAGE}/posts").text

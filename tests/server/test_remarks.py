"""Remarks and the mark of review: written by a supervisor, sent down, answered by the post."""

import re

import pytest

from checklist import outbox, remarks
from checklist.core.event import parse
from tests.server.pages import see
from tests.server.people import an_account, quick_hashes, trail_of
from tests.server.tablet import LOCAL

__all__ = ["quick_hashes"]


@pytest.fixture
def asha(app, station):
    return an_account(app, station, "Asha", "supervisor")


@pytest.fixture
def case(client, tablet):
    case_id = tablet.open_case()
    tablet.send(client)
    return case_id


def said(station):
    rows = station.journal.reader.execute("select line from event where case_id = '' order by event_no")
    return [parse(row["line"]) for row in rows]


def remark(person, case, text="Why a third pull?"):
    return person.post(f"/station/cases/{case}/remarks", page=f"/station/cases/{case}", text=text)


def test_a_remark_goes_down_in_the_outbox_and_stands_on_the_page(asha, case, station, tablet, client):
    assert remark(asha, case, "Why a <b>third</b> pull?").status_code == 303

    log, seq, _ = tablet.get(client, "/v1/heads").json["outbox"]
    (line,) = tablet.get(client, f"/v1/logs/{log}/events?after=0").text.splitlines()
    event = parse(line)
    assert (event["kind"], event["case"], seq) == ("remark_made", "", 1)
    assert event["facts"] == {"target_case": case, "text": "Why a <b>third</b> pull?", "by": "Asha"}
    page = asha.get(f"/station/cases/{case}").text
    assert "Why a &lt;b&gt;third" in page and "Remark, <bdi>Asha" in page
    assert ("Asha", "remark_made", case) in trail_of(station)


def test_a_case_is_marked_as_talked_over(asha, case, station):
    reply = asha.post(f"/station/cases/{case}/reviewed", page=f"/station/cases/{case}")

    assert reply.status_code == 303
    assert said(station)[-1]["facts"] == {"target_case": case, "by": "Asha"}
    assert "Talked over" in asha.get(f"/station/cases/{case}").text


def test_the_answer_of_the_post_stands_after_the_remark(asha, case, tablet, client, station):
    remark(asha, case)
    tablet.note("remark_answered", case, text="She was on the perineum.")
    tablet.note("remark_answered", case, text="Taken back.")
    tablet.note("withdrawn", case, target_log=tablet.log, target_seq=3)
    tablet.send(client)

    page = asha.get(f"/station/cases/{case}").text
    thread = page.split('id="remarks"')[1]

    assert "Answer from the post" in thread and "She was on the perineum." in thread
    assert "Taken back." not in thread


def test_a_tablet_cannot_write_in_the_name_of_a_supervisor(asha, case, tablet, client, station):
    tablet.note("remark_made", target_case=case, text="Well done", by="Asha")
    tablet.note("case_reviewed", target_case=case, by="Asha")
    tablet.send(client)

    assert remarks.thread(station.journal.reader, case, []) == []


@pytest.mark.parametrize(
    ("text", "status"),
    [("x" * 1999, 303), ("x" * 2000, 303), ("x" * 2001, 422), ("", 422), ("  ", 422), ("\u1230" * 2000, 422)],
)
def test_a_remark_is_as_long_as_the_tablet_can_take(asha, case, station, text, status):
    reply = remark(asha, case, text)

    assert reply.status_code == status
    assert len(said(station)) == (status == 303)
    if status == 422:
        assert 'role="alert"' in reply.text and text.strip() in reply.text


@pytest.mark.parametrize(
    ("text", "why"), [("", "no text"), (" \n ", "no text"), ("x" * 2001, "cannot be used"), ("\u1230" * 2000, "longer than")]
)
def test_a_refused_remark_is_told_why(asha, case, text, why):
    reply = remark(asha, case, text)

    (alert,) = re.findall(r'<p role="alert">([^<]+)</p>', reply.text)
    assert why in alert


@pytest.mark.parametrize("role", ["lead", "keeper"])
def test_another_role_may_not_write(app, station, asha, case, role):
    other = an_account(app, station, "Ben", role)

    assert other.post(f"/station/cases/{case}/remarks", page="/station/account", text="x").status_code == 403
    assert other.post(f"/station/cases/{case}/reviewed", page="/station/account").status_code == 403
    assert said(station) == []


def test_a_form_without_its_token_writes_nothing(asha, case, station):
    for path in ("remarks", "reviewed"):
        reply = asha.client.post(f"/station/cases/{case}/{path}", data={"text": "x"}, environ_base=LOCAL)
        assert reply.status_code == 400
    assert said(station) == []


def test_practice_and_what_is_not_there_gets_no_remark(asha, client, tablet, station):
    practice = tablet.open_case(mode="practice")
    tablet.send(client)

    for case_id in (practice, "0" * 16):
        reply = asha.post(f"/station/cases/{case_id}/remarks", page="/station/account", text="x")
        assert reply.status_code == 404
    assert said(station) == []
    assert "Write to the post" not in asha.get(f"/station/cases/{practice}").text


def test_a_remark_goes_to_the_station_that_the_case_came_through(asha, case, station):
    hub = station.identity.station_id
    station.journal.write(
        lambda store: store.connection.execute("update log set via = ? where device_id <> ?", ("a" * 32, hub))
    )

    remark(asha, case)

    logs = outbox.logs_for(station.journal.reader, station.identity, "a" * 32)
    assert said(station)[-1]["log"] in logs and said(station)[-1]["log"] != station.identity.log


def test_without_accounts_a_remark_has_no_name(client, case, station):
    page = see(client, f"/station/cases/{case}")
    token = page.split('name="csrf_token"')[1].split('value="')[1].split('"')[0]

    client.post(f"/station/cases/{case}/remarks", data={"csrf_token": token, "text": "x"}, environ_base=LOCAL)

    assert said(station)[-1]["facts"] == {"target_case": case, "text": "x"}


def test_the_remarks_of_a_case_are_found_without_a_scan(station):
    reader, asked = station.journal.reader, []
    reader.set_trace_callback(asked.append)
    remarks.thread(reader, "x", [])
    reader.set_trace_callback(None)

    plan = [row["detail"] for row in reader.execute(f"explain query plan {asked[-1]}")]

    assert "SEARCH event USING INDEX event_said (<expr>=? AND <expr>=?)" in plan
    assert not any(step.startswith("SCAN") for step in plan)

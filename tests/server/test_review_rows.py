"""The rows that the review reads: what is said of one birth, and the sums of a month."""

import pytest

from checklist import device, summary
from checklist.review_rows import SUMS
from checklist.schema import connect
from tests.server.births_told import born, by_the_book, put, started
from tests.server.tablet import Tablet
from tests.stories import a_case


@pytest.fixture
def row(client, tablet, station):
    """Send a story and read the row that comes of it."""

    def read(story, **how):
        case = put(tablet, story, **how)
        assert tablet.send(client).status_code == 200
        found = station.journal.reader.execute(
            "select * from review_case where case_id = ?", (case,)
        ).fetchone()
        return dict(found) if found else None

    return read


def months(station):
    rows = station.journal.reader.execute("select * from review_month order by whole, post, month")
    return [{name: value for name, value in dict(one).items() if value != 0} for one in rows]


def test_a_birth_by_the_book_gives_no_reason_to_talk(row):
    found = row(by_the_book())

    assert (found["reasons"], found["talk"], found["judged"]) == ("", 0, 1)
    assert (found["born_vacuum"], found["failed"], found["pulls"], found["cup_min"]) == (1, 0, 2, 5)
    assert (found["timely"], found["complete"], found["steps_open"]) == (1, 1, 0)


def test_what_nobody_told_is_neither_yes_nor_no(row):
    found = row(born(started().pull(), apgar=None, tear=None))

    assert found["severe_tear"] is found["low_apgar"] is found["scalp"] is found["death"] is None
    assert found["overridden"] is None
    # The log says nothing of an Apgar, so it is not complete.
    assert found["reasons"] == "incomplete"


def test_not_sure_is_not_recorded_either(row):
    found = row(born(started().pull(descent="yes"), tear="unsure"))

    assert (found["tear"], found["severe_tear"]) == ("unsure", None)


@pytest.mark.parametrize(
    ("story", "reason", "talk"),
    [
        (started().pull(descent="no").pull(descent="no").stopped("no_descent").closed(), "failed", 1),
        (born(started().pull(descent="yes").pull(descent="yes").pull(descent="yes")), "many_pulls", 1),
        (born(started().begins().detached().scalp().ready().begins().detached().scalp().ready()),
         "detached_twice", 1),
        (born(started().after(minutes=20)), "long", 1),
        (born(started(), tear="3b"), "severe_tear", 1),
        (born(started(), tear="buttonhole"), "severe_tear", 1),
        (born(started(), apgar=6), "low_apgar", 1),
        (born(started(), apgar=3), "low_apgar", 2),
        (born(started().begins().detached().scalp("cut").ready()), "scalp", 1),
        (born(started().begins().detached().scalp("swelling").ready()), "scalp", 2),
        (born(started().tells("baby_observed", what="scalp", answer="boggy")), "scalp", 2),
        (born(started().tells("baby_observed", what="died", answer="yes")), "death", 2),
        (born(started().tells("transfer_left")), "referred", 1),
        (born(started().swept("no")), "skipped", 1),
        (born(started().shown("poor_pulls", "stop").answers("poor_pulls", "continued")), "overridden", 1),
        (born(started().shown("poor_pulls", "stop")), "overridden", 1),
        (born(started().pull(descent="yes").ago(60).begins()), "late_entries", 1),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_each_reason_is_found_and_weighed(row, story, reason, talk):
    found = row(story)

    assert reason in found["reasons"].split()
    assert found["talk"] == talk


@pytest.mark.parametrize(
    ("story", "reason"),
    [
        (born(started().pull(descent="yes").pull(descent="yes")), "many_pulls"),
        (born(started().begins().detached().scalp().ready()), "detached_twice"),
        (born(started().after(minutes=16)), "long"),
        (born(started(), tear="2"), "severe_tear"),
        (born(started(), apgar=7), "low_apgar"),
        (born(started().begins().detached().scalp("bruised").ready()), "scalp"),
        (started().pull(descent="no").shown("poor_pulls", "stop").answers("poor_pulls", "stopped")
         .stopped().closed(), "overridden"),
        (born(started().shown("working_suction", "stop")), "overridden"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_lies_just_below_is_no_reason(row, story, reason):
    assert reason not in row(story)["reasons"].split()


def test_a_pull_that_was_made_after_the_start_was_asked_late(row):
    found = row(born(a_case().opened().ready().pull(descent="yes").answered_all().decided()))

    assert found["steps_late"] > 20
    assert "untimely" in found["reasons"].split()


def test_a_birth_without_a_cup_is_a_case_and_no_vacuum_birth(row, station):
    found = row(a_case().opened(post="Hill post").answered_all().decided("refer", "refer").closed())

    assert (found["attempted"], found["not_started"], found["talk"]) == (0, 1, 0)
    assert [(one["cases"], one.get("births")) for one in months(station)] == [(1, None), (1, None)]


def test_practice_has_no_row_and_no_sum(row, station):
    assert row(by_the_book().__class__(**vars(started(mode="practice")))) is None
    assert months(station) == []


def test_a_case_that_turns_out_to_be_practice_leaves_the_sums(client, tablet, station):
    events = list(started(mode="practice").events)
    case = put(tablet, started(mode="practice"))
    opening, rest = tablet.lines[0], tablet.lines[1:]
    tablet.lines[:] = [line.replace('"seq":%d,' % n, '"seq":%d,' % (n - 1)) for n, line in enumerate(rest, 2)]
    tablet.send(client)
    before = sum(one.get("cases", 0) for one in months(station))
    late = Tablet("other")
    late.ask(client)
    device_row = station.journal.write(
        lambda store: device.settle(store.connection, late.device_id, device.ADMITTED, 1)
    )
    late.lines.append(opening.replace(tablet.log, late.log))
    late.send(client)

    assert (before, device_row, len(events)) == (2, None, len(rest) + 1)
    assert sum(one.get("cases", 0) for one in months(station)) == 0
    assert summary.read(station.journal.reader, case)["mode"] == "practice"


def test_a_protocol_that_is_not_known_here_is_marked(row):
    story = by_the_book()
    lines = tuple(line.replace(story.events[0]["protocol"], "0" * 16) for line in story.lines)

    found = row(story.__class__(lines=lines))

    assert (found["protocol"], found["judged"]) == ("0" * 16, 0)


def test_sums_follow_a_case_as_it_goes_on(client, tablet, station):
    case = put(tablet, started().pull())
    tablet.send(client)
    first = months(station)
    put(tablet, a_case().after(600).stopped().closed(), case=case)
    tablet.send(client)

    assert [(one["births"], one.get("failed_yes"), one.get("closed")) for one in first] == [
        (1, None, None), (1, None, None)]
    assert [(one["births"], one["failed_yes"], one["closed"]) for one in months(station)] == [
        (1, 1, 1), (1, 1, 1)]


def test_rows_and_sums_made_again_are_the_same(client, tablet, station):
    for days, story in enumerate([by_the_book(), born(started("River post"), tear="4"), started()]):
        put(tablet, story, days=20 * days)
    tablet.send(client)
    everything = [
        [dict(one) for one in station.journal.reader.execute(f"select * from {table} order by 1, 2, 3, 4")]
        for table in ("review_case", "review_month")
    ]

    station.journal.write(lambda store: summary.rebuild(store.connection, lambda _: None))

    again = [
        [dict(one) for one in station.journal.reader.execute(f"select * from {table} order by 1, 2, 3, 4")]
        for table in ("review_case", "review_month")
    ]
    assert again == everything
    assert len(everything[0]) == 3 and len(everything[1]) > 3
    assert {name for name in everything[1][0]} == {"whole", "post", "month", "protocol", *SUMS}


def test_rows_are_made_for_what_an_older_version_left(client, tablet, station):
    put(tablet, by_the_book())
    tablet.send(client)
    connection = connect(station.journal.path)
    connection.execute("delete from review_case")
    connection.execute("delete from review_month")

    summary.catch_up(connection)
    connection.close()

    assert [one["births"] for one in months(station)] == [1, 1]


def test_a_tablet_cannot_say_that_a_case_was_talked_over(client, tablet, station, row):
    row(by_the_book())
    case = station.journal.reader.execute("select case_id from review_case").fetchone()[0]
    tablet.note("case_reviewed", "", target_case=case, by="me")
    tablet.send(client)

    assert station.journal.reader.execute("select reviewed from review_case").fetchone()[0] == 0

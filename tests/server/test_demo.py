"""The demonstration: filled once through the intake, folded as scripted, named as invented."""

import re
from dataclasses import replace

import pytest

from checklist import create_app
from checklist.audit import find_damage
from checklist.config import Settings
from checklist.core.alarm import to_show
from checklist.core.case import fold
from checklist.core.event import parse, problems
from checklist.core.limits import advise
from checklist.core.measures import measures
from checklist.demo import fill
from checklist.demo.births import BIRTHS, POSTS
from checklist.station import Post
from checklist.tables import STATIC, protocol_in_force
from tests.server.pages import PAGES, see
from tests.server.tablet import ELSEWHERE, LOCAL, Tablet

WEEKS_MS = 4 * 7 * 86_400_000
BANNER = "Invented cases"

# What each case must come to: pulls of both phases, detachments, applications, why
# stopped, what is odd about it.
SCRIPTED = {
    "easy": (2, 0, 0, 1, None, []),
    "perineal": (2, 2, 0, 1, None, []),
    "came off once": (3, 0, 1, 2, None, []),
    "came off twice": (2, 0, 2, 2, "detachments", []),
    "too long": (3, 2, 0, 1, None, []),
    "no descent": (2, 0, 0, 1, "no_descent", []),
    "head high": (0, 0, 0, 0, None, []),
    "thin air": (2, 1, 0, 1, None, []),
    "gaps": (2, 0, 0, 1, None, []),
    "corrected": (2, 1, 0, 1, None, []),
    "restart": (2, 1, 0, 1, None, []),
    "practice": (3, 0, 0, 1, "pulls", []),
}


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    """Give a filled demonstration; its tests only read it."""
    app = create_app(Settings(data=tmp_path_factory.mktemp("demo"), static=STATIC, demo=True))
    fill(app)
    yield app
    app.extensions["checklist"].journal.close()


@pytest.fixture(scope="module")
def journal(filled):
    """Give its journal."""
    return filled.extensions["checklist"].journal


@pytest.fixture(scope="module")
def told(journal):
    """Give the events of every case by the name of its script."""
    rows = journal.reader.execute("select case_id from case_summary order by opened_at").fetchall()
    names = [birth.name for birth in sorted(BIRTHS, key=lambda birth: birth.before, reverse=True)]
    return {
        name: [parse(line) for line in journal.lines_of_case(row["case_id"])]
        for name, row in zip(names, rows, strict=True)
    }


def last_stamp(events):
    """Give the stamp of the last event."""
    return {name: events[-1][name] for name in ("at", "boot", "tick")}


def kinds_of(events):
    """List the kinds in the order of the log."""
    return [event["kind"] for event in events]


def facts_of(events, kind):
    """List the facts of every event of a kind."""
    return [event["facts"] for event in events if event["kind"] == kind]


def test_a_second_start_adds_nothing(open_app, settings):
    demo = replace(settings, demo=True)
    counts = []
    for _ in range(2):
        app = open_app(demo)
        fill(app)
        reader = app.extensions["checklist"].journal.reader
        counts.append([
            reader.execute(f"select count(*) from {table}").fetchone()[0]
            for table in ("event", "device", "batch", "case_summary")
        ])

    assert counts[0] == counts[1]
    assert counts[0][3] == len(BIRTHS)


def test_every_script_is_tried():
    assert set(SCRIPTED) == {birth.name for birth in BIRTHS}


@pytest.mark.parametrize("name", SCRIPTED)
def test_a_case_folds_as_scripted(told, name):
    case = fold(told[name])

    found = measures(case, last_stamp(told[name]))
    stopped = case["stopped"] and case["stopped"]["why"]
    assert SCRIPTED[name] == (
        found["descent_pulls"], found["perineal_pulls"], found["detachments"],
        found["applications"], stopped, case["anomalies"],
    )
    assert found["clock_doubt"] == 0


@pytest.mark.parametrize("name", SCRIPTED)
def test_every_fact_is_one_that_the_table_of_kinds_knows(told, name):
    assert [problem for event in told[name] for problem in problems(event)] == []


@pytest.mark.parametrize("name", SCRIPTED)
def test_what_the_tablet_would_have_shown_was_written_down_and_nothing_else(told, name):
    events = told[name]

    for count, (event, after) in enumerate(zip(events, [*events[1:], None], strict=True), 1):
        if due_at(events[:count], event):
            assert (after["kind"], after["at"]) == ("advice_shown", event["at"])
        if after and after["kind"] == "advice_shown":
            assert after["facts"]["message"] in due_at(events[:count], after)


def due_at(events, stamp):
    """List the messages that were to be shown at the moment of an event."""
    case = fold(events)
    found = advise(case, protocol_in_force()[1], stamp)
    return [finding["message"] for finding in to_show(case, found)]


def test_the_cup_that_came_off_once_went_on_again_after_a_look_at_the_scalp(told):
    kinds = kinds_of(told["came off once"])

    off = kinds.index("cup_detached")
    assert off < kinds.index("scalp_checked") < kinds.index("cup_applied", off)
    assert "baby_born" in kinds


@pytest.mark.parametrize("name", ["came off twice", "no descent"])
def test_a_stop_leads_to_the_transfer(told, name):
    case = fold(told[name])

    assert case["advice"][-1]["level"] == "stop" and case["advice"][-1]["choice"] == "stopped"
    assert case["transfer_left"] and not case["cup_on"] and not case["baby_born"]
    assert case["closed"]["why"] == "transferred"


def test_one_pull_after_twenty_minutes_is_recorded_with_the_advice_against_it(told):
    case = fold(told["too long"])

    shown = [item for item in case["advice"] if item["message"] == "limit.cup_minutes.stop"]
    pulls_after = [pull for pull in case["pulls"] if pull["began_ms"] > shown[0]["ms"]]
    cup_on = case["applications"][0]["ms"]
    assert shown[0]["choice"] == "continued"
    assert 0 <= shown[0]["ms"] - cup_on - 20 * 60_000 < 10_000
    assert len(pulls_after) == 1 and case["baby_born"]["ms"] > pulls_after[0]["began_ms"]
    assert case["decision"]["verdict"] == "ask" and case["decision"]["role"] == "senior"


def test_the_high_head_is_referred_and_no_cup_goes_on(told):
    case = fold(told["head high"])

    assert (case["decision"]["decision"], case["decision"]["verdict"]) == ("refer", "refer")
    assert not case["applications"] and case["transfer_left"]


def test_at_the_height_of_the_posts_the_gauge_stands_at_68_kpa(told):
    case = fold(told["thin air"])

    assert case["altitude_m"] == 2400
    assert {(pull["pa"], pull["descent"]) for pull in case["pulls"][:2]} == {(68_000, "yes")}


def test_the_case_with_gaps_has_them(told):
    case = fold(told["gaps"])

    found = measures(case, last_stamp(told["gaps"]))
    assert found["unjudged_pulls"] == 2
    assert {"apgar_scored", "cup_removed", "case_closed"}.isdisjoint(kinds_of(told["gaps"]))
    assert case["decision"]["override"] and case["decision"]["verdict"] == "unknown"


def test_the_corrected_case_keeps_what_was_taken_back(told):
    case = fold(told["corrected"])

    marks = {
        mark: [row["kind"] for row in case["timeline"] if row[mark]]
        for mark in ("void", "amended", "estimated")
    }
    assert marks["void"] == ["cup_detached"]
    assert sorted(marks["amended"]) == ["baby_born", "perineum_reached"]
    assert sorted(marks["estimated"]) == ["perineum_reached", "pull_began", "pull_ended"]
    assert [pull["phase"] for pull in case["pulls"]] == ["descent", "descent", "perineal"]


def test_the_restart_is_between_two_pulls(told):
    events = told["restart"]

    assert fold(events)["restarts"] == 1
    boots = [event["boot"] for event in events if event["kind"] == "pull_began"]
    assert boots[0] != boots[1] == boots[2]


def test_the_practice_case_is_not_among_the_real_ones(told, filled):
    client = filled.test_client()
    modes = {name: events[0]["facts"]["mode"] for name, events in told.items()}

    assert {name for name, mode in modes.items() if mode == "practice"} == {"practice"}
    assert see(client, "/station/").count("/station/cases/") == len(BIRTHS) - 1
    assert see(client, "/station/?mode=practice").count("/station/cases/") == 1


def test_the_cases_lie_within_the_last_weeks(told, filled):
    now = filled.extensions["checklist"].now()

    for events in told.values():
        assert all(now - WEEKS_MS < event["at"] <= now for event in events)


def test_the_journal_is_whole(journal):
    seen = []

    assert list(find_damage(journal.reader, seen.append)) == []
    assert len(seen) == journal.reader.execute("select count(*) from event").fetchone()[0]


def test_every_log_opens_with_its_device(journal):
    rows = journal.reader.execute(
        "select line, device_id from event join log using (log_no)"
        " join device using (device_id) where seq = 1 and state = 'admitted'"
    ).fetchall()

    assert len(rows) == len(POSTS)
    for row in rows:
        event = parse(row["line"])
        assert (event["kind"], event["facts"]["device"]) == ("log_opened", row["device_id"])


def test_posts_and_labels_are_invented(journal, filled):
    rows = journal.reader.execute("select post, label from case_summary").fetchall()
    shared = filled.extensions["checklist"]

    assert {row["post"] for row in rows} == {"Three Wells", "Stone Bridge", "Upper Velinda"}
    assert all(re.fullmatch("[1-8]", row["label"]) for row in rows)
    assert shared.post == Post("Three Wells", 2400, "kpa")


def test_the_banner_is_on_every_page_of_the_station(filled, told):
    client = filled.test_client()
    case = told["easy"][0]["case"]

    for path in (*PAGES, "/station/?mode=practice", f"/station/cases/{case}"):
        assert BANNER in see(client, path)
    assert BANNER in see(client, "/station/cases/0011223344556677", 404)


def test_the_page_of_the_tablet_says_that_it_is_a_demonstration(filled):
    page = filled.test_client().get("/", environ_base=LOCAL).text

    assert 'data-demo="demo"' in page


def test_every_browser_on_this_machine_may_send_to_the_demonstration(open_app, settings):
    app = open_app(replace(settings, demo=True))
    fill(app)
    client = app.test_client()

    here = [Tablet().ask(client).status_code for _ in range(2)]

    assert here == [201, 201]
    assert Tablet().ask(client, ELSEWHERE).status_code == 202


def test_a_retired_browser_stays_retired_in_the_demonstration(open_app, settings):
    app = open_app(replace(settings, demo=True))
    client, tablet = app.test_client(), Tablet()
    tablet.ask(client)
    app.config["WTF_CSRF_ENABLED"] = False
    client.post(f"/station/devices/{tablet.device_id}/retire", environ_base=LOCAL)

    assert tablet.ask(client).status_code == 403

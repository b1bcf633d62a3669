"""The history of cases: one case in words, many cases page by page, never a scan."""

import re

import pytest

from checklist.tables import kinds
from checklist.web import history_pages
from tests.server.pages import PAGES, see

FITTING = {"int": lambda spec: spec["min"], "flag": lambda spec: True, "id": lambda spec: "0" * 32,
           "text": lambda spec: "x", "choice": lambda spec: spec["choices"][-1]}


def test_a_case_shows_what_happened_and_escapes_what_was_typed(client, tablet):
    case = tablet.open_case(label="<i>Bed</i>")
    tablet.pull(case)
    tablet.note("note_added", case, text="<script>alert(1)</script>")
    tablet.note("laser_used", case, watts=4)
    tablet.note("withdrawn", case, target_log=tablet.log, target_seq=2)
    tablet.send(client)

    page = see(client, f"/station/cases/{case}")

    assert "<script" not in page and "&lt;script&gt;" in page and "&lt;i&gt;Bed" in page
    assert "laser_used" in page and "watts: 4" in page
    assert 'data-state="withdrawn"' in page
    assert "Pull 1 began" in page


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"item": "weeks", "answer": "value", "value": 277}, "39 weeks 4 days"),
        ({"item": "fetal_heart", "answer": "value", "value": 104}, "104\u00a0/min"),
        ({"item": "weeks", "answer": "unsure"}, "Not sure"),
        ({"item": "cup_kind", "answer": "soft"}, "Soft"),
        ({"item": "cup_mm", "answer": "value", "value": 60}, "60\u00a0mm"),
        ({"item": "step_wet", "answer": "done"}, "Wet the cup: Done"),
        ({"item": "step_new", "answer": "odd"}, "new: odd"),
    ],
)
def test_an_answer_is_said_as_the_tablet_says_it(client, tablet, facts, said):
    case = tablet.open_case()
    tablet.note("check_answered", case, **facts)
    tablet.send(client)

    assert said in see(client, f"/station/cases/{case}")


def test_a_correction_says_what_it_is_about(client, tablet):
    case = tablet.open_case()
    tablet.note("cup_detached", case)
    tablet.note("withdrawn", case, target_log=tablet.log, target_seq=2)
    tablet.note("baby_born", case)
    tablet.note("amended", case, target_log=tablet.log, target_seq=4, set_sex="girl")
    tablet.note("amended", case, target_log=tablet.log, target_seq=4, set_ago=120)
    tablet.note("amended", case, target_log=tablet.log, target_seq=99, set_ago=120)
    tablet.note("amended", case, target_log=tablet.log, target_seq=4, set_sex=5)
    tablet.send(client)

    said = re.findall(r'class="said">(.*?)</span>', see(client, f"/station/cases/{case}"))

    assert [re.sub("</?bdi>", "", text) for text in said if text.startswith(("Taken", "Changed"))] == [
        "Taken back: Cup came off", "Changed: Baby born, Girl", "Changed: Baby born, 2 min earlier",
        "Changed", "Changed: Baby born, sex: 5",
    ]


def test_a_day_is_told_once_until_it_changes(client, tablet):
    case = tablet.open_case()
    for _ in range(3):
        tablet.note("hiss_heard", case)
    tablet.lines[-1] = tablet.lines[-1].replace('"at":179', '"at":189')
    tablet.send(client)

    times = re.findall(r"<time>(.*?)</time>", see(client, f"/station/cases/{case}"))

    assert [len(time) for time in times] == [19, 8, 8, 19]


def test_a_stop_that_was_shown_stands_out(client, tablet):
    case = tablet.open_case()
    for level in ("caution", "stop"):
        tablet.note("advice_shown", case, limit="pulls", level=level, message=f"limit.pulls.{level}")
    tablet.send(client)

    assert see(client, f"/station/cases/{case}").count('data-state="stop"') == 1


def test_what_has_no_end_yet_is_measured_to_the_last_entry(client, tablet):
    case = tablet.open_case()
    tablet.pull(case)
    tablet.note("pull_began", case)
    tablet.note("hiss_heard", case)
    tablet.send(client)

    # Half a minute of one pull and of the next, in a birth of a minute and a half.
    page = see(client, f"/station/cases/{case}")
    assert "1:20\u00a0min, to the last entry" in page and "0:40\u00a0min, to the last entry" in page

    tablet.note("pull_ended", case)
    tablet.note("vacuum_stopped", case, why="rule")
    tablet.note("cup_removed", case, why="stopped")
    tablet.note("case_closed", case)
    tablet.send(client)

    page = see(client, f"/station/cases/{case}")

    assert "to the last entry" not in page


def test_a_case_is_listed_by_the_bed_that_was_told_last(client, tablet):
    case = tablet.open_case(label="")
    for bed in ("3", "4", "5"):
        tablet.note("check_answered", case, item="bed", answer=bed)
    tablet.note("withdrawn", case, target_log=tablet.log, target_seq=4)
    tablet.send(client)

    assert "<bdi>4</bdi>" in see(client, "/station/")
    assert "Case 4" in see(client, f"/station/cases/{case}")


def test_a_case_that_is_not_there_is_said(client):
    assert "no such case" in see(client, "/station/cases/0011223344556677", 404)


def test_the_list_parts_real_cases_from_practice(client, tablet):
    tablet.open_case("Real bed")
    tablet.open_case("Play bed", mode="practice")
    tablet.send(client)

    real, practice = see(client, "/station/"), see(client, "/station/?mode=practice")

    assert "Real bed" in real and "Play bed" not in real
    assert "Play bed" in practice and "Real bed" not in practice
    see(client, "/station/?mode=other", 404)


def test_every_case_is_on_exactly_one_page(client, tablet, monkeypatch):
    monkeypatch.setattr(history_pages, "PAGE_SIZE", 10)
    cases = [tablet.open_case(str(number)) for number in range(35)]
    tablet.send(client)

    seen, path, pages = [], "/station/", 0
    while path:
        page = see(client, path)
        seen += re.findall(r"/station/cases/([0-9a-f]{16})", page)
        older = re.search(r'href="([^"]+)" rel="next"', page)
        path = older and older[1].replace("&amp;", "&")
        pages += 1

    assert (seen, pages) == (cases[::-1], 4)


def test_the_list_can_show_one_post(client, tablet):
    tablet.open_case("A1", post="Hill post")
    tablet.open_case("B1", post="River post")
    tablet.send(client)

    page = see(client, "/station/?post=River+post")

    assert "B1" in page and "A1" not in page


def test_no_page_scans_the_history(client, tablet, station):
    case = tablet.open_case()
    tablet.send(client)
    queries = []
    reader = station.journal.reader
    reader.set_trace_callback(queries.append)
    for path in ("/station/", "/station/?post=P&at=5&case=a", f"/station/cases/{case}", *PAGES):
        see(client, path)
    tablet.get(client, "/v1/heads")
    tablet.get(client, f"/v1/logs/{tablet.log}/events?after=0")
    reader.set_trace_callback(None)

    assert len(queries) > 10
    for query in queries:
        steps = [row["detail"] for row in reader.execute(f"explain query plan {query}")]
        scans = [step for step in steps if re.match(r"SCAN (event|batch|case_summary|leaf|log)\b", step)]
        assert not scans, (query, steps)


def test_every_kind_can_be_shown_with_few_facts_with_all_and_with_wrong_ones(client, tablet):
    case = tablet.open_case()
    for kind, row in kinds().items():
        specs = row["facts"].items()
        told = {name: FITTING[spec["type"]](spec) for name, spec in specs}
        tablet.note(kind, case, **{n: told[n] for n, spec in specs if spec.get("required")})
        tablet.note(kind, case, **told)
        tablet.note(kind, case, **{name: -5 for name in told})
    tablet.send(client)

    page = see(client, f"/station/cases/{case}")

    assert page.count("<li") > 3 * len(kinds())
    assert "Let go: 0.0\u00a0inHg" in page


@pytest.mark.parametrize("facts", [{}, {"label": 7}, {"mode": "odd", "post": True}])
def test_a_case_with_a_broken_opening_is_listed_as_real(client, tablet, facts):
    tablet.note("case_opened", "00112233aabbccdd", **facts)
    tablet.send(client)

    assert "/station/cases/00112233aabbccdd" in see(client, "/station/")
    see(client, "/station/cases/00112233aabbccdd")


def test_a_clock_that_says_nonsense_hides_nothing(client, tablet):
    case = tablet.open_case()
    tablet.note("hiss_heard", case)
    tablet.lines[-1] = tablet.lines[-1].replace('"at":17', '"at":9017')
    assert tablet.send(client).status_code == 200

    assert "9017900" in see(client, f"/station/cases/{case}")

"""The pages of the review, against small invented sets whose counts were made by hand."""

import re

import pytest

from checklist import device
from checklist.web import review_pages
from tests.server.births_told import born, by_the_book, put, started
from tests.server.pages import fill, see
from tests.stories import a_case

# The stories begin on 25 November 2025; each month later is 30 days on.
PAGES = ("", "cases", "births", "funnel", "posts")
PERIOD = "months=12&until=2026-10"

# What the set below holds, counted by hand. Hill post: four births, one of them stopped, one
# without an Apgar or a tear told; River post: two births, one torn 3b, one with Apgar 6.
# Of six births: failed 1 of 6; severe tear 1 of 4; low Apgar 1 of 4; complete 5 of 6.
BY_HAND = {
    "failed": (1, 6), "severe_tear": (1, 4), "low_apgar": (1, 4), "many_pulls": (0, 6),
    "detached_twice": (0, 6), "long": (0, 6), "scalp": (0, 0), "referred": (0, 6), "death": (0, 0),
    "timely": (6, 6), "complete": (5, 6), "late_entries": (0, 6), "override": (0, 6),
    "skipped": (0, 6), "overridden": (0, 0),
}
AT_HILL = {"failed": (1, 4), "severe_tear": (0, 2), "low_apgar": (0, 2), "complete": (3, 4)}


@pytest.fixture
def births(client, tablet):
    """Six births, one practice and one woman who was sent on without a cup."""
    stories = [
        (by_the_book(), 40), (by_the_book(), 70),
        (started().pull(descent="no").stopped("no_descent").closed(), 100),
        (born(started(), apgar=None, tear=None), 130),
        (born(started("River post"), tear="3b"), 160),
        (born(started("River post"), apgar=6), 190),
        (born(started(mode="practice"), tear="4"), 200),
        (a_case().opened(post="Hill post").answered_all().decided("refer", "refer").closed(), 210),
    ]
    cases = [put(tablet, story, days=days) for story, days in stories]
    assert tablet.send(client).status_code == 200
    return cases


def shown(page):
    """Read the table of counts: {heading: text of its first cell}."""
    rows = re.findall(r'<th scope="row">([^<]+).*?</th>\s*<td>(.*?)</td>', page, flags=re.S)
    # A later table, of births since, has the same headings: the first is the one of counts.
    return {name.strip(): re.sub(r"<[^>]+>", " ", cell).strip() for name, cell in reversed(rows)}


def names(station, of):
    return {station.pack.text(f"review.indicator.{name}"): value for name, value in of.items()}


@pytest.mark.parametrize("path", [f"?{PERIOD}", f"births?{PERIOD}"])
def test_counts_are_those_made_by_hand(client, births, station, path):
    page = shown(see(client, f"/station/review/{path}"))

    for name, (yes, n) in names(station, BY_HAND).items():
        assert page[name].startswith(f"{yes} of {n}"), name


def test_counts_of_one_post_are_of_that_post(client, births, station):
    page = shown(see(client, f"/station/review/births?{PERIOD}&post=Hill+post"))

    for name, (yes, n) in names(station, AT_HILL).items():
        assert page[name].startswith(f"{yes} of {n}"), name


def test_months_outside_the_choice_do_not_count(client, births, station):
    page = shown(see(client, "/station/review/births?months=3&until=2026-02"))

    # The first two births, of January and February, alone.
    assert page[station.pack.text("review.indicator.failed")].startswith("0 of 2")


def test_not_recorded_is_told_apart_from_no(client, births):
    page = see(client, f"/station/review/births?{PERIOD}")

    severe = re.search(r"Severe tear<span.*?</tr>", page, flags=re.S)[0]
    assert "1 of 4" in severe and "2 not recorded" in severe
    assert page.count('class="mark-gap"') > 0


def test_births_to_talk_over_come_newest_first_with_their_reasons(client, births):
    page = see(client, "/station/review/")
    listed = re.findall(r"/station/review/cases/([0-9a-f]{16})", page)

    assert listed == [births[5], births[4], births[3], births[2]]
    assert "Apgar 6 at 5 min" in page and "Tear: 3b" in page and "Vacuum stopped" in page


def test_a_sentinel_birth_stands_on_top_at_once(client, births, tablet):
    late = put(tablet, born(started().tells("baby_observed", what="scalp", answer="boggy")), days=10)
    tablet.send(client)

    page = see(client, "/station/review/")

    assert re.findall(r"/station/review/cases/([0-9a-f]{16})", page)[0] == late
    assert 'class="at-once"' in page


def test_practice_and_women_sent_on_are_not_among_births(client, births):
    page = see(client, "/station/review/births?" + PERIOD)

    assert births[6] not in page and births[7] not in page
    see(client, f"/station/review/cases/{births[6]}", 404)


def test_a_birth_that_was_talked_over_moves_to_the_other_list(client, births):
    case = births[5]
    reply = fill(client, f"/station/cases/{case}/reviewed", f"/station/review/cases/{case}")

    assert reply.status_code == 303
    assert case not in see(client, "/station/review/")
    assert case in see(client, "/station/review/cases?reviewed=1")
    assert "This birth was talked over" in see(client, f"/station/review/cases/{case}")


def test_every_birth_to_talk_over_is_on_exactly_one_page(client, births, monkeypatch):
    monkeypatch.setattr(review_pages, "PAGE_SIZE", 3)
    seen, path = [], "/station/review/cases"
    while path:
        page = see(client, path)
        seen += re.findall(r"/station/review/cases/([0-9a-f]{16})", page)
        older = re.search(r'href="([^"]+)" rel="next"', page)
        path = older and older[1].replace("&amp;", "&")

    assert seen == [births[5], births[4], births[3], births[2]]


def test_one_birth_is_told_with_drawing_steps_and_advice(client, tablet):
    story = started().pull(descent="no").pull(descent="no").shown("poor_pulls", "caution")
    story = story.shown("poor_pulls", "stop")
    story = story.answers("poor_pulls", "continued").pull().begins().detached()
    case = put(tablet, born(story.scalp().ready()))
    tablet.send(client)

    page = see(client, f"/station/review/cases/{case}")

    assert "Went on after a stop" in page
    # Only the stop was answered; what was shown beside it asks for no answer.
    assert page.count("<td>The midwife continues</td>") == page.count("<td>asks for no answer</td>") == 1
    assert page.count('class="pull-descent"') == 5
    assert "cup off" in page and 'class="stop"' in page


def test_where_no_stop_was_shown_none_could_be_gone_past(client, births):
    page = see(client, f"/station/review/cases/{births[0]}")
    facts = dict(re.findall(r"<dt>([^<]+)</dt><dd>([^<]+)</dd>", page))

    assert (facts["A stop was shown"], facts["Went on after a stop"]) == ("No", "no stop was shown")


def test_an_unknown_birth_is_said(client):
    assert "no such case" in see(client, "/station/review/cases/0011223344556677", 404)


@pytest.mark.parametrize(
    "path",
    [
        "?months=7", "?months=many", "?months=-3", "?until=2026-13", "?until=26-1", "?until=9999-01",
        "births?until=%D9%A2%D9%A0%D9%A2%D9%A6-01", "?post=" + "x" * 61, "cases?reviewed=2", "cases?weight=9",
        "cases?at=x", "cases?at=99999999999999999999", "posts?skip=-1", "posts?skip=x", "funnel?of=nurse",
    ],
)
def test_a_choice_that_cannot_be_read_is_refused_in_words(client, births, path):
    assert "cannot be read" in see(client, f"/station/review/{path}", 400)


@pytest.mark.parametrize("page", PAGES)
def test_pages_stand_while_nothing_is_held(client, page):
    assert "<h1>" in see(client, f"/station/review/{page}")


@pytest.mark.parametrize("page", [*PAGES, "births?post=Hill+post", "births?protocol=0000000000000000"])
def test_every_drawing_has_a_title_and_a_description_and_pages_no_script(client, births, page):
    text = see(client, f"/station/review/{page}")

    assert text.count("<svg") == text.count("<title") - 1 == text.count("<desc")
    for drawing in re.findall(r"<svg.*?</svg>", text, flags=re.S):
        assert 'role="img"' in drawing and 'direction="ltr"' in drawing
    assert "<script" not in text and " style=" not in text


def test_every_figure_has_its_table(client, births):
    text = see(client, f"/station/review/births?{PERIOD}") + see(client, f"/station/review/cases/{births[0]}")

    assert text.count("<figure") == text.count("<details>") == 4


def test_no_page_ranks_posts(client, births):
    page = see(client, f"/station/review/funnel?{PERIOD}&of=failed")

    assert re.findall(r"<bdi>(\w+ post)</bdi>", page) == ["Hill post", "River post"]
    assert "at least 5 posts" in page


def test_a_tablet_that_is_silent_is_named(client, births, station):
    station.journal.write(lambda store: device.rename(
        store.connection, store.connection.execute("select device_id from log join device"
        " using (device_id) where state = 'admitted'").fetchone()[0], "Red tablet"))
    station.journal.write(lambda store: store.connection.execute("update batch set received_at = 1"))

    page = see(client, "/station/review/posts")

    assert "Red tablet" in page and "has not arrived" in page and "Hill post" in page
    assert "Red tablet" in see(client, "/station/review/")


def test_more_than_one_protocol_is_noted(client, births, tablet):
    story = by_the_book()
    other = tuple(line.replace(story.events[0]["protocol"], "0" * 16) for line in story.lines)
    put(tablet, story.__class__(lines=other), days=220)
    tablet.send(client)

    assert "more than one protocol" in see(client, f"/station/review/births?{PERIOD}")
    assert "more than one protocol" not in see(
        client, f"/station/review/births?{PERIOD}&protocol={'0' * 16}")


def test_no_page_scans_the_births(client, births, station):
    reader, queries = station.journal.reader, []
    reader.set_trace_callback(queries.append)
    kept = "post=Hill+post&protocol=0000000000000000"
    for page in PAGES:
        for choice in ("", kept, kept.split("&")[0], kept.split("&")[1]):
            see(client, f"/station/review/{page}?{choice}&at=5&case=a&{PERIOD}")
    see(client, f"/station/review/cases/{births[0]}")
    reader.set_trace_callback(None)

    assert len(queries) > 50
    for query in queries:
        if not query.lstrip().lower().startswith(("select", "with")):
            continue
        steps = [row["detail"] for row in reader.execute(f"explain query plan {query}")]
        tables = r"SCAN (event|batch|case_summary|review_case|review_month|leaf|log)\b"
        walked = "limit" in query and "SCAN review_case USING INDEX review_births"
        assert not [step for step in steps if re.match(tables, step) and step != walked], (query, steps)
        if query.startswith("select * from review_case where") and "order by" in query:
            assert "TEMP B-TREE" not in " ".join(steps), (query, steps)

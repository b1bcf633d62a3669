"""Births go by the rule alone, never before the level above holds them, and never come back."""

import sqlite3

import pytest
from click.testing import CliRunner

from checklist import relay, retention, trail
from checklist.audit import find_damage
from checklist.cli import main
from checklist.errors import ChecklistError
from tests.server.near_hub import NOW, Post
from tests.server.sticks import Pair, contents
from tests.server.tablet import START_MS, Tablet

LATER = START_MS + 1000 * retention.DAY_MS
BEFORE = START_MS + 270 * retention.DAY_MS


@pytest.fixture
def pair(tmp_path):
    """Give a station whose hub holds its first birth and not its second."""
    made = Pair(tmp_path)
    made.admit()
    made.tablet.note("log_opened", device=made.tablet.device_id, why="first")
    made.post.hear(made.tablet)
    made.cases = [made.birth()]
    made.take(made.file())
    made.hand_back(made.receipt())
    made.cases.append(made.birth())
    return made


def let_go(post, before=BEFORE, *, said_alone=False, now=LATER):
    return retention.run(post.journal, before, now, said_alone=said_alone, who="Keeper")


def whole(post) -> bool:
    return list(find_damage(post.journal.reader, lambda _: None)) == []


def test_a_plan_changes_nothing_and_says_what_must_stay(pair):
    before = contents(pair.post)
    found = retention.plan(pair.post.journal.reader, BEFORE, said_alone=False)

    assert (found.cases, found.unheld) == ([pair.cases[0]], 1) and found.events == 10
    assert contents(pair.post) == before


def test_only_what_the_level_above_holds_goes_and_the_rest_stays_whole(pair):
    gone = set(pair.tablet.lines[1:11])
    let_go(pair.post)

    assert not gone & pair.post.lines()
    assert set(pair.tablet.lines) - gone <= pair.post.lines()
    rows = pair.post.journal.reader.execute("select case_id from case_summary").fetchall()
    assert [row[0] for row in rows] == pair.cases[1:] and whole(pair.post)


def test_a_birth_leaves_every_list_and_the_sums_of_its_month_stay(pair):
    before = contents(pair.post)
    let_go(pair.post)
    after = contents(pair.post)

    assert pair.cases[0] in str(before["review_case"])
    for table in ("case_summary", "review_case", "review_mark", "event"):
        assert pair.cases[0] not in str(after[table])
    assert before["review_month"] and after["review_month"] == before["review_month"]


def test_what_comes_late_is_kept_but_makes_no_other_birth_and_counts_nothing_twice(pair):
    let_go(pair.post)
    before = contents(pair.post)
    line = pair.tablet.note("note_added", pair.cases[0], text="late")
    pair.post.hear(pair.tablet, len(pair.tablet.lines))
    after = contents(pair.post)

    assert line in pair.post.lines() and whole(pair.post)
    for table in ("case_summary", "review_case", "review_month"):
        assert after[table] == before[table]
    pair.take(pair.file())
    pair.hand_back(pair.receipt(NOW + 1))
    assert pair.cases[0] in let_go(pair.post).cases and line not in pair.post.lines()


def test_no_word_of_it_lingers_in_the_file(pair):
    label = "Bed 7734"
    first = len(pair.tablet.lines) + 1
    pair.tablet.open_case(label)
    pair.post.hear(pair.tablet, first)
    pair.take(pair.file())
    pair.hand_back(pair.receipt(NOW + 1))
    let_go(pair.post)
    pair.post.journal.close()

    assert label.encode() not in pair.post.path.read_bytes()


def test_a_birth_sent_again_changes_nothing(pair):
    let_go(pair.post)
    before = contents(pair.post)

    for first, last in ((1, None), (1, 5), (2, 11), (6, 21)):
        assert pair.post.hear(pair.tablet, first, last).stored == 0
    assert contents(pair.post) == before


def test_the_log_goes_on_after_what_was_let_go(pair):
    pair.take(pair.file())
    pair.hand_back(pair.receipt(NOW + 1))
    let_go(pair.post)
    pair.birth()

    assert set(pair.tablet.lines[21:]) <= pair.post.lines() and whole(pair.post)
    taken = pair.take(pair.file())
    assert taken.stored == 10 and pair.hub.lines() >= set(pair.tablet.lines)


def test_a_session_with_the_hub_settles_after_births_were_let_go(tmp_path):
    hub, post = Post(tmp_path, "hub"), Post(tmp_path, "post")
    way, tablet = post.join(hub), post.admit(Tablet())
    for _ in range(2):
        first = len(tablet.lines) + 1
        tablet.pull(tablet.open_case(), 3)
        post.hear(tablet, first)
        assert relay.exchange(post.journal, way, NOW).settled
    assert len(let_go(post).cases) == 2
    assert relay.wanted(post.journal.reader) == []
    assert relay.exchange(post.journal, way, NOW).settled
    first = len(tablet.lines) + 1
    tablet.pull(tablet.open_case())
    post.hear(tablet, first)

    report = relay.exchange(post.journal, way, NOW)
    assert (report.settled, report.sent, report.fetched) == (True, 4, 0)
    assert set(tablet.lines) <= hub.lines()


def test_at_a_hub_births_go_only_on_the_keepers_word_and_a_file_brings_none_back(pair):
    before = contents(pair.hub)
    with pytest.raises(ChecklistError) as refused:
        let_go(pair.hub)
    assert refused.value.code == "retention_unheld" and contents(pair.hub) == before

    assert let_go(pair.hub, said_alone=True).cases == pair.cases[:1]
    assert pair.take(pair.file(everything=True)).stored == 10
    assert pair.cases[0] not in str(contents(pair.hub)["case_summary"]) and whole(pair.hub)


def test_the_keepers_word_counts_for_nothing_under_a_level_above(pair):
    assert let_go(pair.post, said_alone=True).unheld == 1


def test_of_a_forked_log_nothing_goes_until_every_branch_is_held(pair):
    twin = pair.fork()

    assert retention.plan(pair.post.journal.reader, BEFORE, said_alone=False).cases == []
    pair.take(pair.file())
    pair.hand_back(pair.receipt(NOW + 1))
    assert len(let_go(pair.post).cases) == 4 and whole(pair.post)
    assert pair.post.hear(twin).stored == pair.post.hear(pair.tablet).stored == 0


def test_one_branch_that_is_held_is_not_the_whole_of_a_forked_log(pair):
    twin = pair.tablet.twin()
    pair.birth()
    pair.take(pair.file())
    pair.hand_back(pair.receipt(NOW + 1))
    first = len(twin.lines) + 1
    twin.pull(twin.open_case("Bed 9"))
    pair.post.hear(twin, first)

    assert retention.plan(pair.post.journal.reader, BEFORE, said_alone=False).cases == []


def test_what_is_left_still_travels_by_file(pair):
    let_go(pair.post)
    left = len(pair.post.lines())
    taken = pair.take(pair.file(everything=True))

    assert taken.stored == 10 and taken.events <= left
    assert set(pair.tablet.lines) == pair.hub.lines() and whole(pair.hub)


def test_a_tablet_whose_clock_is_years_behind_loses_nothing(pair):
    late = LATER - retention.DAY_MS
    pair.post.journal.write(lambda store: store.connection.execute(
        "update batch set received_at = ?", (late,)
    ))

    assert retention.plan(pair.post.journal.reader, BEFORE, said_alone=False).cases == []


def test_what_came_in_after_the_plan_stays(pair, monkeypatch):
    found = retention.plan(pair.post.journal.reader, BEFORE, said_alone=False)
    pair.tablet.note("note_added", pair.cases[0], text="late")
    pair.post.hear(pair.tablet, len(pair.tablet.lines))
    monkeypatch.setattr(retention, "plan", lambda *_, **__: found)
    before = pair.post.lines()

    done = let_go(pair.post)
    assert (done.cases, done.unheld) == ([], 2) and pair.post.lines() == before


def test_a_run_is_written_down(pair):
    let_go(pair.post)
    reader = pair.post.journal.reader

    row = trail.page(reader)[0]
    assert (row["who"], row["what"], row["at"]) == ("Keeper", "let_go", LATER)
    assert row["target"] == f"1 10 {BEFORE}"
    run = reader.execute("select cases, events, open from retention_run").fetchone()
    assert tuple(run) == (1, 10, 0)


def test_outside_a_run_no_event_can_be_deleted(pair):
    let_go(pair.post)

    for where in ("", " where seq = 1"):
        with pytest.raises(sqlite3.IntegrityError):
            pair.post.journal.write(
                lambda store, where=where: store.connection.execute(f"delete from event{where}")
            )


def test_a_note_of_a_line_let_go_that_was_changed_is_found(pair):
    let_go(pair.post)
    pair.post.journal.write(lambda store: store.connection.execute(
        "update let_go set prev = zeroblob(32) where seq = 4"
    ))

    assert not whole(pair.post)


@pytest.mark.parametrize("age", ["30d", "89d", "730", "0d", "-5d", "2y", "99999999d"])
def test_a_slip_of_a_key_is_wrong_use(tmp_path, age):
    assert CliRunner().invoke(main, ["retain", f"--older-than={age}"]).exit_code == 2


def test_the_command_only_says_it_unless_told_to_do_it(client, tablet, settings, station):
    tablet.pull(tablet.open_case(), 2)
    tablet.send(client)
    station.journal.write(lambda store: (
        store.connection.execute("update batch set received_at = 1"),
        store.connection.execute("update case_summary set last_at = 1"),
    ))
    lines = station.journal.reader.execute("select count(*) from event").fetchone()[0]

    def run(*words):
        return CliRunner().invoke(
            main, ["retain", "--older-than", "730d", "--data", str(settings.data), *words]
        )

    assert run().exit_code == 65
    assert run("--no-level-above").output == "would let go 1 births with 7 events\n"
    assert station.journal.reader.execute("select count(*) from event").fetchone()[0] == lines
    assert "let go 1 births with 7 events" in run("--no-level-above", "--do").output
    assert station.journal.reader.execute("select count(*) from event").fetchone()[0] == lines - 7

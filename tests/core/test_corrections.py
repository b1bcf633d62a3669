"""What is taken back and what is amended, in both halves."""

import pytest

from checklist.core.corrections import in_order
from tests.judge import judged
from tests.stories import LOG, a_case, ready_to_pull

PULLED = ready_to_pull().pull(40, descent="no")


def measured(half, story):
    return judged(half, story)["measures"]


def odd(half, story):
    return [row["code"] for row in judged(half, story)["case"]["anomalies"]]


def test_a_withdrawn_event_stays_in_the_timeline_and_is_marked(half):
    case = judged(half, PULLED.withdraws(-1))["case"]

    judgement = next(row for row in case["timeline"] if row["kind"] == "descent_judged")
    assert judgement["void"] is True
    assert case["pulls"][0]["descent"] is None


def test_taking_back_a_pull_takes_it_from_the_count(half):
    number = [event["seq"] for event in PULLED.events if event["kind"] == "pull_began"][0]

    assert measured(half, PULLED)["pulls"] == 1
    assert measured(half, PULLED.withdraws(number))["pulls"] == 0


def test_a_withdrawal_can_be_withdrawn_and_that_again(half):
    once = PULLED.withdraws(-1)
    twice = once.withdraws(-1)
    thrice = twice.withdraws(-1)

    found = [measured(half, story)["poor_pulls"] for story in (PULLED, once, twice, thrice)]

    assert found == [1, 0, 1, 0]


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"target_log": LOG, "target_seq": 999}, "target_missing"),
        ({"target_log": "f" * 32, "target_seq": 1}, "target_missing"),
        ({"target_log": LOG}, "target_missing"),
        ({}, "target_missing"),
        ({"target_log": LOG, "target_seq": 1}, "target_fixed"),
    ],
)
def test_a_withdrawal_of_nothing_is_named_and_changes_nothing(half, facts, code):
    story = PULLED.tells("withdrawn", **facts)

    assert odd(half, story) == [code]
    assert measured(half, story) == measured(half, PULLED)


def test_nothing_withdraws_what_comes_after_it(half):
    later = a_case().opened().tells("withdrawn", target_log=LOG, target_seq=3).cup_on()

    assert odd(half, later) == ["target_missing"]
    assert measured(half, later)["applications"] == 1


def test_an_amendment_changes_the_fact_and_marks_the_row(half):
    story = PULLED.amends(-1, descent="yes")
    case = judged(half, story)["case"]

    assert case["pulls"][0]["descent"] == "yes"
    assert [row["kind"] for row in case["timeline"] if row["amended"]] == ["descent_judged"]


def test_the_last_amendment_counts_and_a_withdrawn_one_does_not(half):
    twice = PULLED.amends(-1, descent="yes").amends(-2, descent="unsure")

    assert judged(half, twice)["case"]["pulls"][0]["descent"] == "unsure"
    assert judged(half, twice.withdraws(-1))["case"]["pulls"][0]["descent"] == "yes"


@pytest.mark.parametrize(
    "changes",
    [{"descent": "perhaps"}, {"descent": 1}, {"mm": 50}, {}, {"descent": "yes", "mm": 50}, {"ago": -1},
     {"ago": 604_801}, {"ago": "60"}, {"at": 5}],
)
def test_an_amendment_that_does_not_fit_is_refused_whole_and_named(half, changes):
    story = PULLED.amends(-1, **changes)

    assert odd(half, story) == ["amend_refused"]
    assert measured(half, story) == measured(half, PULLED)


def test_an_amended_ago_moves_the_moment_and_marks_it_estimated(half):
    story = a_case().opened().after(300).cup_on().after(60).amends(2, ago=120)
    case = judged(half, story)["case"]

    assert case["applications"][0]["ms"] == 180_000
    assert case["estimated"] == 1
    assert measured(half, story)["cup_ms"] == 180_000


def test_an_ago_amended_to_nothing_takes_the_mark_away(half):
    story = a_case().opened().after(300).ago(120).cup_on().after(60).amends(2, ago=0)
    case = judged(half, story)["case"]

    assert (case["applications"][0]["ms"], case["estimated"]) == (300_000, 0)


def test_an_end_told_too_late_is_moved_to_where_it_was(half):
    story = ready_to_pull().after(60).begins().after(400).ends()

    assert measured(half, story)["traction_ms"] == 400_000
    assert measured(half, story.amends(-1, ago=360))["traction_ms"] == 40_000


def test_facts_of_a_wrong_type_are_left_out_of_the_case_and_named(half):
    story = a_case().opened().tells("cup_applied", cup="hard", mm=50, newer=3)
    case = judged(half, story)["case"]

    assert case["applications"][0]["cup"] is None
    assert case["applications"][0]["mm"] == 50
    assert case["timeline"][-1]["facts"] == {"mm": 50, "newer": 3}
    assert odd(half, story) == ["fact_refused"]


def test_a_kind_of_a_newer_version_is_kept_and_named(half):
    story = PULLED.tells("from_a_newer_version", what=1)

    assert odd(half, story) == ["kind_unknown"]
    assert judged(half, story)["case"]["timeline"][-1]["facts"] == {"what": 1}
    assert measured(half, story) == measured(half, PULLED)


def test_two_events_at_one_place_of_a_log_are_both_kept(half):
    one = a_case().opened().cup_on()
    other = a_case().opened().after(30).cup_on(mm=50)

    forked = {"lines": [*one.lines, other.lines[1]]}
    both_told = judged(half, type("Forked", (), {**forked, "now": other.now})())

    assert both_told["measures"]["applications"] == 2


def test_a_log_that_began_earlier_comes_first_whatever_its_name(half):
    story = a_case().writes_to("f").opened().cup_on().reboots(after=60).writes_to("0").begins()
    case = judged(half, story)["case"]

    assert [row["kind"] for row in case["timeline"]] == ["case_opened", "cup_applied", "pull_began"]


def test_lines_that_differ_only_past_the_basic_letters_stand_in_one_order(both):
    # UTF-16 puts U+1F476 before U+FFFD, UTF-8 after it.
    base = a_case().opened()
    forks = [base.tells("note_added", text=text) for text in ("\ufffd", "\U0001f476", "a")]
    events = [*base.events, *[fork.events[-1] for fork in forks]]

    python, javascript = (half.call("core/corrections", "in_order", [events]) for half in both)

    assert python == javascript == in_order(events)
    assert [event["facts"]["text"] for event in python[1:]] == ["a", "\ufffd", "\U0001f476"]

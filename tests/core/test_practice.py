"""Practice births are data: read, refused when broken, and told as one taps."""

import json

import pytest

from checklist.errors import ChecklistError
from checklist.tables import protocol_in_force
from tests import drills
from tests.drills import REST_S, begun, pulled, twice_off
from tests.stories import a_case

PROTOCOL = protocol_in_force()[1]
FORMS = {row["id"]: row for row in PROTOCOL["questions"]}


def told(half, name, story, seconds_later=0, pace=1):
    """What was told: [(row, nth)]."""
    now_ms = story.tick_ms + round(seconds_later * 1000)
    rows = half.chain(
        ("core/case", "fold", [story.events]),
        ("core/practice", "told_rows", [drills.script(name), {"previous": "step"}, now_ms, pace]),
    )
    return [(row["row"], row["nth"]) for row in rows]


def test_six_births_are_told_in_their_order():
    assert drills.names() == ["easy", "comes_off", "no_descent", "high_head", "altitude", "bleeds_later"]


@pytest.mark.parametrize("name", drills.names())
def test_a_script_is_read_alike_and_answers_every_question_with_an_answer_there_is(half, name):
    text = (drills.FOLDER / f"{name}.json").read_text(encoding="utf-8")

    script = half.call("core/practice", "read_script", [text])

    assert script == json.loads(text)
    assert set(script["answers"]) == set(drills.QUESTIONS)
    for item, given in script["answers"].items():
        known = {answer["id"] for answer in FORMS[item]["answers"]}
        assert given["answer"] in known or ("bands" in FORMS[item] and isinstance(given["value"], int))


BROKEN = [
    (lambda s: s.pop("id"), "id missing"),
    (lambda s: s.update(order="first"), "order is not a whole number"),
    (lambda s: s.pop("plan"), "plan missing"),
    (lambda s: s.pop("pulls"), "pulls missing"),
    (lambda s: s.update(pulls=["perhaps"]), "pulls unknown"),
    (lambda s: s.update(rows=[]), "missing"),
    (lambda s: s["rows"].append(s["rows"][0]), "told twice"),
    (lambda s: s["rows"][0].pop("say"), "say missing"),
    (lambda s: s["rows"][0].pop("after"), "after missing"),
    (lambda s: s["rows"][0].update(wait_s=-1), "wait_s out of range"),
    (lambda s: s["rows"][0].update(wait_s=3601), "wait_s out of range"),
    (lambda s: s["rows"][0]["after"].update(nth="second"), "nth is not a whole number"),
    (lambda s: s["rows"][0].update(expect={"kinds": []}), "expect missing"),
    (lambda s: s["rows"][0].update(expect={"kinds": ["hiss_heard"]}), "within_s is not a whole number"),
]


@pytest.mark.parametrize("spoil,why", BROKEN, ids=[why for _, why in BROKEN])
def test_a_broken_script_is_refused_with_why(half, spoil, why):
    script = drills.script("easy")
    spoil(script)

    with pytest.raises(ChecklistError) as refused:
        half.call("core/practice", "read_script", [json.dumps(script)])

    assert refused.value.code == "protocol_malformed"
    assert refused.value.facts["why"] == why


def test_a_row_is_told_from_its_second_on(half):
    story = begun("easy").begins()

    assert ("pushes", 1) not in told(half, "easy", story, 3.999)
    assert ("pushes", 1) in told(half, "easy", story, 4)


def test_short_waits_are_a_quarter_as_long(half):
    story = begun("easy").begins()

    assert ("pushes", 1) not in told(half, "easy", story, 0.999, pace=4)
    assert ("pushes", 1) in told(half, "easy", story, 1, pace=4)


def test_what_would_come_in_a_pull_is_not_told_once_it_is_over(half):
    story = begun("easy").begins().after(5).ends()

    assert ("down", 1) not in told(half, "easy", story, 60)


def test_the_next_contraction_comes_after_each_pull(half):
    story = pulled(begun("easy"))

    assert ("next_contraction", 1) not in told(half, "easy", story, REST_S - 10)
    assert ("next_contraction", 1) in told(half, "easy", story, REST_S)


def test_a_stop_ends_the_contractions_that_were_still_to_come(half):
    story = twice_off().after(10).stopped()

    assert ("next_contraction", 3) not in told(half, "comes_off", story, 600)
    assert ("stopped", 1) in told(half, "comes_off", story, 8)


def test_traction_taken_up_again_in_a_contraction_is_no_new_pull_to_tell_of(half):
    story = begun("easy").begins().after(10).ends().after(5).begins().after(30)

    rows = told(half, "easy", story)

    assert [nth for row, nth in rows if row == "pushes"] == [1]


def test_a_tap_taken_back_takes_back_what_was_told_on_it(half):
    story = begun("comes_off").begins().after(5).detached().after(6)

    assert ("scalp", 1) in told(half, "comes_off", story)
    assert ("scalp", 1) not in told(half, "comes_off", story.withdraws(-1))


@pytest.mark.parametrize("facts,gives", [
    ({"mode": "practice", "script": "easy", "pace": 4}, {"id": "easy", "pace": 4}),
    ({"mode": "practice", "script": "easy"}, {"id": "easy", "pace": 1}),
    ({"mode": "practice"}, None),
    ({"mode": "real", "script": "easy"}, None),
], ids=["short waits", "real waits", "free practice", "never in a real case"])
def test_the_script_of_a_case_is_told_at_its_opening(half, facts, gives):
    story = a_case().opened(**facts)

    found = half.chain(("core/case", "fold", [story.events]), ("core/practice", "script_of", [{"previous": "step"}]))

    assert found == gives

"""The questions before a start: every single answer, in both halves.

The rows of the shipped table are proposals (clinical-facts.md 1.2 to 1.5) until they
are signed; here it is held that nothing but a good answer to all of them is a go.
"""

from functools import cache

import pytest

from checklist.tables import protocol_in_force
from tests.examples import by_name, outcome, vectors
from tests.judge import judged
from tests.stories import a_case

PROTOCOL = protocol_in_force()[1]
QUESTIONS = {row["id"]: row for row in PROTOCOL["questions"] if not row.get("optional")}
PLAN = next(name for name, row in QUESTIONS.items() if row.get("form") == "plan")
CHOSEN = [
    (name, answer["id"], answer["verdict"])
    for name, row in QUESTIONS.items()
    for answer in row["answers"]
]
PLACES = [(place["id"], place["verdict"]) for place in QUESTIONS[PLAN]["places"]]
# What must not lead to a go, whatever the table says (clinical-facts.md 1.3).
CONTRAINDICATIONS = [
    ("baby_lies", "face_or_brow", "refer"),
    ("baby_lies", "breech", "refer"),
    ("baby_lies", "across", "refer"),
    ("cervix", "not_full", "refer"),
    ("head_station", "above", "refer"),
    ("fifths", "3", "refer"),
    ("position", "unsure", "refer"),
    ("pelvis", "tight", "refer"),
    ("moulding", "severe", "refer"),
    ("baby_bleeds", "yes", "refer"),
    ("consent", "refused", "refer"),
    ("operator", "no", "refer"),
    ("fetal_heart", "not_heard", "refer"),
    ("waters", "intact", "not_yet"),
    ("consent", "not_asked", "not_yet"),
    ("bladder", "not_yet", "not_yet"),
    ("stop_rules", "not_yet", "not_yet"),
    ("kit", "leaks", "not_yet"),
    ("big_baby", "yes", "ask"),
    ("scalp_needles", "yes", "ask"),
    ("blood_virus", "yes", "ask"),
]
RANK = ["go", "unknown", "ask", "not_yet", "refer"]


@cache
def all_answered():
    return a_case().opened().answered_all()


def weigh(half, story):
    return judged(half, story)["verdict"]


def weighed_each(half, stories):
    return [weigh(half, story) for story in stories]


@pytest.mark.parametrize("example", vectors("checks"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/checks", example["call"], [example["args"]])

    assert found == [outcome(example)]


def test_the_best_answers_to_all_questions_are_a_go(half):
    assert weigh(half, all_answered()) == {"verdict": "go", "reasons": [], "open": []}


def test_nothing_answered_leaves_every_question_open_and_is_no_go(half):
    found = weigh(half, a_case().opened())

    assert found == {"verdict": "unknown", "reasons": [], "open": list(QUESTIONS)}


@pytest.mark.parametrize("name", QUESTIONS)
def test_one_question_left_open_is_no_go(half, name):
    story = all_answered()
    number = next(
        event["seq"]
        for event in story.events
        if event["kind"] == "plan_agreed" and name == PLAN or event["facts"].get("item") == name
    )

    found = weigh(half, story.withdraws(number))

    assert found == {"verdict": "unknown", "reasons": [], "open": [name]}


@pytest.mark.parametrize(("name", "answer", "verdict"), CHOSEN)
def test_each_answer_alone_gives_the_verdict_of_its_row(half, name, answer, verdict):
    found = weigh(half, all_answered().answered(name, answer))

    assert found["verdict"] == verdict
    assert [row["question"] for row in found["reasons"]] == ([] if verdict == "go" else [name])
    assert found["open"] == []


@pytest.mark.parametrize(("place", "verdict"), PLACES)
def test_each_plan_alone_gives_the_verdict_of_its_row(half, place, verdict):
    assert weigh(half, all_answered().planned(place))["verdict"] == verdict


@pytest.mark.parametrize("name", [name for name in QUESTIONS if name != PLAN])
def test_not_sure_is_never_a_go_and_an_unknown_answer_neither(half, name):
    unsure, odd, empty = weighed_each(
        half,
        [
            all_answered().answered(name, "unsure"),
            all_answered().answered(name, "never_heard_of"),
            all_answered().answered(name, "value"),
        ],
    )

    assert unsure["verdict"] != "go"
    assert odd["verdict"] == "unknown"
    assert empty["verdict"] == "unknown"


def test_every_question_can_be_answered_with_not_sure():
    for name, row in QUESTIONS.items():
        if name != PLAN:
            assert "unsure" in [answer["id"] for answer in row["answers"]], name


@pytest.mark.parametrize(("name", "answer", "least"), CONTRAINDICATIONS)
def test_a_contraindication_is_at_least_as_grave_as_the_facts_say(half, name, answer, least):
    found = weigh(half, all_answered().answered(name, answer))

    assert RANK.index(found["verdict"]) >= RANK.index(least)


@pytest.mark.parametrize(
    ("days", "verdict"),
    [(0, "refer"), (237, "refer"), (238, "ask"), (239, "ask"), (258, "ask"), (259, "go"), (300, "go")],
)
def test_weeks_are_weighed_at_34_and_at_37(half, days, verdict):
    story = all_answered().answered("weeks", "value", value=days)

    assert weigh(half, story)["verdict"] == verdict


@pytest.mark.parametrize(("name", "answer"), [
    ("head_station", "zero"), ("head_station", "plus_one"),
    ("position", "transverse"), ("position", "posterior"),
])
@pytest.mark.parametrize(("plan", "verdict"), [
    ({"next": "theatre_here"}, "ask"),
    ({"next": "transfer", "minutes": 29}, "ask"),
    ({"next": "transfer", "minutes": 30}, "ask"),
    ({"next": "transfer", "minutes": 31}, "refer"),
    ({"next": "transfer"}, "refer"),
    ({"next": "senior_comes"}, "refer"),
    ({"next": "senior_comes", "minutes": 20}, "refer"),
])
def test_a_high_or_turned_head_needs_a_theatre_within_30_minutes(half, name, answer, plan, verdict):
    found = weigh(half, all_answered().answered(name, answer).planned(**plan))

    assert found["verdict"] == verdict


def test_the_last_answer_to_a_question_counts(half):
    worse = all_answered().answered("cervix", "not_full")

    assert weigh(half, worse)["verdict"] == "refer"
    assert weigh(half, worse.answered("cervix", "full"))["verdict"] == "go"
    assert weigh(half, worse.withdraws(-1))["verdict"] == "go"


def test_a_verdict_that_was_overridden_stays_what_it_was(half):
    story = all_answered().answered("cervix", "not_full").tells(
        "decision_made", decision="proceed", verdict="refer", override=True, role="senior"
    )

    found = judged(half, story)

    assert found["verdict"]["verdict"] == "refer"
    assert found["case"]["decision"]["override"] is True
    assert found["place"] == "cup"

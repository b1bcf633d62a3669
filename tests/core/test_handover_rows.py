"""The hand-over: what is told in which part, in both halves, and what nobody recorded."""

import pytest

from checklist.tables import protocol_in_force
from tests.stories import a_case, ready_to_pull


def handed(half, story, seconds_later: float = 0) -> list[dict]:
    """The rows of the hand-over of a story."""
    _, protocol = protocol_in_force()
    events = story.events
    case = half.call("core/case", "fold", [events])
    return half.call("core/handover", "handover", [case, protocol, story.now(seconds_later)])


def of(rows: list[dict], name: str) -> list[dict]:
    """The values of every row of this name."""
    return [row["values"] for row in rows if row["id"] == name]


def states(rows: list[dict]) -> list[str]:
    return [row["id"] for row in rows if row["id"].startswith(("state.", "need."))]


def name_of(value: dict | None) -> str | None:
    return value and value["word"]


def born_by_vacuum():
    return ready_to_pull().pull(40, "yes").after(120).begins().after(40).head_out().cup_off().born()


def seen(story, **facts: object):
    return story.after(minutes=1).tells("baby_observed", **facts)


def test_the_parts_come_in_the_order_in_which_they_are_told(half):
    rows = handed(half, born_by_vacuum())

    parts = [row["part"] for row in rows]

    assert list(dict.fromkeys(parts)) == ["s", "b", "a", "r"]
    assert parts == sorted(parts, key="sbar".index)


def test_how_things_stand_follows_from_the_case(half):
    before = a_case().opened()
    begun = ready_to_pull()
    stopped = begun.pull(40, "no").stopped()

    assert states(handed(half, before)) == ["state.before", "need.birth"]
    assert states(handed(half, before.decided("refer", "refer"))) == ["state.not_started", "need.birth"]
    assert states(handed(half, begun)) == ["state.cup_on", "need.birth"]
    assert states(handed(half, stopped)) == ["state.stopped", "need.birth"]
    assert states(handed(half, stopped.after(600).born())) == ["state.born_stopped", "need.watch"]
    assert states(handed(half, born_by_vacuum())) == ["state.born_cup", "need.watch"]
    assert states(handed(half, before.born())) == ["state.born", "need.watch"]


def test_a_red_flag_is_the_first_thing_told_and_what_is_asked_changes(half):
    rows = handed(half, seen(born_by_vacuum(), what="scalp", answer="boggy"))

    assert rows[0]["id"] == "state.suspected"
    (tier,) = of(rows, "tier")
    assert tier["tier"] == {"n": 3, "unit": ""}
    assert "newborn.row.boggy" in [why["word"] for why in tier["whys"]["all"]]
    assert of(rows, "ask.look_often") == [{"every": {"n": 15, "unit": "min"}}]
    assert not of(rows, "ask.scalp")


def test_a_baby_born_without_a_cup_has_no_tier_and_no_cup(half):
    rows = handed(half, a_case().opened().born())

    assert not of(rows, "tier") and not of(rows, "cup") and not of(rows, "pulls")


def test_counts_and_minutes_are_those_of_the_case(half):
    story = ready_to_pull().pull(40, "yes").perineum().pull(40, "no").after(100).begins().after(20).detached().scalp("bruised")
    rows = handed(half, story.after(60).stopped("choice"), seconds_later=600)

    assert of(rows, "pulls") == [{"all": {"n": 3, "unit": ""}, "perineal": {"n": 2, "unit": ""}}]
    assert of(rows, "without_descent") == [{"n": {"n": 1, "unit": ""}, "open": {"n": 0, "unit": ""}}]
    assert of(rows, "off") == [{"n": {"n": 1, "unit": ""}}]
    assert name_of(of(rows, "scalp")[0]["finding"]) == "pull.scalp.bruised"
    assert of(rows, "minutes")[0]["traction"] == {"length": 100_000}
    assert of(rows, "suction") == [{"most": {"reading": 75_000, "unit": "kpa"}}]
    assert of(rows, "stopped")[0]["ago"] == {"span": 10}


@pytest.mark.parametrize(("ends", "untold"), [
    (lambda story: story.pull(40, "unsure"), 1),
    (lambda story: story.pull(40, None), 1),
    (lambda story: story.begins().after(20).detached().scalp("whole"), 0),
    (lambda story: story.begins().after(20).ends().after(5).born(), 0),
    (lambda story: story.pull(40, "unsure").after(5).born(), 1),
])
def test_a_pull_that_nobody_asked_about_is_not_told_as_unjudged(half, ends, untold):
    rows = handed(half, ends(ready_to_pull().pull(40, "yes").after(100)))

    assert of(rows, "without_descent")[0]["open"] == {"n": untold, "unit": ""}


def test_the_deepest_suction_is_told_as_it_was_read(half):
    story = ready_to_pull().suction("working", "mmhg", 600_000).suction("working", "kpa", 70_000)

    assert of(handed(half, story), "suction") == [{"most": {"reading": 600_000, "unit": "mmhg"}}]


def test_what_nobody_recorded_is_told_as_a_gap(half):
    rows = handed(half, a_case().opened())

    gaps = [(row["id"], name) for row in rows for name, value in row["values"].items() if value is None]

    assert ("who", "bed") in gaps and ("allergy", "allergy") in gaps and ("heart", "counts") in gaps
    assert ("not_given", "medicines") in gaps and ("plan", "next") in gaps
    assert ("labour", "times") in gaps and ("blood_group", "group") in gaps
    unanswered = [row["values"] for row in rows if row["id"] == "answer"]
    assert len(unanswered) == 14 and all(values["answer"] is None for values in unanswered)


def test_not_sure_is_told_as_an_answer_and_not_as_a_gap(half):
    rows = handed(half, a_case().opened().answered("waters", "unsure"))

    answers = {values["name"]["word"]: values["answer"] for values in of(rows, "answer")}
    assert name_of(answers["before.waters.short"]) == "app.not_sure"


def test_pulls_without_a_cup_told_say_so(half):
    rows = handed(half, a_case().opened().pull(30, "no"))

    assert of(rows, "cup_untold") == [{"cup": None}]


def test_what_is_no_longer_so_is_not_told(half):
    story = born_by_vacuum().tells("medicine_given", to="mother", medicine="oxytocin", dose=10_000, unit="iu", route="im")

    assert of(handed(half, story), "given")[0]["dose"]["beside"][0] == {"dose": 10_000, "unit": "iu"}
    assert of(handed(half, story.withdraws(-1)), "given") == []
    assert of(handed(half, story.withdraws(-1)), "not_given") == [{"medicines": None}]
    amended = handed(half, story.amends(-1, dose=5_000))
    assert of(amended, "given")[0]["dose"]["beside"][0] == {"dose": 5_000, "unit": "iu"}


def test_each_sign_is_told_as_it_was_seen_last_and_what_was_not_looked_at_is_named(half):
    story = seen(seen(seen(born_by_vacuum(), what="heart", value=140), what="colour", answer="pink"), what="heart", value=150)
    rows = handed(half, story)

    found = {values["name"]["word"]: values["found"] for values in of(rows, "seen")}
    assert found["baby.name.heart"] == {"n": 150, "unit": "bpm"}
    assert name_of(found["baby.name.colour"]) == "baby.colour.pink"
    (missing,) = of(rows, "not_seen")
    names = {name["word"] for name in missing["names"]["all"]}
    assert "baby.name.scalp" in names and not names & {"baby.name.heart", "baby.name.colour"}


def test_head_sizes_come_with_their_times_and_the_guess_of_hidden_blood_with_its_share(half):
    story = seen(seen(seen(born_by_vacuum(), what="weight", value=3_000), what="head", value=340), what="head", value=350)
    rows = handed(half, story)

    (head,) = of(rows, "head")
    assert [one["beside"][0] for one in head["sizes"]["all"]] == [{"n": 340, "per": 10, "unit": "cm"}, {"n": 350, "per": 10, "unit": "cm"}]
    # 40 mL for 1 cm, of 80 mL/kg in 3 kg.
    assert of(rows, "hidden") == [{"blood": {"n": 40, "unit": "ml"}, "share": {"n": 17, "unit": "%"}}]
    assert rows[0]["id"] == "state.suspected"


def test_apgar_scores_stand_under_their_minutes_with_gaps(half):
    story = born_by_vacuum().tells("apgar_scored", minute=1, score=7)
    parts = {"heart": 2, "breathing": 2, "tone": 1, "reflex": 2, "colour": 2}
    rows = handed(half, story.tells("apgar_scored", minute=5, **parts))

    (apgar,) = of(rows, "apgar")
    assert [minute["n"] for minute in apgar["minutes"]["all"]] == [1, 5, 10]
    assert [score and score["n"] for score in apgar["scores"]["all"]] == [7, 9, None]


def test_blood_lost_is_added_up_and_each_amount_is_told(half):
    story = born_by_vacuum().tells("blood_loss_measured", ml=300, how="measured").tells("blood_loss_measured", ml=250, how="estimated")

    (loss,) = of(handed(half, story), "loss")

    assert loss["total"] == {"n": 550, "unit": "ml"}
    assert [one["beside"][0]["n"] for one in loss["amounts"]["all"]] == [300, 250]


def test_the_journey_and_the_calls_are_told_with_their_times(half):
    story = ready_to_pull().stopped().tells("help_called", what="transfer", who="assistant")
    story = story.after(300).tells("transfer_left", place="District hospital", who="midwife").after(3_600)
    rows = handed(half, story.tells("transfer_arrived", place="District hospital"))

    (called,), (left,), (arrived,) = of(rows, "called"), of(rows, "left"), of(rows, "arrived")
    assert name_of(called["what"]) == "handover.called.transfer"
    assert left["place"] == {"text": "District hospital"} and name_of(left["who"]) == "role.midwife"
    assert arrived["time"]["at"] - left["time"]["at"] == 3_600_000


def test_a_midwife_is_never_told_to_use_a_second_instrument(half):
    rows = handed(half, ready_to_pull().pull(40, "no").stopped())

    assert of(rows, "ask.second") == [{}]


def test_the_next_round_is_told_by_the_clock_of_the_birth(half):
    story = born_by_vacuum()
    rows = handed(half, story.after(minutes=5).tells("baby_observed", what="round"), seconds_later=60)

    born_at = of(rows, "born")[0]["time"]["at"]
    (coming,) = of(rows, "next.baby")
    # Tier 2, for the second stage was slow: after the round at birth comes the one at 15 min.
    assert coming["time"]["at"] == born_at + 15 * 60_000

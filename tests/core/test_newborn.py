"""How closely a baby is watched: each reason at its bound, and what raises and lowers a tier.

The bounds are the shipped ones; tests/outside holds them against publications.
"""

import pytest

from checklist.core.after_rows import MEASURES
from checklist.core.case import fold
from checklist.core.newborn import NUMBERS, SIGNS, baby_measures
from checklist.tables import protocol_in_force
from tests.judge import views
from tests.stories import a_case, ready_to_pull

ROWS = {row["id"]: row for row in protocol_in_force()[1]["newborn"]}
EASY = ready_to_pull().pull(40, "yes").head_out().cup_off().born()
POINTS = {name: 2 for name in ("heart", "breathing", "tone", "reflex", "colour")}


def cup_for(ms):
    return a_case().opened().cup_on().after(ms / 1000).born()


def pulls(count):
    story = ready_to_pull()
    for _ in range(count):
        story = story.pull(40, "yes")
    return story.born()


def detachments(count):
    story = ready_to_pull()
    for _ in range(count):
        story = story.after(60).begins().after(5).detached().after(5).scalp().ready()
    return story.born()


def answered(item, answer):
    return ready_to_pull().answered(item, answer).born()


def hard(first, descent):
    return ready_to_pull().answered("first_birth", first).pull(40, descent).born()


def apgar(score):
    return EASY.after(300).apgar(5, score=score)


def apgar_parts(colour):
    return EASY.after(300).apgar(5, **{**POINTS, "reflex": 1, "colour": colour})


def placed(placement):
    return a_case().opened().cup_on(placement=placement).born()


def weeks(days):
    return ready_to_pull().answered("weeks", "value", value=days).born()


def head_grows(by):
    return EASY.measures("head", 340).after(3600).measures("head", 340 + by)


def number(row):
    return lambda value: EASY.after(600).measures(NUMBERS[ROWS[row]["measure"]], value)


def sign(row):
    return lambda answer: EASY.after(600).sees(SIGNS[ROWS[row]["measure"]][0], answer)


# Each row: a story by its figure or answer, those that are harmless, those that are not.
EDGES = {
    "long": (cup_for, (1_199_999, 1_200_000), (1_200_001,)),
    "many_pulls": (pulls, (0, 2, 3), (4, 5)),
    "came_off": (detachments, (0, 1), (2, 3)),
    "failed": (lambda is_told: (EASY.stopped() if is_told else EASY), (False,), (True,)),
    "apgar": (apgar, (8, 9, 10), (7, 0)),
    "edge": (placed, ("flexing_median", "flexing_paramedian"), ("deflexing_median", "deflexing_paramedian")),
    "hard_first": (lambda told: hard(*told), (("first", "yes"), ("later", "no")), (("first", "no"),)),
    "turned": (lambda told: answered("position", told), ("anterior",), ("transverse", "posterior")),
    "mid": (lambda told: answered("head_station", told), ("plus_two",), ("zero", "plus_one")),
    "slow": (lambda told: answered("reason", told), ("baby", "mother", "none"), ("slow",)),
    "early": (weeks, (259, 260), (258, 238)),
    "big": (lambda told: answered("big_baby", told), ("no",), ("yes",)),
    "heavy": (number("heavy"), (3_999, 4_000), (4_001,)),
    "no_vitamin_k": (lambda s: EASY.after(s), (119 * 60 + 59.999,), (120 * 60, 120 * 60 + 0.001)),
    "head_grew": (head_grows, (-5, 0, 9), (10, 11)),
    "heart": (number("heart"), (100, 101, 159, 160), (98, 99, 161, 162)),
    "fast_breath": (number("fast_breath"), (58, 59), (60, 61)),
    "refill": (number("refill"), (2, 3), (4,)),
    "temperature": (number("temperature"), (360, 361, 374, 375), (359, 376)),
    "sugar": (number("sugar"), (26, 27), (24, 25)),
    **{
        row: (sign(row), SIGNS[told["measure"]][2], SIGNS[told["measure"]][1])
        for row, told in ROWS.items()
        if told["measure"] in SIGNS
    },
}


def met(view):
    return {reason["row"]: reason["tier"] for reason in view["watch"]["reasons"]}


def tiers(half, stories):
    return [view["watch"]["tier"] for view in views(half, stories)]


def test_every_row_has_its_boundary_examples():
    assert set(EDGES) == set(ROWS)


def test_what_a_row_may_ask_is_what_the_case_can_tell():
    story = EASY

    assert set(MEASURES) == set(baby_measures(fold(story.events), story.now()))


@pytest.mark.parametrize("row", list(EDGES))
def test_a_reason_is_met_at_its_bound_and_not_below(half, row):
    tell, harmless, grave = EDGES[row]

    found = views(half, [tell(value) for value in (*harmless, *grave)])

    assert [met(view).get(row) for view in found] == [None] * len(harmless) + [ROWS[row]["tier"]] * len(grave)
    assert all(row not in view["watch"]["unknown"] for view in found)
    assert all(view["watch"]["tier"] >= ROWS[row]["tier"] for view in found[len(harmless) :])


@pytest.mark.parametrize("row", [row for row, told in ROWS.items() if told["measure"] in (*SIGNS, *NUMBERS)])
def test_what_nobody_could_tell_is_named_and_is_no_reason(half, row):
    what = {**NUMBERS, **{name: sign[0] for name, sign in SIGNS.items()}}[ROWS[row]["measure"]]

    never, unsure = views(half, [EASY, EASY.sees(what, "unsure")])

    assert row in never["watch"]["unknown"] and row in unsure["watch"]["unknown"]
    assert row not in met(never) and row not in met(unsure)


@pytest.mark.parametrize(
    ("row", "story"),
    [
        ("apgar", EASY),
        ("apgar", EASY.apgar(1, score=3)),
        ("apgar", EASY.apgar(5, heart=2, colour=0)),
        ("apgar", EASY.apgar(5, score=9).apgar(5)),
        ("turned", answered("position", "unsure")),
        ("slow", answered("reason", "unsure")),
        ("big", answered("big_baby", "unsure")),
        ("early", answered("weeks", "unsure")),
        ("edge", placed("unsure")),
        ("hard_first", hard("unsure", "no")),
        ("head_grew", EASY.measures("head", 340)),
        ("long", a_case().opened().born()),
    ],
)
def test_a_birth_that_does_not_say_leaves_the_row_unknown(half, row, story):
    (found,) = views(half, [story])

    assert row in found["watch"]["unknown"]


def test_the_score_at_five_minutes_is_built_from_its_parts(half):
    seven, eight = views(half, [apgar_parts(0).withdraws(1), apgar_parts(1)])

    assert (met(seven).get("apgar"), met(eight).get("apgar")) == (2, None)


def test_a_low_score_is_a_reason_from_the_moment_it_was_told(half):
    at_once, late = views(half, [apgar(7), EASY.after(480).apgar(5, score=7)])

    (early_ms,), (late_ms,) = [[reason["ms"] for reason in view["watch"]["reasons"] if reason["row"] == "apgar"] for view in (at_once, late)]
    assert late_ms - early_ms == 180_000


def test_an_easy_birth_is_watched_as_every_baby_is(half):
    story = EASY.answered("reason", "baby")

    assert tiers(half, [story, story.gives("vitamin_k", to="baby").after(7_200)]) == [1, 1]


def test_a_red_flag_raises_at_once_and_stands_when_it_is_not_seen_again(half):
    before = EASY.after(600)
    flagged = before.sees("colour", "pale")

    found = tiers(half, [before, flagged, flagged.after(3600).sees("colour", "pink")])

    assert found == [2, 3, 3]


def test_a_flag_that_is_withdrawn_lowers_again(half):
    flagged = EASY.after(600).sees("colour", "pale")

    assert tiers(half, [flagged, flagged.withdraws(-1), flagged.amends(-1, answer="pink")]) == [3, 2, 2]


def test_a_flag_told_late_says_since_when(half):
    at_the_time = EASY.after(600).sees("tone", "floppy").after(900)
    told_late = EASY.after(1500).ago(900).sees("tone", "floppy")

    one, other = views(half, [at_the_time, told_late])

    assert one["watch"]["since_ms"] == other["watch"]["since_ms"]


def test_a_lowered_tier_holds_until_a_further_red_flag(half):
    lowered = EASY.after(600).sees("tone", "floppy").after(600).lowers(1)
    harmless = lowered.after(60).sees("worry", "yes").measures("weight", 4_500)
    again = harmless.after(60).measures("refill", 4)

    assert tiers(half, [lowered, harmless, again]) == [1, 1, 3]
    assert tiers(half, [again.after(60).lowers(2)]) == [2]


# The clinician did not know of it, so her word does not cover it.
def test_a_flag_seen_before_and_told_after_the_word_raises_again(half):
    lowered = EASY.after(600).sees("worry", "yes").after(600).lowers(1)

    assert tiers(half, [lowered.after(60).ago(300).sees("tone", "floppy")]) == [3]


def test_a_red_flag_told_after_a_restart_with_the_clock_set_back_outranks_the_word_before_it(half):
    lowered = EASY.after(600).sees("tone", "floppy").after(600).lowers(1)

    assert tiers(half, [lowered.after(300).reboots(after=-3_600).sees("scalp", "boggy")]) == [3]


def test_vitamin_k_for_the_mother_is_none_for_the_baby(half):
    easy = EASY.answered("reason", "baby")

    assert tiers(half, [easy.gives("vitamin_k", to=to).after(7_200) for to in ("baby", "mother")]) == [1, 2]


def test_the_reasons_are_told_though_the_tier_was_lowered(half):
    (found,) = views(half, [EASY.sees("tone", "floppy").after(600).lowers(2)])

    assert met(found)["floppy"] == 3
    assert found["watch"]["lowered"]["by"] == "doctor"
    assert found["watch"]["since_ms"] is None


def test_lowering_once_does_not_lower_twice(half):
    story = EASY.sees("tone", "floppy").after(60)

    assert tiers(half, [story.lowers(2), story.lowers(2).withdraws(-1)]) == [2, 3]
    assert tiers(half, [story.lowers(1).after(60).lowers(2)]) == [2]


@pytest.mark.parametrize(("by", "tier"), [("midwife", 1), ("senior", 1), ("doctor", 1), ("assistant", 3), ("other", 3)])
def test_only_a_clinician_lowers_a_tier(half, by, tier):
    assert tiers(half, [EASY.sees("tone", "floppy").after(60).lowers(1, by)]) == [tier]


def test_a_word_that_asks_for_no_lower_tier_changes_nothing(half):
    (found,) = views(half, [EASY.lowers(2)])

    assert (found["watch"]["tier"], found["watch"]["lowered"]) == (2, None)


@pytest.mark.parametrize("value", [-1_000, 0, 1, 100_000])
def test_a_number_that_makes_no_sense_is_never_taken_for_harmless(half, value):
    stories = [EASY.measures(what, value) for what in ("heart", "temperature")]

    assert tiers(half, stories) == [3, 3]

"""Blood that a mother lost: the sum, and from where on it asks for action, in both halves.

The bounds are the protocol's (WHO, FIGO and ICM 2025, from memory); each is tried just
below, at and above itself.
"""

import pytest

from checklist.tables import protocol_in_force
from tests.halves import PREVIOUS
from tests.stories import a_case

PROTOCOL = protocol_in_force()[1]
NUMBERS = {name: row["value"] for name, row in PROTOCOL["numbers"].items()}
BORN = a_case().opened().cup_on().cup_off().born()
WELL = {"pulse": 80, "systolic": 120, "diastolic": 80}


def lost(*amounts, **seen):
    """A birth after which so much was lost, and pulse and pressure were told as given."""
    story = BORN
    for ml in amounts:
        story = story.after(60).tells("blood_loss_measured", ml=ml)
    for what, value in seen.items():
        story = story.after(60).tells("mother_observed", what=what, value=value)
    return story


def judged(half, story):
    return half.chain(("core/case", "fold", [story.events]), ("core/bleeding", "bleeding", [PREVIOUS, PROTOCOL]))


def summed(half, story):
    return half.chain(("core/case", "fold", [story.events]), ("core/bleeding", "lost_ml", [PREVIOUS]))


def test_blood_adds_up_and_none_told_is_not_nought(half):
    assert summed(half, lost(200, 150)) == 350
    assert summed(half, lost(0)) == 0
    assert summed(half, BORN) is None


@pytest.mark.parametrize(
    ("ml", "verdict"),
    [(NUMBERS["blood_act_ml"] - 1, "none"), (NUMBERS["blood_act_ml"], "act"), (NUMBERS["blood_act_ml"] + 1, "act")],
)
def test_so_much_asks_for_action_however_she_is(half, ml, verdict):
    assert judged(half, lost(ml, **WELL)) == verdict


@pytest.mark.parametrize(
    ("what", "value", "verdict"),
    [
        ("pulse", NUMBERS["pulse_high_bpm"] - 1, "none"),
        ("pulse", NUMBERS["pulse_high_bpm"], "none"),
        ("pulse", NUMBERS["pulse_high_bpm"] + 1, "signs"),
        ("systolic", NUMBERS["systolic_low_mmhg"] - 1, "signs"),
        ("systolic", NUMBERS["systolic_low_mmhg"], "none"),
        ("systolic", NUMBERS["systolic_low_mmhg"] + 1, "none"),
        ("diastolic", NUMBERS["diastolic_low_mmhg"] - 1, "signs"),
        ("diastolic", NUMBERS["diastolic_low_mmhg"], "none"),
        ("diastolic", NUMBERS["diastolic_low_mmhg"] + 1, "none"),
    ],
)
def test_less_asks_for_action_with_abnormal_signs(half, what, value, verdict):
    seen = {**WELL, what: value}

    assert judged(half, lost(NUMBERS["blood_signs_ml"], **seen)) == verdict
    assert judged(half, lost(NUMBERS["blood_signs_ml"] - 1, **seen)) == "none"


@pytest.mark.parametrize("missing", WELL)
def test_signs_that_nobody_took_are_asked_for_and_never_in_order(half, missing):
    seen = {what: value for what, value in WELL.items() if what != missing}

    assert judged(half, lost(NUMBERS["blood_signs_ml"], **seen)) == "look"


def test_what_was_seen_last_counts_even_when_told_late(half):
    told_late = lost(NUMBERS["blood_signs_ml"], **WELL).after(600).ago(730).tells("mother_observed", what="pulse", value=140)
    told_now = lost(NUMBERS["blood_signs_ml"], **WELL).after(600).tells("mother_observed", what="pulse", value=140)

    assert (judged(half, told_late), judged(half, told_now)) == ("none", "signs")


def test_a_pulse_told_after_a_restart_with_the_clock_set_back_is_the_last(half):
    story = lost(300, **WELL).reboots(after=-3_600).tells("mother_observed", what="pulse", value=130)

    assert judged(half, story) == judged(half, lost(300, **WELL | {"pulse": 130}))
    assert judged(half, story) != judged(half, lost(300, **WELL))

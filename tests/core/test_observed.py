"""Head sizes, their growth, and the blood that may hide there, in both halves."""

import pytest

from tests.examples import by_name, vectors
from tests.halves import PREVIOUS
from tests.judge import judged
from tests.stories import a_case

BORN = a_case().opened().born()


def heads(sizes):
    story = BORN
    for size in sizes:
        story = story.after(600).measures("head", size)
    return story


@pytest.mark.parametrize("example", vectors("observed"), ids=by_name)
def test_the_examples_hold(half, example):
    assert judged(half, heads(example["sizes"]))["hidden_blood"] == example["hidden_blood"]


def test_growth_is_told_from_the_smallest_size_before(half):
    story = heads([345, 340, 338, 350, 349])

    found = half.chain(("core/case", "fold", [story.events]), ("core/observed", "head_growths", [PREVIOUS]))

    assert [one["value"] for one in found] == [0, 0, 12, 11]


def test_sizes_count_in_the_order_in_which_they_were_taken(half):
    in_turn = heads([340, 352])
    told_late = BORN.after(1200).measures("head", 352).ago(600).measures("head", 340)

    assert judged(half, told_late)["hidden_blood"] == judged(half, in_turn)["hidden_blood"] == 48


@pytest.mark.parametrize(
    ("weights", "ml"),
    [([], None), ([3_000], 240), ([3_000, 2_500], 200), ([3_012], 240), ([3_013], 241), ([0], None), ([-5], None)],
)
def test_the_blood_of_a_baby_follows_from_its_last_weight(half, weights, ml):
    story = BORN
    for weight in weights:
        story = story.after(60).measures("weight", weight)

    assert judged(half, story)["blood_volume"] == ml


# 40 mL of 256 mL are 15.6 %: never told as less than it is, on the screen and in the hand-over alike.
def test_a_share_of_the_babys_blood_is_rounded_up_and_unknown_without_a_weight(half):
    grown = heads([345, 355])

    def share(story):
        return half.chain(("core/case", "fold", [story.events]), ("core/observed", "hidden_share", [PREVIOUS]))

    assert share(grown) is None
    assert share(grown.measures("weight", 3_200)) == 16

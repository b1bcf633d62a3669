"""Turn sums of births into what may be said of them: counts, ranges, one of four verdicts.

What is compared is a post with the other posts, or a whole with its own earlier months;
never one person with another. Knows no store and no page.
"""

from dataclasses import dataclass

from checklist import statistics

MORE, FEWER = "more", "fewer"
PER_HUNDRED = 100
# Rates of which it is said how many births without an event they take. Judgement.
ASKED_RATES = (0.20, 0.10, 0.05, 0.03, 0.01)


@dataclass(frozen=True)
class Indicator:
    """One thing that is counted, and which side of the count is the worrying one."""

    id: str
    group: str
    worse: str = MORE


INDICATORS = (
    *(Indicator(name, "outcome") for name in (
        "failed", "many_pulls", "detached_twice", "long", "severe_tear", "scalp", "low_apgar",
        "referred", "death",
    )),
    Indicator("timely", "process", FEWER),
    Indicator("complete", "process", FEWER),
    *(Indicator(name, "process") for name in ("late_entries", "override", "skipped", "overridden")),
)
BY_ID = {indicator.id: indicator for indicator in INDICATORS}
PROCESS_CHARTS = ("timely", "complete")
RARE_HARMS = ("failed", "severe_tear", "scalp", "low_apgar")


def counted(indicator: Indicator, sums: dict, other: dict | None) -> dict:
    """Say what may be said of one indicator: {id, yes, n, missing, low, high, tail, verdict, …}.

    low and high are whole births in 100, None below 10 births; percent None below 20.
    other: the sums compared with, or None. other_yes and other_n tell what they were.
    """
    yes, n = _of(indicator, sums)
    other_yes, other_n = _of(indicator, other) if other else (0, 0)
    asked = sums["stop_heard_yes"] if indicator.id == "overridden" else sums["births"]
    enough = n >= statistics.FEWEST
    low, high = statistics.wilson(yes, n) if enough else (None, None)
    tail = _tail(indicator, (yes, n), (other_yes, other_n)) if enough else None
    return {
        "id": indicator.id, "group": indicator.group, "yes": yes, "n": n,
        "missing": asked - n, "other_yes": other_yes, "other_n": other_n,
        "low": low, "high": high,
        "low_in_100": _in_100(low), "high_in_100": _in_100(high),
        "percent": _in_100(yes / n) if n >= statistics.FEWEST_FOR_PERCENT else None,
        "verdict": statistics.verdict(tail, n),
    }


def without(all_sums: dict, part: dict) -> dict:
    """Take a part out of a whole: all other posts."""
    return {name: all_sums[name] - part[name] for name in all_sums}


def points(indicator: Indicator, months: list[dict]) -> list[dict]:
    """Give one point a month with births of which it was recorded: {month, yes, n, rate}."""
    found = [(row["month"], *_of(indicator, row)) for row in months]
    return [
        {"month": month, "yes": yes, "n": n, "rate": yes / n} for month, yes, n in found if n
    ]


def since_last(name: str, births: list[dict]) -> dict:
    """Count births since the last event, newest first: {since, missing, found, gaps, rate, needed}.

    since: births recorded as free of it; found: whether one was met at all in what is
    looked at; gaps: births between earlier events, newest first.
    """
    runs, run, missing = [], 0, 0
    for birth in births:
        if birth[name] is None:
            missing += not runs
        elif birth[name]:
            runs.append(run)
            run = 0
        else:
            run += 1
    since = runs[0] if runs else run
    rate = next((rate for rate in ASKED_RATES if needed(rate) > since), ASKED_RATES[-1])
    return {
        "id": name, "since": since, "missing": missing, "found": bool(runs), "gaps": runs[1:],
        "in_100": round(rate * PER_HUNDRED), "needed": needed(rate),
    }


def needed(rate: float) -> int:
    """Give how many births without an event say that it is rarer, at the level of a talk."""
    return statistics.births_needed(rate, statistics.TALK)


def funnel(indicator: Indicator, posts: list[dict]) -> dict | None:
    """Lay posts out in a funnel: {target, points, most}, or None where too few can be judged.

    points are {post, yes, n, rate, verdict} of posts with 10 births or more, by name. The
    verdict comes from the exact tail, never from the drawn line.
    """
    found = [(row["post"], *_of(indicator, row)) for row in posts]
    judged = [(post, yes, n) for post, yes, n in found if n >= statistics.FEWEST]
    if len(judged) < statistics.FEWEST_POSTS:
        return None
    target = sum(yes for _, yes, _ in judged) / sum(n for _, _, n in judged)
    return {
        "target": target,
        "most": max(n for _, _, n in judged),
        "points": [
            {"post": post, "yes": yes, "n": n, "rate": yes / n,
             "verdict": statistics.verdict(_against(indicator, yes, n, target), n)}
            for post, yes, n in judged
        ],
    }


def _against(indicator: Indicator, yes: int, n: int, target: float) -> float:
    tail = statistics.at_least if indicator.worse == MORE else statistics.at_most
    return tail(yes, n, target)


def _tail(indicator: Indicator, own: tuple[int, int], other: tuple[int, int]) -> float | None:
    if other[1] < statistics.FEWEST_TO_COMPARE:
        return None
    return statistics.tail_beside(*own, *other, fewer=indicator.worse == FEWER)


def _of(indicator: Indicator, sums: dict) -> tuple[int, int]:
    yes = sums[f"{indicator.id}_yes"]
    return yes, yes + sums[f"{indicator.id}_no"]


def _in_100(rate: float | None) -> int | None:
    return None if rate is None else round(rate * PER_HUNDRED)

"""Hold both halves against each other on made-up logs, and make what fails small."""

from collections.abc import Callable, Iterable

from tests.judge import digests, texts
from tests.logs import random_log

BATCH = 200


def disagreements(both: tuple, seeds: Iterable[int], done: Callable[[int], None]) -> list[int]:
    """Give the seeds whose logs the halves judge differently; tells how many are done."""
    found: list[int] = []
    batch: list[int] = []
    for seed in seeds:
        batch.append(seed)
        if len(batch) == BATCH:
            found += _differing(both, batch)
            done(len(batch))
            batch = []
    found += _differing(both, batch)
    done(len(batch))
    return found


def told(both: tuple, seed: int) -> str:
    """Tell a disagreement: the seed, the fewest lines that show it, and where it lies."""
    log = smallest(both, random_log(seed))
    left, right = (texts(half, [log])[0] for half in both)
    place = next((i for i, (a, b) in enumerate(zip(left, right)) if a != b), min(len(left), len(right)))
    near = slice(max(place - 80, 0), place + 80)
    lines = "\n".join(log["lines"])
    return f"seed {seed}\n{lines}\n{both[0].name}: …{left[near]}\n{both[1].name}: …{right[near]}"


def smallest(both: tuple, log: dict) -> dict:
    """Drop lines one by one for as long as the halves still disagree."""
    lines = log["lines"]
    place = 0
    while place < len(lines):
        fewer = [*lines[:place], *lines[place + 1 :]]
        if _differ(both, {**log, "lines": fewer}):
            lines = fewer
        else:
            place += 1
    return {**log, "lines": lines}


def _differ(both: tuple, log: dict) -> bool:
    left, right = (digests(half, [log]) for half in both)
    return left != right


def _differing(both: tuple, seeds: list[int]) -> list[int]:
    if not seeds:
        return []
    logs = [random_log(seed) for seed in seeds]
    left, right = (digests(half, logs) for half in both)
    return [seed for seed, a, b in zip(seeds, left, right, strict=True) if a != b]

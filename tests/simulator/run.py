"""Run one schedule and say what it broke; make a failing one small."""

from typing import NamedTuple

from tests.simulator import checks
from tests.simulator.schedule import draw
from tests.simulator.world import Violation, World


class Finding(NamedTuple):
    """A seed whose schedule broke a promise, its steps, and which promise."""

    seed: int
    shape: dict
    steps: list[tuple]
    broke: str


def play(shape: dict, steps: list[tuple]) -> str:
    """Run some steps and the quiet after them; gives what broke, or ""."""
    world = World(shape)
    try:
        for step in steps:
            world.do(step)
            checks.after_step(world)
        checks.in_the_end(world)
    except Violation as broke:
        return str(broke)
    except Exception as trace:  # whatever is not answered is a finding too
        return f"a trace: {trace!r}"
    return ""


def run(seed: int) -> Finding | None:
    """Run the schedule of a seed."""
    shape, steps = draw(seed)
    broke = play(shape, steps)
    return Finding(seed, shape, steps, broke) if broke else None


def first_failing(seeds: range) -> Finding | None:
    """Give the first seed that breaks a promise."""
    return next((found for found in map(run, seeds) if found), None)


def shrink(found: Finding) -> Finding:
    """Leave out steps, many at a time and then single ones, while something still breaks."""
    steps, broke = found.steps, found.broke
    size = len(steps)
    while size := size // 2:
        start = 0
        while start < len(steps):
            fewer = steps[:start] + steps[start + size :]
            if told := play(found.shape, fewer):
                steps, broke = fewer, told
            else:
                start += size
        if size == 1:
            break
    return found._replace(steps=steps, broke=broke)

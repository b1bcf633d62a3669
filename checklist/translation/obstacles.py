"""What keeps a text out of use, as data: whoever shows it says it in words."""

from collections.abc import Iterable
from typing import NamedTuple

from checklist.translation.checks import Finding

# How far it is, a step that a person may not take, what is wrong with it, what nobody has answered.
STATE, STEP, FAULT, QUESTION = "state", "step", "fault", "question"


class Obstacle(NamedTuple):
    """One thing that keeps a text out of use: its kind, its code, and the finding it is if a check found it."""

    kind: str
    code: str
    finding: Finding | None = None


def state(code: str) -> Obstacle:
    """Say that a text is not far enough."""
    return Obstacle(STATE, code)


def step(code: str) -> Obstacle:
    """Say that somebody may not take the next step, by the code of the refusal."""
    return Obstacle(STEP, code)


def fault(finding: Finding) -> Obstacle:
    """Say that something is wrong with a text."""
    return Obstacle(FAULT, finding.code, finding)


def question(finding: Finding) -> Obstacle:
    """Say that a question has no answer."""
    return Obstacle(QUESTION, finding.code, finding)


def before_approval(obstacles: Iterable[Obstacle]) -> list[Obstacle]:
    """Give what has to be cleared before a text can be approved: all but that it is no more than checked."""
    return [one for one in obstacles if one != state("checked")]

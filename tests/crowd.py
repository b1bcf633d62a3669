"""Hundreds of invented cases for the exports: births by the book, and tablets' worst days."""

from collections.abc import Iterator
from dataclasses import dataclass

from checklist.core.case import fold
from checklist.core.event import parse
from checklist.export.chosen import Held
from tests.logs import random_log
from tests.stories import Story

DEVICES = ("d" * 32, "e" * 32, "f" * 32)


@dataclass(frozen=True)
class Crowd:
    """Reads like the reader of a journal, from lines in memory: {case id: lines}."""

    lines: dict[str, list[str]]

    @property
    def count(self) -> int:
        """How many cases were chosen."""
        return len(self.lines)

    def cases(self) -> Iterator[Held]:
        """Give every case that is real."""
        for number, (case_id, lines) in enumerate(self.lines.items()):
            events = [parse(line) for line in lines]
            case = fold(events)
            if case["mode"] != "practice":
                yield Held(case_id, DEVICES[number % len(DEVICES)], lines, events, case)


def worst_days(seeds: range) -> Crowd:
    """Make up one case a seed, told as tablets do on their worst day."""
    return Crowd({f"{seed:016x}": random_log(seed)["lines"] for seed in seeds})


def told(*stories: Story) -> Crowd:
    """Give the cases that these stories tell."""
    return Crowd({f"{number:016x}": list(story.lines) for number, story in enumerate(stories)})

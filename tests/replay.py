"""Play a birth again as the tablet would: look at every event and at every moment between.

What is to be shown is written into the log, as the tablet does, so that later looks
know of it. Gives what was heard.
"""

from dataclasses import dataclass

from tests.judge import judged
from tests.stories import Story

LOOK_S = 20


@dataclass(frozen=True)
class Heard:
    """One thing that was said aloud."""

    seq: int
    level: str
    message: str
    pulls: int


def replay(half, words) -> tuple[Story, list[Heard]]:
    """Tell words one after another, with looks between them; gives the story and what was heard.

    A word is (seconds to wait, what it adds to the story).
    """
    story, heard = Story(), []
    for wait, word in words:
        story = _wait(half, story, wait, heard)
        story = _look(half, word(story), heard)
    return story, heard


def _wait(half, story: Story, seconds: float, heard: list[Heard]) -> Story:
    while seconds > 0:
        step = min(LOOK_S, seconds)
        seconds -= step
        story = story.after(step)
        if story.lines:
            story = _look(half, story, heard)
    return story


def _look(half, story: Story, heard: list[Heard]) -> Story:
    found = judged(half, story)
    loud = {
        finding["message"]
        for finding, sounds in zip(found["findings"], found["sounds"], strict=True)
        if sounds
    }
    for finding in found["to_show"]:
        story = story.shown(finding["limit"], finding["level"], finding["message"])
        if finding["message"] in loud:
            pulls = found["measures"]["pulls"]
            heard.append(Heard(story.seq, finding["level"], finding["message"], pulls))
    return story

"""Practice births as they are told, played by the book or with one thing done otherwise."""

from checklist.core.practice import read_script
from checklist.tables import STATIC, protocol_in_force
from tests.stories import Story, a_case

FOLDER = STATIC / "practice"
PROTOCOL = protocol_in_force()[1]
QUESTIONS = [row["id"] for row in PROTOCOL["questions"] if not row.get("optional") and row.get("form") != "plan"]
# The next contraction is told two minutes after a pull ended.
REST_S = 125


def script(name: str) -> dict:
    """Read a script of the release."""
    return read_script((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def names() -> list[str]:
    """Name the scripts in the order of the list."""
    return sorted((path.stem for path in FOLDER.glob("*.json")), key=lambda name: script(name)["order"])


def opened(name: str) -> Story:
    """Open the practice birth of a script, in real waits."""
    told = script(name)
    return a_case().opened(mode="practice", script=name, pace=1, **told["post"]).after(5)


def answered(story: Story, name: str, *, without: tuple[str, ...] = (), **other: str) -> Story:
    """Answer as the script tells it, but for what is left out or told otherwise."""
    told = script(name)
    for item in QUESTIONS:
        given = {"answer": other[item]} if item in other else told["answers"][item]
        if item not in without:
            story = story.after(2).answered(item, **given)
    return story if "plan" in without else story.after(2).planned(**told["plan"])


def applied(story: Story, *, reading: int = 75_000) -> Story:
    """Put the cup on by the book and wait for the contraction."""
    story = story.after(20).cup_on().after(5).swept().after(5).first_suction().after(5).swept()
    return story.after(5).working_suction(reading).after(5).swept().after(25)


def begun(name: str, **other: str) -> Story:
    """Answer, decide and put the cup on, up to the first contraction."""
    return applied(answered(opened(name), name, **other).after(5).decided())


def pulled(story: Story, descent: str | None = "yes", *, rest: float = 0) -> Story:
    """Pull for one contraction and judge it."""
    return story.pull(47, descent, after=rest)


def birth(story: Story) -> Story:
    """The third pull of an easy birth, and what follows it within four minutes."""
    story = story.after(REST_S).begins().after(22).head_out().after(5).cup_off().after(14).born()
    return cared(story)


def cared(story: Story) -> Story:
    """Do what is due in the first minutes."""
    story = story.after(20).tells("medicine_given", to="mother", medicine="oxytocin", dose=10_000, unit="iu", route="im")
    return story.after(50).tells("apgar_scored", minute=1, score=8).after(100)


def ended(story: Story) -> Story:
    """End the practice."""
    return story.after(5).tells("case_closed", why="other")


def easy() -> Story:
    """Two pulls of an easy birth, before the third."""
    story = pulled(begun("easy"))
    return story.after(REST_S).begins().after(47).ends().after(3).perineum().judged("yes")


def twice_off() -> Story:
    """The cup came off in two pulls; the scalp was looked at each time."""
    story = off(pulled(begun("comes_off")).after(REST_S))
    return off(applied(story).after(REST_S))


def off(story: Story) -> Story:
    """A pull in which air hisses and the cup comes off."""
    return story.begins().after(11).hiss().after(5).detached().after(8).scalp()


def called(story: Story, *, on: bool = False) -> Story:
    """Stop, take the cup off if it is on, call, and leave when the car is there."""
    story = story.after(10).stopped()
    return sent_on(story.after(5).cup_off("stop") if on else story)


def sent_on(story: Story) -> Story:
    """Call the hospital and leave."""
    return story.after(10).tells("help_called", what="transfer", who="assistant").after(40).tells("transfer_left")

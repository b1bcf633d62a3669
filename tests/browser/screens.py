"""Walk past every screen of the tablet, in any language."""

from collections.abc import Iterator

from tests.midwife import Midwife

REST_S = 60


def every_screen(midwife: Midwife) -> Iterator[str]:
    """Stand before one screen after another; gives the name of each."""
    yield "home"
    yield from _calm_pages(midwife)
    midwife.start()
    while question := midwife.question():
        yield f"before {question}"
        midwife.answer_one(question)
    yield "verdict"
    midwife.tap("app.back")
    yield "before, all answered"
    midwife.press(midwife.page.locator("[data-key=verdict]"))
    midwife.decide()
    yield from _cup(midwife)
    yield from _pulls(midwife)
    yield from _ends(midwife)


def _calm_pages(midwife: Midwife) -> Iterator[str]:
    for page in ("cases", "settings"):
        midwife.tap(f"home.{page}")
        yield page
        midwife.tap("app.back")


def _cup(midwife: Midwife) -> Iterator[str]:
    yield "cup kind"
    midwife.tap("cup.kind.rigid_posterior")
    yield "cup size"
    midwife.press(midwife.labelled(midwife.words.quantity(50, "mm")))
    yield "cup wet"
    midwife.tap("cup.done")
    yield "cup in"
    midwife.tap("cup.done")
    yield "cup place"
    midwife.place()
    yield "cup sweep"
    midwife.tap("cup.unclear")
    yield "cup caught"
    midwife.sweep()
    yield "cup first suction"
    midwife.first_suction()
    yield "cup sweep after first"
    midwife.sweep()
    yield "cup working suction"
    midwife.tap("cup.other_value", redraws=False)
    yield "cup other reading"
    midwife.type(72)
    yield "cup last sweep"
    midwife.sweep()


def _pulls(midwife: Midwife) -> Iterator[str]:
    yield "pull waiting"
    midwife.begin_pull()
    midwife.wait(30)
    yield "pull pulling"
    midwife.end_pull()
    yield "pull judge"
    midwife.judge("no")
    midwife.wait(1)
    yield "pull caution"
    midwife.tap("pull.hiss")
    yield "pull hiss"
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(20)
    midwife.detach()
    yield "pull scalp"
    midwife.check_scalp()
    midwife.apply()
    midwife.wait(REST_S)
    midwife.pull(20, "perineum")
    midwife.wait(1)
    yield "pull perineal"
    midwife.tap("pull.fetal_heart")
    yield "pull heart"
    midwife.tap("app.cancel")
    midwife.press(midwife.key("pull.see_log"))
    yield "log"
    midwife.tap("log.missed_pull")
    yield "log missed"
    midwife.tap("app.back")


def _ends(midwife: Midwife) -> Iterator[str]:
    midwife.ask_to_stop()
    yield "stop chosen"
    midwife.tap("stop.choose_back")
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(10)
    midwife.detach()
    midwife.wait(1)
    yield "stop standing"
    midwife.go_on()
    midwife.check_scalp()
    midwife.tap("app.back")
    yield "home with a case"
    midwife.go_back_to_the_case()
    midwife.apply()
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(5)
    yield "pull against a stop"
    midwife.head_out()
    yield "pull head out"
    midwife.cup_off()
    midwife.born()
    yield "after"
    midwife.tap("after.record")
    yield "record"

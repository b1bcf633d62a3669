"""Stand before everything that can be printed, in any language: the card, the record, the hand-over."""

from collections.abc import Iterator

from tests.midwife import TABLET, Midwife

# A4 at 96 px to the inch, less the margins of the widest sheet.
SHEET = {"width": 718, "height": 1046}


def every_paper(midwife: Midwife) -> Iterator[str]:
    """Stand before one paper after another; gives the name of each."""
    midwife.tap("home.settings")
    midwife.press(midwife.page.locator("[data-key=card]"))
    midwife.expect_screen("card")
    yield "card"
    midwife.tap("app.back")
    midwife.tap("app.back")
    midwife.start()
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(40, "no")
    midwife.wait(70)
    midwife.begin_pull()
    midwife.wait(20)
    midwife.detach()
    midwife.check_scalp()
    midwife.apply()
    midwife.pull(40, "perineum")
    midwife.wait(60)
    midwife.begin_pull()
    midwife.wait(20)
    midwife.head_out()
    midwife.cup_off()
    midwife.born()
    midwife.tap("after.record")
    midwife.page.locator(".record h2").first.wait_for()
    yield "record"
    midwife.tap("app.back")
    midwife.press(midwife.page.locator("[data-key=handover]"))
    midwife.expect_screen("handover")
    midwife.page.locator("[data-row]").first.wait_for()
    yield "handover"


def as_paper(midwife: Midwife) -> dict:
    """Lay the page out as on a sheet and look at it."""
    page = midwife.page
    page.emulate_media(media="print")
    page.set_viewport_size(SHEET)
    looked = page.evaluate("look()")
    page.emulate_media(media="null")
    page.set_viewport_size(TABLET)
    page.evaluate("window.dispatchEvent(new Event('resize'))")
    return looked

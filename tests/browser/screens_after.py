"""Walk past the screens beside and after a birth, in any language: practice, kit, PIN, the hours after."""

from collections.abc import Iterator

from playwright.sync_api import Locator

from tests.browser.days import NUMBERS, WELL, last_pull
from tests.midwife import Midwife

PIN = "0407"
PARTS = ("heart", "breathing", "tone", "reflex")
HOUR_S = 3600


def every_screen_after(midwife: Midwife) -> Iterator[str]:
    """Stand before one screen after another; gives the name of each."""
    yield from _kit(midwife)
    yield from _pin(midwife)
    yield from _practice(midwife)
    yield from _birth(midwife)
    yield from _baby(midwife)
    yield from _mother(midwife)
    yield from _red_flag(midwife)
    yield from _stopped(midwife)


def data_key(midwife: Midwife, name: str) -> Locator:
    """Find a key by its name in the page."""
    return midwife.page.locator(f'[data-key="{name}"]')


def tap_key(midwife: Midwife, name: str, *, redraws: bool = True) -> None:
    """Tap a key by its name in the page."""
    midwife.press(data_key(midwife, name), redraws=redraws)


def _kit(midwife: Midwife) -> Iterator[str]:
    midwife.press(data_key(midwife, "kit"))
    midwife.expect_screen("kit")
    yield "kit"
    midwife.tap("kit.pump_holds.read")
    yield "kit, pump read"
    midwife.type(80)
    yield "kit, pump waits"
    midwife.wait(61)
    midwife.type(70)
    yield "kit, pump lost"
    midwife.tap("app.back")


def _pin(midwife: Midwife) -> Iterator[str]:
    midwife.tap("home.settings")
    midwife.tap("settings.pin.set")
    yield "settings, PIN typed"
    for _ in range(2):
        _type_pin(midwife, PIN)
    yield "settings, PIN set"
    midwife.tap("app.back")
    midwife.wait(HOUR_S / 10)
    midwife.tap("home.cases")
    yield "locked"
    for _ in range(3):
        _type_pin(midwife, "1234")
    yield "locked, waits"
    midwife.tap("app.back")


def _type_pin(midwife: Midwife, digits: str) -> None:
    for digit in digits:
        midwife.page.get_by_role("button", name=digit, exact=True).click()
    old = midwife.key("keypad.ok").element_handle()
    midwife.press(midwife.key("keypad.ok"), redraws=False)
    old.wait_for_element_state("hidden")


def _practice(midwife: Midwife) -> Iterator[str]:
    midwife.tap("home.practice")
    yield "practice"
    tap_key(midwife, "play-no_descent")
    midwife.expect_screen("before")
    yield "practice before"
    midwife.answer_all()
    yield "practice verdict"
    midwife.decide()
    yield "practice cup"
    midwife.apply()
    midwife.wait(26)
    yield "pull, practice"
    midwife.pull(47, "no")
    midwife.wait(1)
    yield "pull, practice caution"
    midwife.wait(122)
    midwife.pull(47, "no")
    midwife.wait(1)
    yield "stop, practice"
    midwife.hold(midwife.key("practice.end"))
    midwife.expect_screen("debrief")
    midwife.page.locator("[data-fault]").first.wait_for()
    yield "debrief"
    midwife.tap("app.back")
    midwife.expect_screen("practice")
    midwife.tap("app.back")


def _birth(midwife: Midwife) -> Iterator[str]:
    midwife.start()
    midwife.answer_all(bed="5")
    midwife.tap("app.back")
    midwife.expect_screen("before")
    midwife.tap("app.back")
    midwife.expect_screen("home")
    midwife.start()
    midwife.answer_all(bed="2")
    midwife.decide()
    midwife.apply()
    for descent in ("yes", "perineum", "yes"):
        midwife.pull(40, descent)
        midwife.wait(90)
    last_pull(midwife)
    yield "after, just born"
    midwife.wait(130)
    yield "after, late"
    midwife.tap("app.back")
    midwife.expect_screen("home")
    yield "home, due and two open"
    midwife.press(midwife.page.locator("[data-key^=due-]").first)
    midwife.expect_screen("after")


def _item(midwife: Midwife, name: str) -> None:
    midwife.press(midwife.page.locator(f'[data-item="{name}"] button').first)


def _baby(midwife: Midwife) -> Iterator[str]:
    _item(midwife, "apgar_1")
    tap_key(midwife, "heart-2")
    yield "apgar, one part told"
    for part in ("breathing", "tone", "reflex"):
        tap_key(midwife, f"{part}-2")
    tap_key(midwife, "colour-1")
    midwife.wait(300)
    _item(midwife, "apgar_5")
    midwife.tap("after.apgar_sum")
    yield "apgar, sum"
    tap_key(midwife, "points-6")
    _item(midwife, "baby_round")
    yield "baby scalp"
    midwife.tap(f"baby.scalp.{WELL['scalp']}")
    yield "baby swelling"
    for step, answer in list(WELL.items())[1:]:
        if step == "breathing":
            yield "baby breathing"
        midwife.tap(f"baby.{step}.{answer}")
    yield "baby number"
    for number in NUMBERS:
        midwife.type(number)
    midwife.type(345)
    yield "after, round done"
    _item(midwife, "weight")
    yield "weight"
    midwife.type(3200)
    midwife.press(midwife.page.locator("[data-key=tier]"))
    yield "tier"
    midwife.tap("after.to_lanes")


def _mother(midwife: Midwife) -> Iterator[str]:
    _item(midwife, "placenta")
    yield "placenta"
    midwife.tap("after.placenta.yes")
    _item(midwife, "blood_loss")
    yield "blood"
    tap_key(midwife, "ml-350")
    tap_key(midwife, "ml-350")
    yield "blood, too much"
    midwife.tap("after.to_lanes")
    _item(midwife, "tear")
    yield "rectal"
    midwife.tap("mother.rectal_exam.not_done")
    yield "tear"
    midwife.tap("mother.tear.2")
    _item(midwife, "antibiotic")
    yield "allergy"
    midwife.tap("after.allergy.yes")
    _item(midwife, "antibiotic")
    yield "antibiotic warned"
    midwife.tap("after.to_lanes")
    _item(midwife, "void")
    yield "void"
    midwife.tap("after.to_lanes")
    _item(midwife, "mother_round")
    yield "mother round"
    midwife.tap("mother.bleeding.usual")
    yield "mother round, two"
    midwife.tap("after.round_end")


def _red_flag(midwife: Midwife) -> Iterator[str]:
    midwife.wait(HOUR_S)
    yield "after, an hour"
    _item(midwife, "baby_round")
    midwife.tap("baby.scalp.boggy")
    yield "transfer"
    midwife.tap("newborn.call")
    midwife.tap("newborn.vitamin_k_now")
    midwife.tap("newborn.leaves")
    yield "transfer, left"
    midwife.press(midwife.page.locator("[data-key=tier]"))
    yield "tier, red"
    midwife.tap("after.to_lanes")
    yield "after, red"
    midwife.tap("app.back")
    yield "home, red"


def _stopped(midwife: Midwife) -> Iterator[str]:
    midwife.press(midwife.page.locator("[data-key^=open-]").first)
    midwife.wait(1)
    if midwife.page.locator("body").get_attribute("data-page") != "verdict":
        midwife.press(data_key(midwife, "verdict"))
    midwife.decide()
    midwife.apply()
    midwife.ask_to_stop()
    yield "stop, asked"
    midwife.stop()
    yield "stop, chosen"
    for name in ("called", "leaves"):
        found = midwife.page.locator(f"[data-key={name}]")
        if found.count():
            midwife.press(found)
    yield "stop, on the way"

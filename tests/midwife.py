"""Tap through a birth as a person does: by what the keys say, in any language.

A tap is over when what it recorded is durable and the screen has been drawn anew, so that a test never runs ahead of the disk.
"""

import math

from playwright.sync_api import ElementHandle, Locator, Page, expect

from checklist.language import SOURCE, Pack, load
from checklist.tables import TRANSLATIONS
from tests.answers import ANSWERS
from tests.labels import pattern
from tests.pace import SETTLE_MS, Pace
from tests.touch import PATIENCE_MS, touch

TABLET = {"width": 768, "height": 1024}
HOLD_S = 1.6
LOOK_MS = 10


class Midwife:
    """Two hands at one page, whose clock is the test's: `driven` when it stands still, else it runs and is moved on while they rest."""

    def __init__(self, page: Page, words: Pack | None = None, *, driven: bool = False) -> None:
        self.page = page
        self.words = words or load(TRANSLATIONS, SOURCE)
        self._driven = driven
        self._pace = Pace()

    def key(self, name: str) -> Locator:
        """Find the key that bears the words of this id."""
        text = self.words.messages[name]
        found = self.labelled(text)
        # Where "no" also begins "not sure", the whole label decides.
        return found if found.count() <= 1 else self.page.locator("button", has=self.page.locator(".label", has_text=pattern(text, whole=True)))

    def labelled(self, text: str) -> Locator:
        """Find the key that says this."""
        return self.page.get_by_role("button", name=pattern(text))

    def heading(self) -> str:
        """Read the heading of the screen."""
        return " ".join(self.page.get_by_role("heading", level=1).inner_text().split())

    def counts(self) -> dict[str, int]:
        """Read the three numbers: {pulls, minutes, detachments}."""
        names = ("pulls", "minutes", "detachments")
        return {name: int(self.page.locator(f"[data-count={name}] bdi").inner_text()) for name in names}

    def expect_screen(self, name: str) -> None:
        """Wait for a screen."""
        expect(self.page.locator(f"body[data-page={name}]")).to_be_attached(timeout=PATIENCE_MS)

    def expect_kept(self) -> None:
        """Wait until nothing is on its way to the disk; a browser that draws no frame keeps all the same."""
        # To ask is a fifth of the work of an expectation, and mostly enough.
        if self.page.evaluate("'saving' in document.body.dataset"):
            self.page.wait_for_function("() => !('saving' in document.body.dataset)", polling=LOOK_MS, timeout=PATIENCE_MS)

    # ---- what she does ----

    def tap(self, name: str, *, kept: bool = True, redraws: bool = True) -> None:
        """Tap the key with the words of this id."""
        named = self.labelled(self.words.messages[name])
        found = named.element_handles()
        # One look for one key; whatever is not there yet, or there twice, takes the longer way.
        self._press(*((named, found[0]) if len(found) == 1 else self._seen(self.key(name))), kept, redraws)

    def press(self, key: Locator, *, kept: bool = True, redraws: bool = True) -> None:
        """Tap a key; with `redraws` wait until the screen no longer shows the old one."""
        self._press(*self._seen(key), kept, redraws)

    def _seen(self, key: Locator) -> tuple[Locator, ElementHandle]:
        return key, key.element_handle(timeout=PATIENCE_MS)

    def _press(self, key: Locator, old: ElementHandle, kept: bool, redraws: bool) -> None:
        while (rest := self._pace.rest(old)) > 0:
            self._rest(math.ceil(rest))
            # What was waited for may have drawn the key anew.
            _, old = self._seen(key)
        touch(key)
        # Every question is a round trip to the page: two are asked at once, and only what is not so yet is waited for.
        now, is_saving = self.page.evaluate("[performance.now(), 'saving' in document.body.dataset]")
        self._pace.tapped(now)
        if kept and is_saving:
            self.expect_kept()
        self.lift()
        if redraws and old.evaluate("(key) => key.isConnected"):
            old.wait_for_element_state("hidden", timeout=PATIENCE_MS)

    def _rest(self, ms: int) -> None:
        self.page.clock.run_for(ms)

    def lift(self) -> None:
        """The finger leaves the glass: a driven clock must let that happen."""
        if self._driven:
            self.page.clock.run_for(1)

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        if not self._driven:
            self.page.wait_for_timeout(seconds * 1000)
            return
        # Far moments are jumped to; near the end every look takes place.
        self.expect_kept()
        if seconds > 5:
            self.page.clock.fast_forward(round((seconds - 2) * 1000))
            seconds = 2
            self.expect_kept()
        self.page.clock.run_for(round(seconds * 1000))
        self.expect_kept()
        self.lift()

    def hold(self, key: Locator) -> None:
        """Hold a key until it has filled."""
        self._rest(SETTLE_MS)
        key.evaluate("(key) => key.scrollIntoViewIfNeeded()", timeout=PATIENCE_MS)  # The driver's own way waits for frames.
        box = key.bounding_box()
        self.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.page.mouse.down()
        self.wait(HOLD_S)
        self.page.mouse.up()
        self.lift()
        self.expect_kept()

    def start(self, bed: str | None = None) -> None:
        """Open a case; with a bed, answer that first question too."""
        self.tap("home.start")
        self.expect_screen("before")
        if bed:
            self._answer("bed", bed, self.heading())

    def answer_all(self, until: str | None = None, **told: object) -> None:
        """Answer every question that is asked, up to one of them; `told` by question id."""
        while (question := self._asked(asked := self.heading())) not in (None, until):
            answer = told.get(question)
            self._answer(question, ANSWERS[question] if answer is None else answer, asked)

    def answer_one(self, question: str, answer: object = None) -> None:
        """Answer the question that is asked, well unless told otherwise."""
        self._answer(question, ANSWERS[question] if answer is None else answer, self.heading())

    def question(self) -> str | None:
        """Tell which question is asked, by its words."""
        return self._asked(self.heading())

    def _asked(self, heading: str) -> str | None:
        return next((name for name in ANSWERS if " ".join(self.words.text(f"before.{name}.ask").split()) == heading), None)

    def _answer(self, question: str, answer: object, asked: str) -> None:
        if question == "bed":
            self.press(self.labelled(str(answer)))
        elif question == "weeks" and isinstance(answer, tuple):
            self.type(answer[0], redraws=False)
            self.press(self.labelled(f"{answer[0]}+{answer[1]}"))
        elif question == "fetal_heart" and isinstance(answer, int):
            self.type(answer)
        elif question == "plan":
            self._agree(*answer)
        else:
            self.tap(f"before.{question}.{answer}")
        expect(self.page.get_by_role("heading", level=1)).not_to_have_text(asked, timeout=PATIENCE_MS)

    def type(self, number: int, *, redraws: bool = True) -> None:
        """Type a number on the keypad of the page."""
        for digit in str(number).replace(".", self.words.decimal):
            touch(self.page.get_by_role("button", name=digit, exact=True))
        self.tap("keypad.ok", redraws=redraws)

    def _agree(self, following: str, minutes: int = 0, who: str = "assistant") -> None:
        far = following in ("transfer", "senior_comes")
        self.tap(f"before.plan.{following}", redraws=not far)
        if far:
            self.press(self.page.locator(f"[data-key=minutes-{minutes}]"), redraws=False)
            self.tap(f"role.{who}")

    def decide(self) -> None:
        """Go on as the verdict allows."""
        self.tap("before.go")
        self.expect_screen("cup")

    def choose_to_override(self, role: str = "midwife", reason: str = "baby_now") -> Locator:
        """Open the list, choose who starts against the verdict and why; gives the key to hold."""
        self.press(self.page.locator("[data-key=verdict]"))
        self.tap("before.start_anyway")
        self.tap(f"role.{role}")
        self.tap(f"before.why.{reason}")
        return self.key("before.override_hold")

    def start_at_once(self) -> None:
        """Open a case and start with nothing answered: possible, and recorded."""
        self.start()
        self.hold(self.choose_to_override())
        self.expect_screen("cup")

    def choose_cup(self, kind: str = "soft", mm: int = 60) -> None:
        """Take a cup, wet it, bring it in."""
        self.tap(f"cup.kind.{kind}")
        self.press(self.labelled(self.words.quantity(mm, "mm")))
        self.tap("cup.done")
        self.tap("cup.done")

    def place(self, where: str = "flexing_median") -> None:
        """Lay the cup on: the clock of the cup starts."""
        self.tap(f"cup.placement.{where}")

    def sweep(self) -> None:
        """Go round the rim with a finger; it is clear."""
        self.tap("cup.clear")

    def first_suction(self, thousandths: int = 20_000, unit: str = "kpa") -> None:
        """Set the first stage."""
        self.press(self.labelled(self.words.reading(unit, thousandths)))

    def working_suction(self, thousandths: int = 80_000, unit: str = "kpa") -> None:
        """Set the second stage."""
        self.press(self.labelled(self.words.reading(unit, thousandths)))

    def apply(self) -> None:
        """Put the cup on in all its steps, from the choice to the last sweep."""
        self.choose_cup()
        self.place()
        self.sweep()
        self.first_suction()
        self.sweep()
        self.working_suction()
        self.sweep()
        self.expect_screen("pull")

    def begin_pull(self) -> None:
        """A pull begins."""
        self.tap("pull.pull")

    def end_pull(self) -> None:
        """The pull that goes on ends."""
        self.tap("pull.pulling")

    def judge(self, descent: str) -> None:
        """Say whether the head came down: yes, no, unsure, or perineum."""
        self.tap({"yes": "app.yes", "no": "app.no", "unsure": "app.not_sure", "perineum": "pull.to_perineum"}[descent])

    def pull(self, seconds: float = 1, descent: str | None = "yes") -> None:
        """One whole pull, judged."""
        self.begin_pull()
        self.wait(seconds)
        self.end_pull()
        if descent:
            self.judge(descent)

    def detach(self) -> None:
        """The cup comes off."""
        self.tap("pull.detached")

    def check_scalp(self, finding: str = "whole") -> None:
        """Look at the scalp."""
        self.tap(f"pull.scalp.{finding}")

    def head_out(self) -> None:
        """The head is born."""
        self.tap("pull.head_out")

    def cup_off(self) -> None:
        """Suction to zero, cup off."""
        self.tap("pull.cup_off")

    def born(self) -> None:
        """The baby is born."""
        self.tap("pull.born")
        self.expect_screen("after")

    def undo(self) -> None:
        """Take back the last tap."""
        self.tap("app.undo")

    def ask_to_stop(self) -> None:
        """Open the stop from the live screen."""
        self.tap("pull.stop")
        self.expect_screen("stop")

    def stop(self) -> None:
        """Choose to stop."""
        self.tap("stop.choose_stopped")

    def go_on(self) -> None:
        """Go on against the advice."""
        self.tap("stop.choose_continue")

    def tell_missed(self, minutes: int) -> None:
        """Tell a pull that nobody tapped."""
        self.press(self.labelled(self.words.text("log.minutes_ago", n=minutes)))

    def go_back_to_the_case(self) -> None:
        """From the first screen to where the birth is."""
        self.press(self.page.get_by_role("button", name=pattern(self.words.text("home.go_back"), begins=False)))

    def close(self) -> None:
        """Close the case."""
        self.hold(self.key("after.close"))
        self.expect_screen("home")

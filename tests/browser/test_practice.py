"""Each practice birth is played to its end on the usual screens, with a driven clock and no network."""

import pytest
from playwright.sync_api import expect

from tests.answers import ANSWERS
from tests.browser.app import WORDS, expect_begun, kept_events, midwife, station  # noqa: F401
from tests.drills import names, script
from tests.midwife import PATIENCE_MS

REST_S = 122
FIRST_S = 26


def play(midwife, name):
    """Choose a birth from the list, with no network, and see what is told at once."""
    midwife.tap("home.practice")
    midwife.expect_screen("practice")
    title = WORDS.text(f"practice.script.{name}.title")
    midwife.press(midwife.labelled(WORDS.text("practice.play", n=names().index(name) + 1, title=title)))
    midwife.expect_screen("before")
    expect_told(midwife, f"opening_{name}")


def expect_told(midwife, row):
    """Wait until the line tells this."""
    told = midwife.page.get_by_role("status").get_by_text(WORDS.text(f"practice.tell.{row}"), exact=True)
    line = midwife.page.get_by_text(WORDS.text(f"practice.tell.{row}"), exact=True)
    expect(told.or_(line).first).to_be_visible(timeout=PATIENCE_MS)


def truths(name):
    """Give what the script finds, as hands answer it."""
    told = script(name)
    found = {item: given.get("value", given["answer"]) for item, given in told["answers"].items()}
    weeks = divmod(found["weeks"], 7)
    return ANSWERS | found | {"weeks": weeks, "plan": (told["plan"]["next"], told["plan"]["minutes"], "assistant")}


def begin(midwife, name, working=80_000):
    """Answer as it is told, start, and put the cup on."""
    play(midwife, name)
    midwife.answer_all(**truths(name))
    midwife.decide()
    midwife.choose_cup()
    midwife.place()
    midwife.sweep()
    midwife.first_suction()
    midwife.sweep()
    midwife.working_suction(working)
    midwife.sweep()
    midwife.expect_screen("pull")
    midwife.wait(FIRST_S)
    expect_told(midwife, "contraction")


def end(midwife):
    """End the practice from its line."""
    midwife.hold(midwife.key("practice.end"))
    midwife.expect_screen("debrief")
    expect(midwife.page.get_by_role("heading", name=WORDS.text("debrief.faults"))).to_be_visible(timeout=PATIENCE_MS)


def faults(midwife):
    """Read what the debrief says was done otherwise."""
    return [row.get_attribute("data-fault") for row in midwife.page.locator("[data-fault]").all()]


def give_birth(midwife):
    """Three pulls, as an easy birth is told."""
    midwife.pull(47, "yes")
    midwife.wait(REST_S)
    midwife.pull(47, "perineum")
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(21)
    expect_told(midwife, "head_out")
    midwife.head_out()
    midwife.cup_off()
    midwife.wait(15)
    expect_told(midwife, "born")
    midwife.born()
    midwife.wait(6)
    expect_told(midwife, "well")


def send_on(midwife):
    """Call the hospital, and leave when the car is there."""
    midwife.press(midwife.page.locator("[data-key=call]"))
    midwife.wait(16)
    expect_told(midwife, "car")
    midwife.press(midwife.page.locator("[data-key=leaves]"))


@pytest.mark.parametrize("name,working", [("easy", 80_000), ("altitude", 68_000)])
def test_a_birth_by_the_book_is_played_to_its_end(midwife, name, working):
    begin(midwife, name, working)

    give_birth(midwife)
    end(midwife)

    assert faults(midwife) == []
    expect(midwife.page.get_by_text(WORDS.text("debrief.none"))).to_be_visible()
    expect(midwife.page.locator("[data-part=cautions]")).to_contain_text(WORDS.text("limit.descent_pulls.caution", n=2))
    opened = next(event for event in kept_events(midwife.page) if event["kind"] == "case_opened")
    assert (opened["facts"]["mode"], opened["facts"]["script"], opened["facts"]["pace"]) == ("practice", name, 1)
    assert opened["facts"]["altitude_m"] == script(name)["post"]["altitude_m"]


def test_a_cup_that_comes_off_twice_ends_in_the_plan(midwife):
    begin(midwife, "comes_off")
    midwife.pull(47, "yes")
    for time in (1, 2):
        midwife.wait(REST_S)
        midwife.begin_pull()
        midwife.wait(11)
        expect_told(midwife, "hiss")
        midwife.tap("pull.hiss")
        midwife.wait(4)
        expect_told(midwife, "off")
        midwife.detach()
        if time == 1:
            midwife.check_scalp()
            midwife.apply()
    midwife.expect_screen("stop")
    midwife.stop()
    midwife.tap("pull.scalp.whole")
    send_on(midwife)
    end(midwife)

    assert faults(midwife) == []
    expect(midwife.page.locator("[data-stop=detachments]")).to_be_visible()


def test_a_head_that_does_not_come_down_and_one_more_pull(midwife):
    begin(midwife, "no_descent")
    midwife.pull(47, "no")
    midwife.wait(REST_S)
    midwife.pull(47, "no")
    midwife.expect_screen("stop")
    # Time to read it: the next look writes down that it was shown.
    midwife.wait(1)
    midwife.go_on()
    midwife.expect_screen("pull")
    midwife.wait(REST_S)
    midwife.pull(47, None)
    midwife.expect_screen("stop")
    midwife.stop()
    midwife.press(midwife.page.locator("[data-key=cup-off]"))
    send_on(midwife)
    end(midwife)

    assert faults(midwife) == ["pulled_after_stop"]
    text = WORDS.text("debrief.fault.pulled_after_stop", n=3)
    expect(midwife.page.get_by_text(text)).to_be_visible()


def test_a_high_head_is_not_started(midwife):
    play(midwife, "high_head")
    midwife.answer_all(until="fifths", **truths("high_head"))
    find = WORDS.text("practice.you_find", what=WORDS.text("before.fifths.3"))
    expect(midwife.page.get_by_text(find)).to_be_visible()
    midwife.answer_all(**truths("high_head"))
    midwife.tap("before.refer")
    midwife.expect_screen("stop")
    send_on(midwife)
    end(midwife)

    assert faults(midwife) == []


def test_a_baby_that_bleeds_later_and_nobody_is_told(midwife):
    begin(midwife, "bleeds_later")
    give_birth(midwife)
    midwife.press(midwife.page.locator("[data-key=oxytocin]"))
    midwife.wait(150)
    expect_told(midwife, "bleeds")
    midwife.wait(301)
    end(midwife)

    told = WORDS.text("debrief.fault.not_recorded", item=WORDS.text("practice.tell.bleeds"))
    expect(midwife.page.get_by_text(told)).to_be_visible()
    assert faults(midwife).count("not_recorded") == 1


def test_practice_stands_apart_and_leads_back_to_its_list(midwife):
    play(midwife, "easy")
    end(midwife)

    assert midwife.page.get_by_text(WORDS.text("app.practice")).is_visible()
    midwife.tap("debrief.again")
    midwife.expect_screen("practice")
    expect(midwife.page.locator("[data-key^=debrief-]")).to_have_count(1)
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back")))
    midwife.expect_screen("home")
    assert midwife.page.locator("[data-key=resume]").count() == 0


def test_what_is_told_goes_on_after_a_restart(midwife):
    play(midwife, "comes_off")
    midwife.page.context.set_offline(False)

    midwife.page.reload()
    expect_begun(midwife.page)

    midwife.expect_screen("before")
    expect_told(midwife, "opening_comes_off")

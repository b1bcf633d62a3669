"""The day after two births, with the station dead: rounds, red flag, transfer, and a restart in the night."""

import datetime as dt
import re

import pytest
from playwright.sync_api import Locator, expect

from checklist.tables import STATIC, protocol_in_force
from tests.browser.app import WORDS, expect_told, open_app, open_at
from tests.browser.days import (
    born_s,
    easy_birth,
    go_home,
    hard_birth,
    key,
    look_at_baby,
    moment,
    round_in_part,
    tier,
    told,
    type_number,
    wait_until,
    wall_s,
)
from tests.midwife import Midwife
from tests.pdf import sheets

EVENING = dt.datetime(2026, 3, 1, 19, 30, tzinfo=dt.UTC)
PROTOCOL = protocol_in_force()[1]
ROUNDS = PROTOCOL["rounds"]
HOUR_S = 3600
LATE = re.compile(r"Late: was due by \d\d:\d\d")


@pytest.fixture
def tablet(served, profile, tmp_path):
    """A tablet that visited its station once; then the station died."""
    served.start(STATIC, data=tmp_path / "station")
    expect_told(open_app(profile.start(), served.url).page, "home.ready")
    served.kill()
    profile.close()
    return lambda moment: open_at(profile.start(), served.url, moment)


def test_a_hard_birth_is_watched_closely_and_a_head_that_grows_opens_the_transfer(tablet, profile):
    midwife = tablet(EVENING)
    hard_birth(midwife)
    page = midwife.page
    born = born_s(page)
    midwife.press(tier(page, 2))
    for reason in ("newborn.row.many_pulls", "newborn.row.hard_first", "newborn.row.slow"):
        expect(page.get_by_role("listitem").filter(has_text=WORDS.text(reason)).first).to_be_visible()
    # A weight that nobody told is not known, and never harmless.
    expect(page.get_by_role("listitem").filter(has_text=WORDS.text("newborn.row.heavy"))).to_be_visible()
    midwife.tap("after.to_lanes")
    midwife.tap("after.weight")
    type_number(midwife, 3200)
    look_at_baby(midwife, 345)
    expect(tier(page, 2)).to_be_visible()

    wait_until(midwife, born, 3 * HOUR_S)
    expect(key(midwife, "after.baby_round")).to_contain_text(LATE)
    look_at_baby(midwife, 355)

    expect(page.get_by_role("heading", name=WORDS.text("newborn.transfer"))).to_be_visible()
    expect(page.get_by_role("alert").filter(has_text=WORDS.text("after.tier.3"))).to_be_visible()
    midwife.tap("newborn.call")
    midwife.tap("newborn.vitamin_k_now")
    midwife.tap("baby.travel.warm")
    midwife.tap("newborn.leaves")
    midwife.press(tier(page, 3))
    expect(page.get_by_role("img", name=WORDS.text("newborn.trend"))).to_be_visible()
    expect(page.get_by_text(re.compile(r"Perhaps 40.mL .*16 % of about 256.mL"))).to_be_visible()
    expect(page.get_by_text(WORDS.text("newborn.hidden_late"))).to_be_visible()
    assert told(page, "advice_shown", limit="baby_tier") == [{"limit": "baby_tier", "level": "stop", "message": "after.tier.3"}]
    assert len(told(page, "help_called", what="newborn")) == len(told(page, "transfer_left")) == 1
    left_at = wall_s(midwife)
    profile.kill()

    midwife = tablet(moment(left_at + 45 * 60))
    midwife.expect_screen("home")
    due = midwife.page.get_by_role("button", name=re.compile(WORDS.text("after.baby_round")))
    expect(due).to_contain_text(LATE)
    midwife.press(due)
    midwife.expect_screen("after")
    expect(tier(midwife.page, 3)).to_be_visible()

    # What goes along with the baby, on paper.
    midwife.tap("handover.open")
    paper = " ".join(sheets(midwife.page))
    assert WORDS.text("handover.state.suspected") in paper
    assert re.search(r"34\.5.cm 19:36, 35\.5.cm 22:36", paper)
    assert re.search(r"40.mL, 16.% of the baby", paper)


def test_only_a_clinician_lowers_the_watch_and_a_new_red_flag_raises_it_again(tablet):
    midwife = tablet(EVENING)
    easy_birth(midwife)
    midwife.tap("after.baby_round")
    midwife.tap("baby.scalp.boggy")
    expect(midwife.page.get_by_role("heading", name=WORDS.text("newborn.transfer"))).to_be_visible()

    midwife.press(tier(midwife.page, 3))
    midwife.tap("role.doctor")
    expect(tier(midwife.page, 2)).to_contain_text(WORDS.text("newborn.lowered_by", who=WORDS.text("role.doctor")))
    midwife.tap("after.baby_round")
    midwife.tap("baby.swelling.growing")

    expect(tier(midwife.page, 3)).to_be_visible()
    assert told(midwife.page, "tier_lowered") == [{"tier": 2, "by": "doctor"}]


# Measured alone before a transfer: no round of looking took place.
def test_sugar_before_a_transfer_is_one_number_and_no_round(tablet):
    midwife = tablet(EVENING)
    easy_birth(midwife)
    midwife.tap("after.transfer")
    midwife.tap("newborn.sugar_now")
    type_number(midwife, "4.5")

    expect(midwife.page.get_by_role("heading", name=WORDS.text("newborn.transfer"))).to_be_visible()
    assert told(midwife.page, "baby_observed") == [{"what": "glucose", "value": 45}]


def give_all_care(midwife: Midwife, born: float) -> None:
    """Everything that is done once, each in its time."""
    midwife.tap("after.oxytocin")
    for minute in (1, 5, 10):
        wait_until(midwife, born, minute * 60)
        midwife.press(midwife.labelled(WORDS.text("after.apgar", n=WORDS.quantity(minute, "min"))))
        for part in ("heart", "breathing", "tone", "reflex"):
            midwife.press(midwife.page.get_by_role("group", name=WORDS.text(f"after.part.{part}")).get_by_role("button").last)
        midwife.press(midwife.page.get_by_role("group", name=WORDS.text("after.part.colour")).get_by_role("button").nth(1))
    midwife.tap("after.told")
    midwife.tap("after.placenta")
    midwife.tap("after.placenta.yes")
    midwife.tap("after.blood_loss")
    midwife.press(midwife.labelled(f"+{WORDS.quantity(250, 'ml')}"))
    midwife.press(midwife.labelled(f"+{WORDS.quantity(50, 'ml')}"))
    midwife.tap("after.to_lanes")
    midwife.tap("after.tear")
    midwife.tap("mother.rectal_exam.done")
    midwife.tap("mother.tear.2")
    midwife.tap("after.antibiotic")
    midwife.tap("after.allergy.none")
    midwife.tap("after.antibiotic")
    midwife.tap("after.void")
    midwife.press(midwife.page.locator("[data-key=void-300]"))
    midwife.tap("after.vitamin_k")


def expect_due(midwife: Midwife, row: Locator) -> None:
    """Wait for a row of the due list: it is read from the disk and drawn with a later second, which a clock that stands still must be given."""
    for _ in range(20):
        if WORDS.text("after.due") in row.inner_text():
            break
        midwife.wait(1)
    expect(row).to_contain_text(WORDS.text("after.due"))


def rounds_due(lane: str, until: int) -> list[int]:
    return [minute for minute in (ROUNDS["baby"]["1"] if lane == "baby" else ROUNDS["mother"]) if minute <= until]


def keep_rounds(midwife: Midwife, born: float, first: int, last: int) -> None:
    """Look at both at every time of the usual watch from one minute after the birth to another."""
    times = sorted({(minute, lane) for lane in ("baby", "mother") for minute in rounds_due(lane, last) if minute >= first})
    for minute, lane in times:
        wait_until(midwife, born, minute * 60)
        round_in_part(midwife, lane)


def test_an_easy_birth_is_watched_to_its_end_over_a_restart_in_the_night(tablet, profile):
    midwife = tablet(EVENING)
    easy_birth(midwife)
    born = born_s(midwife.page)
    expect(tier(midwife.page, 1)).to_be_visible()
    round_in_part(midwife, "baby")
    give_all_care(midwife, born)
    expect(midwife.page.get_by_text(WORDS.text("after.apgar_score", n=9, all=10))).to_have_count(3)
    expect(midwife.page.get_by_text(WORDS.quantity(300, "ml")).first).to_be_visible()
    keep_rounds(midwife, born, 15, 420)
    profile.kill()

    midwife = tablet(moment(born + 9 * HOUR_S))
    page = midwife.page
    midwife.expect_screen("home")
    expect(page.get_by_role("heading", name=WORDS.text("home.due"))).to_be_visible()
    expect(page.get_by_role("button", name=re.compile(WORDS.text("after.baby_round")))).to_contain_text("Due at")
    # It lay off, and its rounds came due: at ten hours both are.
    wait_until(midwife, born, 10 * HOUR_S)
    for lane in ("baby", "mother"):
        expect_due(midwife, page.get_by_role("button", name=re.compile(WORDS.text(f"after.{lane}_round"))))
    midwife.press(page.get_by_role("button", name=re.compile(WORDS.text("after.baby_round"))))
    keep_rounds(midwife, born, 600, 1440)
    assert page.get_by_text(LATE).count() == 0
    assert len(told(page, "baby_observed", what="round")) == len(ROUNDS["baby"]["1"])
    assert len(told(page, "mother_observed", what="round")) == len(ROUNDS["mother"])
    expect(tier(page, 1)).to_be_visible()

    midwife.close()
    expect(page.get_by_role("heading", name=WORDS.text("home.due"))).to_have_count(0)


def test_a_birth_of_today_stays_due_while_another_one_begins(tablet):
    midwife = tablet(EVENING)
    easy_birth(midwife)
    go_home(midwife)
    midwife.start(bed="5")
    midwife.press(midwife.page.get_by_role("button", name=WORDS.text("app.back"), exact=True))

    midwife.wait(120)
    due = midwife.page.get_by_role("button", name=re.compile(WORDS.text("after.oxytocin")))
    expect(due).to_contain_text(LATE)
    expect(due).to_contain_text(WORDS.text("home.bed", label=2))
    midwife.press(due)

    midwife.expect_screen("after")
    go_home(midwife)
    expect(midwife.page.get_by_role("button", name=re.compile(WORDS.text("home.bed", label=5)))).to_be_visible()


def test_practice_is_never_due(tablet):
    midwife = tablet(EVENING)
    midwife.tap("home.practice")
    midwife.tap("practice.free")
    easy_birth(midwife, begun=True)
    midwife.wait(120)
    expect(key(midwife, "after.oxytocin")).to_contain_text(LATE)

    go_home(midwife)

    expect(midwife.page.get_by_role("heading", name=WORDS.text("home.due"))).to_have_count(0)


# An information burst is one soft pulse: each of its tones is noted with the moment it was asked for.
SPY = """(() => {
  window.tones = [];
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (when, ...told) {
    window.tones.push(Math.round(when * 1000));
    return start.call(this, when, ...told);
  };
})()"""
BURSTS = "new Set(window.tones).size"


def test_what_falls_due_is_heard_softly_and_once(tablet):
    midwife = tablet(EVENING)
    easy_birth(midwife)
    midwife.wait(3)
    midwife.page.evaluate(SPY)

    midwife.wait(58)
    # Oxytocin is late and the first Apgar has come due in the same minute.
    assert midwife.page.evaluate(BURSTS) == 1

    midwife.wait(60)
    assert midwife.page.evaluate(BURSTS) == 1


def test_blood_that_was_lost_adds_up_and_asks_for_action(tablet):
    midwife = tablet(EVENING)
    easy_birth(midwife)
    midwife.tap("after.blood_loss")
    midwife.press(midwife.labelled(f"+{WORDS.quantity(350, 'ml')}"))
    caution = midwife.page.get_by_role("status").filter(has_text=WORDS.text("mother.blood.do"))
    expect(caution).to_have_count(0)
    midwife.press(midwife.labelled(f"+{WORDS.quantity(150, 'ml')}"))

    expect(caution).to_contain_text(WORDS.text("mother.blood.act", n=WORDS.quantity(500, "ml")))
    assert [one["ml"] for one in told(midwife.page, "blood_loss_measured")] == [350, 150]

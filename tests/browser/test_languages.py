"""Which language speaks where: whole, never half; drafts in practice alone; the source one tap away."""

import re
from dataclasses import replace

import pytest
from playwright.sync_api import expect

from checklist.language import load
from checklist.tables import STATIC, TRANSLATIONS
from tests.browser.app import kept_events
from tests.browser.tongues import ENGLISH, FRENCH, TAG, draft, open_in, release_of, taken
from tests.midwife import Midwife
from tests.servers import Served

STRIP = '[data-strip="app.draft"]'
STALE = "home.settings"


@pytest.fixture
def tongue(context, tmp_path):
    """Open a tablet whose release holds some packs, French chosen: tongue(pack, words=…) -> hands."""
    served = Served()

    def opened(*packs, words=ENGLISH, language=TAG, demo=False) -> Midwife:
        served.start(STATIC, packs=release_of(tmp_path / "packs", *packs))
        return open_in(context, served.url, language, words)

    yield opened
    served.kill()


def lang(midwife: Midwife) -> str:
    return midwife.page.locator("html").get_attribute("lang")


def opening(midwife: Midwife) -> dict:
    return next(event["facts"] for event in kept_events(midwife.page) if event["kind"] == "case_opened")


def language_key(midwife: Midwife, tag: str):
    return midwife.page.locator(f"[data-key=language-{tag}]")


def test_a_ready_language_speaks_on_every_page(tongue):
    midwife = tongue(taken(), words=FRENCH)

    assert lang(midwife) == TAG
    expect(midwife.key("home.start")).to_be_visible()
    assert midwife.page.title() == FRENCH.text("app.name")
    midwife.start_at_once()
    assert lang(midwife) == TAG
    assert opening(midwife)["language"] == TAG


def test_a_number_that_is_an_answer_is_drawn_large(tongue):
    midwife = tongue(taken(), words=FRENCH)
    midwife.start("2")
    midwife.answer_all(until="head_station")

    for answer, number in (("plus_one", "1"), ("plus_two", "2")):
        expect(midwife.page.locator(f"[data-key=answer-{answer}] .num")).to_have_text(number)


def test_a_page_whose_list_is_not_ready_is_whole_in_the_source(tongue):
    midwife = tongue(taken(without=("pin",)), words=FRENCH)

    midwife.tap("home.settings")

    assert lang(midwife) == "en"
    expect(midwife.page.get_by_role("heading", level=1)).to_have_text(ENGLISH.text("home.settings"))
    expect(language_key(midwife, TAG)).to_contain_text(ENGLISH.text("settings.language.some"))


def test_a_draft_is_silent_in_real_use(tongue):
    midwife = tongue(draft())

    assert lang(midwife) == "en"
    midwife.start_at_once()
    assert lang(midwife) == "en"
    expect(midwife.page.locator(STRIP)).to_have_count(0)
    assert opening(midwife)["language"] == "en"


def test_a_draft_speaks_in_practice_and_every_screen_says_that_it_is_one(tongue):
    midwife = tongue(draft())
    midwife.tap("home.practice")
    seen = []

    midwife.words = FRENCH
    midwife.press(midwife.page.locator("[data-key=play-easy]"))
    for step in (midwife.answer_all, midwife.decide, midwife.apply, midwife.pull):
        seen.append((lang(midwife), midwife.page.locator(STRIP).evaluate("strip => (strip.querySelector('.not-yet') ?? strip).firstChild.data")))
        step()

    assert seen == [(TAG, FRENCH.text("app.draft"))] * 4


def test_a_draft_is_silent_on_a_real_birth_that_is_read_while_practice_is_on_the_desk(tongue):
    midwife = tongue(draft())
    midwife.start_at_once()
    midwife.apply()
    midwife.ask_to_stop()
    midwife.stop()
    midwife.tap("stop.cup_off")
    midwife.close()
    midwife.tap("home.practice")
    midwife.press(midwife.page.locator("[data-key=play-easy]"))
    midwife.expect_screen("before")
    midwife.words = FRENCH
    midwife.tap("app.back")
    midwife.words = ENGLISH
    midwife.tap("home.cases")
    midwife.press(midwife.page.locator('[data-mode=real] [data-key^=case-]'))
    midwife.expect_screen("record")

    midwife.tap("handover.open")

    midwife.expect_screen("handover")
    assert lang(midwife) == "en"
    expect(midwife.page.locator(f'{STRIP}, [data-strip="app.practice"]')).to_have_count(0)


def test_a_draft_is_silent_on_the_list_of_practice_while_a_real_birth_is_on_the_desk(tongue):
    midwife = tongue(draft())
    midwife.start_at_once()
    midwife.tap("app.back")

    midwife.tap("home.practice")

    assert lang(midwife) == "en"
    expect(midwife.page.locator(STRIP)).to_have_count(0)


def test_settings_say_of_each_language_how_far_it_is(tongue):
    midwife = tongue(draft(), language="en")

    midwife.tap("home.settings")

    expect(language_key(midwife, "en")).to_contain_text(ENGLISH.text("settings.language.ready"))
    expect(language_key(midwife, TAG)).to_contain_text(FRENCH.name)
    expect(language_key(midwife, TAG)).to_contain_text(ENGLISH.text("settings.language.draft"))
    assert language_key(midwife, TAG).locator("[lang]").first.get_attribute("lang") == TAG


@pytest.mark.parametrize("script", ["Zzzz", "Latn"])
def test_a_language_whose_letters_are_missing_cannot_be_chosen(tongue, script):
    # No font has these: they are set aside and mean nothing.
    unseen = replace(taken(), script=script, sample="\U0003fff0\U0003fff1")
    midwife = tongue(unseen)

    midwife.tap("home.settings")

    expect(language_key(midwife, TAG)).to_be_disabled()
    expect(language_key(midwife, TAG)).to_contain_text(ENGLISH.text("settings.language.letters"))
    assert lang(midwife) == "en"


def test_another_language_in_the_middle_of_a_birth_loses_nothing(tongue):
    midwife = tongue(taken(), language="en")
    midwife.start_at_once()
    midwife.choose_cup()
    midwife.place()
    midwife.wait(60)
    kept = kept_events(midwife.page)
    midwife.tap("app.back")
    midwife.tap("home.settings")

    midwife.press(language_key(midwife, TAG))
    assert (lang(midwife), kept_events(midwife.page)) == (TAG, kept)
    midwife.words = FRENCH
    midwife.tap("app.back")
    midwife.go_back_to_the_case()
    midwife.sweep()
    midwife.first_suction()
    midwife.sweep()
    midwife.working_suction()
    midwife.sweep()
    midwife.wait(60)

    assert midwife.counts()["minutes"] == 2
    told = kept_events(midwife.page)
    assert told[: len(kept)] == kept and len({event["case"] for event in told if event["case"]}) == 1
    assert opening(midwife)["language"] == "en"


def test_the_source_is_one_tap_away_until_the_page_changes(tongue):
    midwife = tongue(taken(), words=FRENCH)
    key = midwife.page.locator("[data-key=source]")
    expect(midwife.page.locator("h1")).to_have_text(FRENCH.text("app.name"))

    midwife.press(key)
    expect(midwife.page.locator("h1")).to_have_text(ENGLISH.text("app.name"))
    assert lang(midwife) == "en" and midwife.page.locator("html").get_attribute("dir") == "ltr"
    midwife.press(key)
    expect(midwife.page.locator("h1")).to_have_text(FRENCH.text("app.name"))

    midwife.press(key)
    midwife.press(midwife.page.locator("[data-key=settings]"))
    midwife.expect_screen("settings")
    assert lang(midwife) == TAG


def test_a_withdrawn_line_stands_in_the_source_marked(tongue):
    midwife = tongue(taken(stale=(STALE,)), words=FRENCH)

    line = midwife.page.locator(".not-yet", has_text=ENGLISH.text(STALE))

    expect(line).to_be_visible()
    assert (line.get_attribute("lang"), line.get_attribute("dir")) == ("en", "ltr")
    expect(line.locator("small")).to_contain_text(FRENCH.name)
    expect(midwife.page.get_by_text(FRENCH.text("home.cases"))).to_be_visible()
    assert FRENCH.text(STALE) not in midwife.page.locator("body").inner_text().split("\n")


def test_a_withdrawn_line_with_a_running_value_is_marked_after_each_tick(tongue):
    midwife = tongue(taken(stale=("app.min_since_cup",)), words=FRENCH)
    midwife.start_at_once()
    midwife.apply()

    midwife.wait(61)

    line = midwife.page.locator(".count .not-yet")
    expect(line).to_have_count(1)
    expect(line).to_contain_text(ENGLISH.text("app.min_since_cup"))


def test_nothing_is_marked_where_everything_is_translated(tongue):
    midwife = tongue(taken(), words=FRENCH)
    missing = sorted(set(ENGLISH.messages) - FRENCH.own)

    assert midwife.page.locator(".not-yet").count() == 0 or missing


def test_a_withdrawn_line_with_the_time_of_a_pull_is_marked(tongue):
    midwife = tongue(taken(stale=("pull.pulling",)), words=FRENCH)
    midwife.start_at_once()
    midwife.apply()
    midwife.begin_pull()
    midwife.wait(2)

    line = midwife.page.locator(".pullkey .not-yet")
    expect(line).to_have_count(1)
    expect(line.locator("[data-runs=pull]")).to_have_text(re.compile("0:0[12]"))


def test_a_withdrawn_line_of_what_is_told_is_said_once(tongue):
    midwife = tongue(taken(stale=("practice.tell.opening_easy",)), words=FRENCH)
    midwife.tap("home.practice")
    midwife.press(midwife.page.locator("[data-key=play-easy]"))
    expect(midwife.page.locator(".telling .not-yet")).to_have_count(1)
    midwife.page.evaluate("""() => {
      window.told = 0;
      new MutationObserver((rows) => { told += rows.length; }).observe(document.querySelector(".telling"), { childList: true, characterData: true, subtree: true });
    }""")

    midwife.wait(2)

    assert midwife.page.evaluate("told") == 0


def test_the_name_of_a_language_is_never_broken(tongue):
    midwife = tongue(*(load(TRANSLATIONS, tag) for tag in ("ar", "es", "fr", "sw")), language="en")
    midwife.page.set_viewport_size({"width": 360, "height": 740})

    midwife.tap("home.settings")

    assert midwife.page.locator("[data-key^=language-] [lang]").evaluate_all(
        "all => all.filter((one) => one.getClientRects().length !== 1).map((one) => one.textContent)") == []

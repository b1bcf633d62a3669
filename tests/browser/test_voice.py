"""What is said aloud: whole recorded sentences, one at a time, the weightiest first, in one language alone."""

import hashlib

import pytest

from checklist.tables import STATIC
from tests.browser.tongues import ENGLISH, FRENCH, open_in, recorded, release_of, taken
from tests.midwife import Midwife
from tests.servers import Served

SPOKEN = {"spoken.check": 440, "spoken.back": 450, "spoken.pull|n=1": 460, "spoken.level.stop": 470, "spoken.level.caution": 480,
          "spoken.limit.poor_pulls.caution": 490}
# Every clip as it starts: how long it is, at which moment of the sound, and whether it was cut short.
SPY = """(() => {
  const said = window.said = [];
  const { start, stop } = AudioBufferSourceNode.prototype;
  AudioBufferSourceNode.prototype.start = function (when, ...told) {
    said.push({ node: this, seconds: this.buffer.duration, at: when - this.context.currentTime, cut: false });
    return start.call(this, when, ...told);
  };
  AudioBufferSourceNode.prototype.stop = function (...told) {
    said.find((one) => one.node === this).cut = true;
    return stop.call(this, ...told);
  };
  window.heard = () => said.map(({ seconds, at, cut }) => ({ seconds, at, cut }));
  if (globalThis.speechSynthesis) speechSynthesis.speak = () => { throw new Error("no machine speaks"); };
})()"""


@pytest.fixture(scope="module")
def clips(browser):
    """One recorded tone for each sentence: {key: bytes of WebM}."""
    page = browser.new_page()
    page.goto("about:blank")
    made = {key: recorded(page, hz) for key, hz in SPOKEN.items()}
    page.close()
    return made


@pytest.fixture
def spoken(context, clips, tmp_path):
    """Open a tablet that speaks: spoken(keys) -> hands; only these sentences were recorded."""
    served = Served()
    context.add_init_script(SPY)

    def opened(*keys, pack=None) -> Midwife:
        digests = {key: hashlib.sha256(clips[key]).hexdigest() for key in keys}
        voice = {key: {"clip": digest, "type": "audio/webm"} for key, digest in digests.items()}
        files = {digest: clips[key] for key, digest in digests.items()}
        served.start(STATIC, packs=release_of(tmp_path / "packs", pack or taken(voice=voice), clips=files))
        return open_in(context, served.url, words=FRENCH)

    yield opened
    served.kill()


def heard(midwife: Midwife, least: int = 0) -> list[dict]:
    """Give what was said; where something must be, waits for it and then for what might be said too much."""
    if least:
        midwife.page.wait_for_function("(least) => window.said.length >= least", arg=least)
        midwife.page.wait_for_timeout(500)
    return midwife.page.evaluate("window.heard()")


def ready(midwife: Midwife) -> Midwife:
    midwife.page.locator("html[data-settled]").wait_for(state="attached")
    return midwife


def test_a_pull_is_counted_aloud_with_its_click(spoken):
    midwife = ready(spoken("spoken.pull|n=1"))
    midwife.start_at_once()
    midwife.apply()

    midwife.begin_pull()
    midwife.wait(1)

    (said,) = heard(midwife, 1)
    assert 0.3 < said["seconds"] < 2 and said["at"] > 0


def test_a_caution_is_said_once_by_its_own_sentence_after_the_pulses(spoken):
    midwife = ready(spoken("spoken.level.caution", "spoken.limit.poor_pulls.caution"))
    midwife.start_at_once()
    midwife.apply()
    midwife.pull(20, "no")
    midwife.wait(1)

    (said,) = heard(midwife, 1)
    assert said["at"] > 1.0 and not said["cut"]


def test_a_stop_is_said_twice_and_ends_a_caution(spoken):
    midwife = ready(spoken("spoken.level.caution", "spoken.level.stop"))
    midwife.start_at_once()
    midwife.apply()
    midwife.begin_pull()
    midwife.wait(5)
    midwife.detach()
    midwife.wait(1)
    cautions = len(heard(midwife))
    midwife.check_scalp()
    midwife.apply()
    midwife.begin_pull()
    midwife.wait(5)
    midwife.detach()
    midwife.wait(1)

    stops = [one for one in heard(midwife) if one["at"] > 3.4]
    assert cautions >= 1 and len(stops) == 2
    assert stops[1]["at"] - stops[0]["at"] >= stops[0]["seconds"]


def test_where_nothing_was_recorded_the_burst_and_the_words_stay(spoken):
    midwife = ready(spoken())
    midwife.start_at_once()
    midwife.apply()
    midwife.pull(20, "no")
    midwife.wait(1)

    assert heard(midwife) == []
    assert midwife.page.get_by_role("status", name=FRENCH.text("level.caution")).count() == 1


def test_another_language_never_speaks_in_its_place(spoken):
    midwife = ready(spoken("spoken.level.caution", "spoken.pull|n=1"))
    midwife.page.evaluate("localStorage.settings = JSON.stringify({ language: 'en' })")
    midwife.page.reload()
    ready(midwife)
    midwife.words = ENGLISH
    midwife.start_at_once()
    midwife.apply()
    midwife.pull(20, "no")
    midwife.wait(1)

    assert heard(midwife) == []


def test_a_sentence_whose_source_has_changed_is_silent(spoken, clips):
    digest = hashlib.sha256(clips["spoken.pull|n=1"]).hexdigest()
    stale = taken(stale=("spoken.pull",), voice={"spoken.pull|n=1": {"clip": digest, "type": "audio/webm"}})
    midwife = ready(spoken("spoken.pull|n=1", pack=stale))
    midwife.start_at_once()
    midwife.apply()
    midwife.begin_pull()
    midwife.wait(1)

    assert heard(midwife) == []


def test_the_voice_is_checked_in_settings(spoken):
    midwife = ready(spoken("spoken.check"))
    midwife.tap("home.settings")

    midwife.tap("settings.sound.voice", redraws=False)

    assert len(heard(midwife, 1)) == 1
    assert midwife.page.get_by_text(FRENCH.text("spoken.check")).count() == 1


def test_a_tablet_that_comes_back_says_so_at_the_first_touch(spoken):
    midwife = ready(spoken("spoken.back"))
    midwife.start_at_once()
    midwife.apply()
    midwife.page.reload()
    ready(midwife)
    midwife.expect_screen("pull")
    assert heard(midwife) == []

    midwife.press(midwife.page.locator("[data-key=log]"))
    assert len(heard(midwife, 1)) == 1


def test_the_voice_of_a_birth_is_checked_whatever_language_the_settings_are_in(spoken, clips):
    digest = hashlib.sha256(clips["spoken.check"]).hexdigest()
    midwife = ready(spoken("spoken.check", pack=taken(without=("pin",), voice={"spoken.check": {"clip": digest, "type": "audio/webm"}})))
    midwife.tap("home.settings")
    assert midwife.page.locator("html").get_attribute("lang") == "en"

    midwife.press(midwife.page.locator("[data-key=sound-voice]"), redraws=False)

    assert len(heard(midwife, 1)) == 1
    assert midwife.page.get_by_text(FRENCH.text("spoken.check")).count() == 1


def test_advice_is_said_in_the_language_of_the_birth_while_another_page_is_looked_at_in_the_source(spoken):
    midwife = ready(spoken("spoken.level.caution", "spoken.pull|n=1"))
    midwife.start_at_once()
    midwife.apply()
    midwife.press(midwife.page.locator("[data-key=source]"))
    midwife.words = ENGLISH
    midwife.begin_pull()
    midwife.wait(1)

    assert len(heard(midwife, 1)) == 1


def test_a_key_lets_a_tablet_say_that_it_came_back(spoken):
    midwife = ready(spoken("spoken.back"))
    midwife.start_at_once()
    midwife.apply()
    midwife.page.reload()
    ready(midwife)

    midwife.page.keyboard.press("Tab")

    assert len(heard(midwife, 1)) == 1


# Short bursts and no clips: what is played, in which order.
_QUEUE = """async (said) => {
  const { openVoice } = await import("/voice.js");
  const played = [];
  const sound = { wake: async () => {}, isOn: () => false, clip: () => () => {}, play: (weight) => { played.push(weight); return { ms: 20, end: () => {} }; } };
  const voice = openVoice({ sound, fetched: null, wordsNow: () => ({ lang: "en", voice: {} }) });
  for (const [weight, message] of said) voice.play(weight, message);
  await new Promise((resolve) => { setTimeout(resolve, 400); });
  return played;
}"""


def test_a_stop_that_waits_goes_before_cautions_and_is_never_the_one_left_out(modules_page):
    said = [["high", "a"], ["medium", "b"], ["medium", "c"], ["medium", "d"], ["medium", "b"], ["high", "e"]]

    assert modules_page.evaluate(_QUEUE, said) == ["high", "high", "medium", "medium"]


def test_what_is_said_of_one_woman_is_not_said_to_its_end_over_the_next(modules_page):
    hushed = modules_page.evaluate("""async () => {
      const { makeAttention } = await import("/attention.js");
      let hushed = 0;
      makeAttention({ desk: {}, play: () => {}, hush: () => { hushed += 1; } }).reset();
      return hushed;
    }""")

    assert hushed == 1

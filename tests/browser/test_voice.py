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


def heard(midwife: Midwife) -> list[dict]:
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

    (said,) = heard(midwife)
    assert 0.3 < said["seconds"] < 2 and said["at"] > 0


def test_a_caution_is_said_once_by_its_own_sentence_after_the_pulses(spoken):
    midwife = ready(spoken("spoken.level.caution", "spoken.limit.poor_pulls.caution"))
    midwife.start_at_once()
    midwife.apply()
    midwife.pull(20, "no")
    midwife.wait(1)

    (said,) = heard(midwife)
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

    assert len(heard(midwife)) == 1
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
    # The browser lets sound begin a moment after the touch, by its own clock.
    midwife.page.wait_for_timeout(500)
    assert len(heard(midwife)) == 1

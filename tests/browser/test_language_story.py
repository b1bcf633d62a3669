"""A language from nothing to a birth: leads at the hub, one exchange, a tablet with nobody in reach; then the source changes."""

import time

import pytest
from playwright.sync_api import expect

from checklist.language import load_all
from checklist.tables import STATIC
from checklist.translation.workshop import OWN, Workshop
from tests.browser import leads, weeks
from tests.browser.app import WORDS, expect_begun, kept_events
from tests.browser.test_language_desk import a_voice
from tests.browser.test_packs_tablet import EXCHANGE, take
from tests.browser.test_voice import SPY
from tests.midwife import PATIENCE_MS
from tests.servers import Served

SEEN = "home.cases"
NEW_ENGLISH = "Births here"


class Told(Served):
    """A station or hub over words that a test may change."""

    def __init__(self, data, words) -> None:
        super().__init__()
        self.data, self.words = data, words

    def up(self) -> "Told":
        """Serve the real app over these words."""
        return self.start(STATIC, data=self.data, translations=self.words)


@pytest.fixture
def places(tmp_path):
    """A hub and a post that reports to it."""
    words = leads.words_folder(tmp_path / "words")
    hub, post = Told(tmp_path / "hub", words).up(), Told(tmp_path / "post", words).up()
    code = weeks.command("code", data=hub.data).strip()
    weeks.command("join", hub.url, code, "--name", "Hill post", data=post.data)
    yield hub, post
    hub.kill()
    post.kill()


@pytest.fixture
def speaking(browser_type, browser_type_launch_args, tmp_path):
    """A browser whose microphone hears somebody."""
    a_voice(tmp_path / "voice.wav")
    heard = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
             f"--use-file-for-fake-audio-capture={tmp_path / 'voice.wav'}"]
    launched = browser_type.launch(**{**browser_type_launch_args, "args": [*browser_type_launch_args.get("args", []), *heard]})
    yield launched
    launched.close()


def test_a_language_is_brought_to_a_birth_and_falls_silent_when_the_source_changes(places, speaking, browser, tmp_path):
    hub, post = places
    near = weeks.tablet(browser, post.url)
    near.page.context.add_init_script(SPY)
    asha, ben, chidi = (leads.lead(speaking, hub, name) for name in ("Asha", "Ben", "Chidi"))

    bring(hub, asha, ben, chidi, tmp_path)
    weeks.command("sync", data=post.data)
    post.up()
    near.page.evaluate(EXCHANGE)
    take(near.page)
    choose(near, hub)
    hub.kill()
    post.kill()
    a_birth_in_it(near)

    change_the_source(hub.words)
    hub.up()
    post.up()
    leads.go(asha, f"/{leads.TAG}/text/{leads.HEARD}")
    expect(asha.get_by_text(WORDS.text("languages.changed"))).to_be_visible()
    expect(asha.locator(".state").first).to_have_attribute("data-state", "draft")
    leads.go(ben, f"/{leads.TAG}/voice")
    assert WORDS.text("languages.clip.heard") not in ben.locator("main").inner_text()
    near.page.evaluate(EXCHANGE)
    take(near.page)
    line = near.page.locator(".not-yet", has_text=NEW_ENGLISH)
    expect(line).to_be_visible()
    assert line.get_attribute("lang") == "en"
    pulled(near)
    assert near.page.evaluate("window.heard()") == []


def bring(hub: Told, asha, ben, chidi, folder) -> None:
    """Add, translate, check, read back, judge, approve, record, hear and pack."""
    leads.add_language(asha)
    room = Workshop(hub.words, hub.data / OWN)
    leads.hand_in(asha, leads.file_of(room, leads.HEARD, folder / "home"))
    leads.write(asha, leads.HEARD, leads.SAID)
    leads.settle_the_rest(hub.data, hub.words, leads.HEARD, time.time_ns() // 1_000_000)
    leads.check(ben, leads.HEARD)
    leads.say_back(chidi, "Pull number n.")
    leads.judge(ben, leads.HEARD)
    leads.approve(ben, "bedside")
    leads.record(asha, leads.CLIP)
    leads.hear(ben, leads.CLIP)
    leads.make_pack(ben)


def choose(near, hub: Told) -> None:
    """Choose the language by its own name, and learn to read it."""
    near.page.locator("[data-key=settings]").click()
    near.page.locator(f"[data-key=language-{leads.TAG}]").click()
    expect(near.page.locator(f'[data-key="language-{leads.TAG}"][aria-pressed="true"]')).to_be_attached(timeout=PATIENCE_MS)
    near.page.reload()
    expect_begun(near.page)
    expect(near.page.locator("html")).to_have_attribute("lang", leads.TAG)
    near.words = load_all(hub.words, own=hub.data / OWN)[leads.TAG]


def a_birth_in_it(near) -> None:
    """A whole real birth in the language, with nobody in reach, the recorded sentence heard at the pull."""
    pulled(near)
    near.page.wait_for_function("() => window.heard().length > 0")
    said = near.page.evaluate("window.heard()")
    assert len(said) == 1 and said[0]["seconds"] > 1
    near.head_out()
    near.cup_off()
    near.born()
    assert near.page.locator("html").get_attribute("lang") == leads.TAG
    near.close()
    opened = [event["facts"] for event in kept_events(near.page) if event["kind"] == "case_opened"]
    assert [(facts["mode"], facts["language"]) for facts in opened] == [("real", leads.TAG)]


def pulled(near) -> None:
    """Begin a birth and its first pull."""
    near.page.locator("html[data-settled]").wait_for(state="attached", timeout=PATIENCE_MS)
    near.start_at_once()
    near.apply()
    near.begin_pull()
    near.page.wait_for_timeout(1500)


def change_the_source(words) -> None:
    """The next version of the program says two things in other words."""
    for name, was, now in ((leads.HEARD, "Pull {n}.", "Pull number {n}."), (SEEN, WORDS.text(SEEN), NEW_ENGLISH)):
        (path,) = (one for one in (words / "en" / "words").glob("*.toml") if f'"{name}" =' in one.read_text(encoding="utf-8"))
        told = path.read_text(encoding="utf-8")
        assert f'"{name}" = {{ text = "{was}"' in told
        path.write_text(told.replace(f'"{name}" = {{ text = "{was}"', f'"{name}" = {{ text = "{now}"'), encoding="utf-8")

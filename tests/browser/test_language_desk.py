"""The pages of the languages in a real browser: voice, a pasted text, a draft on the tablet's own screen."""

import math
import re
import shutil
import struct
import wave

import pytest
from playwright.sync_api import expect

from checklist import accounts, create_app
from checklist.config import Settings
from checklist.tables import STATIC, TRANSLATIONS
from checklist.web.parts import NAME

PASSWORD = "the river bends twice"
RATE_HZ = 48000
KEY = "spoken.small"
WORDS = '''
"spoken.small" = { text = "Look at the scalp.", max = 40, safety = false, note = "Heard" }
"small.note" = { text = "Thank you all", max = 20, safety = false, note = "Kind word" }
'''
LIST = '[[list]]\nid = "bedside"\npages = ["pull"]\nfiles = ["small"]\n'
STOP = "limit.cup_minutes.stop"
STOP_SAID = "Muda wa kusimama"


def a_voice(path) -> None:
    """Write two seconds that sound like somebody speaking: a low tone with overtones, in syllables."""
    frames = []
    for place in range(2 * RATE_HZ):
        moment = place / RATE_HZ
        loud = 0.35 + 0.25 * math.sin(2 * math.pi * 4 * moment)
        tone = sum(math.sin(2 * math.pi * 140 * n * moment) / n for n in range(1, 8)) / 2
        frames.append(struct.pack("<h", int(32000 * loud * tone * 0.6)))
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(b"".join(frames))


@pytest.fixture
def place(tmp_path, served):
    """A station with a small list, two people, and Swahili begun."""
    folder, data = tmp_path / "translations", tmp_path / "data"
    shutil.copytree(TRANSLATIONS / "en", folder / "en")
    (folder / "en" / "words" / "small.toml").write_text(WORDS, encoding="utf-8")
    (folder / "lists.toml").write_text(LIST, encoding="utf-8")
    app = create_app(Settings(data=data, translations=folder))
    shared = app.extensions[NAME]
    roles = ("lead", "keeper")
    links = {
        name: shared.journal.write(lambda store, name=name: accounts.add(store.connection, name, roles, "", shared.now()))
        for name in ("Asha", "Ben")
    }
    shared.journal.close()
    served.start(STATIC, data=data, translations=folder)
    return served, links


@pytest.fixture
def microphone(browser_type, browser_type_launch_args, tmp_path):
    """A browser whose microphone hears somebody speak."""
    a_voice(tmp_path / "voice.wav")
    told = [
        "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={tmp_path / 'voice.wav'}",
    ]
    browser = browser_type.launch(**{**browser_type_launch_args, "args": [*browser_type_launch_args.get("args", []), *told]})
    yield browser
    browser.close()


def enter(browser, place, name: str):
    """Open the one-time link of a person: they are signed in."""
    served, links = place
    page = browser.new_context().new_page()
    page.goto(f"{served.url}/station/account/link/{links[name]}")
    page.get_by_label("New password", exact=False).first.fill(PASSWORD)
    page.get_by_label("The same once more").fill(PASSWORD)
    page.locator("main button").click()
    return page


def go(page, place, path: str):
    page.goto(f"{place[0].url}/station/languages{path}")


def write(page, place, name: str, said: str) -> None:
    go(page, place, f"/sw/text/{name}")
    page.get_by_label("Translation").fill(said)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status").first).to_have_text("Kept.")


def begun(page, place) -> None:
    go(page, place, "/new?tag=sw")
    page.get_by_role("button", name="Add a language").click()
    page.wait_for_url("**/languages/sw")


def test_one_person_records_and_another_hears(microphone, place):
    asha, ben = enter(microphone, place, "Asha"), enter(microphone, place, "Ben")
    begun(asha, place)
    write(asha, place, KEY, "Angalia kichwa.")

    go(asha, place, f"/sw/voice/{KEY}")
    asha.get_by_role("button", name="Start recording").click()
    expect(asha.locator("output")).to_have_text(re.compile(r"^[2-9]\."), timeout=10_000)
    asha.get_by_role("button", name="Stop").click()
    expect(asha.locator("[data-part=checks]")).to_have_text("The sound is good. Listen to it, then send it.")
    asha.get_by_label("It is my own voice").check()
    asha.get_by_role("button", name="Send the recording").click()
    expect(asha.get_by_text("Nobody else has listened yet.")).to_be_visible()
    expect(asha.get_by_text("You did the step before.")).to_be_visible()

    go(ben, place, f"/sw/voice/{KEY}")
    sound = ben.get_by_label("The recording")
    assert sound.evaluate("""async (player) => {
        const bytes = await (await fetch(player.src)).arrayBuffer();
        return (await new OfflineAudioContext(1, 1, 48000).decodeAudioData(bytes)).duration;
    }""") > 1
    assert sound.evaluate("async (player) => { await player.play(); return player.error === null; }")
    ben.get_by_role("button", name="It says exactly this").click()
    go(ben, place, f"/sw/voice/{KEY}")
    expect(ben.get_by_text("recorded, and heard by another")).to_be_visible()

    write(asha, place, KEY, "Tazama kichwa.")
    go(ben, place, "/sw/voice")
    expect(ben.get_by_text("not recorded")).to_be_visible()


# Silence before, sound of so many seconds and such a peak, silence after; what is wrong with it.
SOUNDS = [
    (0, 0.4, 0.5, 0, ["short"]), (0, 0.5, 0.5, 0, []), (0, 12, 0.5, 0, []), (0, 12.1, 0.5, 0, ["long"]),
    (0, 2, 0.09, 0, ["quiet"]), (0, 2, 0.11, 0, []), (0, 2, 0.97, 0, []), (0, 2, 0.99, 0, ["loud"]),
    (0.6, 2, 0.5, 0, ["gap_start"]), (0, 2, 0.5, 0.6, ["gap_end"]), (0.4, 2, 0.5, 0.4, []), (2, 0, 0, 0, ["quiet"]),
]


def test_a_recording_is_measured(page, served):
    served.start(STATIC)
    page.goto(f"{served.url}/")
    release = page.evaluate("document.documentElement.dataset.release")

    said = page.evaluate("""async ([address, sounds]) => {
        const { faults } = await import(address);
        const rate = 8000;
        const made = (seconds, peak) => Array.from({ length: Math.round(seconds * rate) }, (_, i) => (i % 2 ? peak : -peak));
        return sounds.map(([before, seconds, peak, after]) => (
          faults(Float32Array.from([...made(before, 0), ...made(seconds, peak), ...made(after, 0)]), rate)));
    }""", [f"{served.url}/r/{release}/station/sound_check.js", [row[:4] for row in SOUNDS]])

    assert said == [row[4] for row in SOUNDS]


def test_a_text_that_is_pasted_whole_is_asked_about(microphone, place):
    asha = enter(microphone, place, "Asha")
    begun(asha, place)
    go(asha, place, "/sw/text/small.note")
    box, by_person = asha.get_by_label("Translation"), asha.get_by_label("by a person", exact=True)

    box.press_sequentially("Asante")
    expect(by_person).to_be_checked()
    expect(asha.locator(".long")).to_contain_text("6 / 20")

    paste(box, "ni")
    expect(by_person).to_be_checked()
    paste(box, "Asanteni nyote sana")
    expect(asha.get_by_text("Did a program write it?")).to_be_visible()
    assert not by_person.is_checked()
    box.fill("Asanteni nyote sana kabisa")
    expect(asha.locator(".long")).to_have_attribute("data-state", "past")


def paste(box, text: str) -> None:
    """Paste, as far as a page can tell."""
    box.evaluate("""(field, text) => {
        const held = new DataTransfer();
        held.setData("text", text);
        field.dispatchEvent(new ClipboardEvent("paste", { clipboardData: held, bubbles: true }));
    }""", text)


def test_without_scripts_everything_but_the_microphone_works(microphone, place):
    asha = enter(microphone, place, "Asha")
    begun(asha, place)
    plain = microphone.new_context(java_script_enabled=False, storage_state=asha.context.storage_state()).new_page()

    go(plain, place, "/sw/text/small.note")
    assert not plain.get_by_label("by a person", exact=True).is_checked()
    plain.get_by_label("Translation").fill("Asante")
    plain.get_by_label("by a person", exact=True).check()
    plain.get_by_role("button", name="Save").click()
    expect(plain.get_by_role("status").first).to_have_text("Kept.")

    write(asha, place, KEY, "Angalia kichwa.")
    go(plain, place, f"/sw/voice/{KEY}")
    expect(plain.get_by_label("Or a WebM file")).to_be_visible()
    expect(plain.get_by_role("button", name="Start recording")).to_be_hidden()


def test_a_draft_is_seen_on_the_tablets_own_screen_and_nothing_is_kept(microphone, place):
    asha = enter(microphone, place, "Asha")
    begun(asha, place)
    write(asha, place, STOP, STOP_SAID)

    go(asha, place, f"/sw/preview?name={STOP}")
    tablet = asha.frame_locator("iframe")
    expect(tablet.locator("[data-looked]").first).to_have_text(STOP_SAID, timeout=120_000)
    expect(tablet.locator("html")).to_have_attribute("data-begun", "preview")

    assert asha.evaluate("async () => (await indexedDB.databases()).length") == 0
    assert asha.evaluate("() => localStorage.length") == 0


def test_an_amount_that_stands_within_another_text_is_seen_too(microphone, place):
    asha = enter(microphone, place, "Asha")
    begun(asha, place)
    write(asha, place, "after.amount.iu", "vizio {n}")

    go(asha, place, "/sw/preview?name=after.amount.iu")

    expect(asha.frame_locator("iframe").locator("[data-looked]").first).to_contain_text("vizio", timeout=120_000)


def test_a_text_that_no_screen_shows_is_said_to_be_so(microphone, place):
    asha = enter(microphone, place, "Asha")
    begun(asha, place)

    go(asha, place, "/sw/preview?name=small.note")

    expect(asha.frame_locator("iframe").get_by_text("This walk met no screen")).to_be_visible(timeout=120_000)

"""Three leads at a hub who bring a language all the way, and the file a translator hands in."""

import re
import shutil
from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from checklist.demo.velindi import english, velindi
from checklist.tables import TRANSLATIONS
from checklist.translation.catalog import FILE, write_catalog
from checklist.translation.checks import asks
from checklist.translation.ledger import FILE as LEDGER
from checklist.translation.ledger import Ledger
from checklist.translation.table import read_language
from checklist.translation.workshop import OWN, Workshop
from tests.browser import weeks
from tests.browser.app import WORDS
from tests.midwife import PATIENCE_MS

TAG, NAME = "qvx", "Velindi wa Juu"
HEARD = "spoken.pull"
CLIP = "spoken.pull|n=1"
SAID = "Vuti {n}."


def words_folder(folder: Path) -> Path:
    """Lay out the English of this program alone, to be changed by a test."""
    shutil.copytree(TRANSLATIONS / "en", folder / "en")
    shutil.copy(TRANSLATIONS / "lists.toml", folder)
    return folder


def lead(browser: Browser, hub: weeks.Station, name: str) -> Page:
    """Make an account by the command, open its link, choose a password."""
    said = weeks.command("account", "add", name, "--role", "lead", "--role", "keeper", "--url", hub.url, data=hub.data)
    page = browser.new_context().new_page()
    weeks.sign_in(page, said.split()[0])
    page.hub = hub.url
    return page


def go(page: Page, path: str) -> None:
    """Open a page of the languages."""
    page.goto(f"{page.hub}/station/languages{path}")


def press(page: Page, name: str) -> None:
    """Press a key by its words, and wait for what it brings."""
    page.get_by_role("button", name=WORDS.text(name), exact=True).click()
    page.wait_for_load_state()


def add_language(page: Page) -> None:
    """Begin a language that no library knows."""
    go(page, "/new")
    for field, said in (
        ("tag", TAG), ("name", NAME), ("english", "Upper Velindi"), ("script", "Latn"), ("sample", "Velindi"),
        ("plural_forms", "nplurals=2; plural=(n != 1);"),
    ):
        page.locator(f"#{field}").fill(said)
    press(page, "languages.add")
    page.wait_for_url(f"**/languages/{TAG}")


def file_of(room: Workshop, but: str, folder: Path) -> Path:
    """Translate everything but one sentence, as a translator does at home."""
    forms = {name: [velindi(entry.text)] for name, entry in room.source.items() if name != but}
    write_catalog(folder, read_language(room.folder_of(TAG)), room.source, forms, {})
    return folder / FILE


def hand_in(page: Page, file: Path) -> None:
    """Hand in a translator's file, by a person's word."""
    go(page, f"/{TAG}/file")
    page.set_input_files("input[type=file]", file)
    page.locator("select[name=how]").select_option("person")
    press(page, "languages.file.take")
    expect(page.get_by_text(WORDS.text("languages.file.taken"))).to_be_visible(timeout=PATIENCE_MS)


def write(page: Page, name: str, said: str) -> None:
    """Write one sentence by hand."""
    go(page, f"/{TAG}/text/{name}")
    page.get_by_label(WORDS.text("languages.translation")).press_sequentially(said)
    page.get_by_label(WORDS.text("languages.how.person"), exact=True).check()
    press(page, "languages.save")
    expect(page.get_by_text(WORDS.text("languages.kept"), exact=True).first).to_be_visible()


def check(page: Page, name: str) -> None:
    """Answer what the machine asks, and say that it says the same."""
    go(page, f"/{TAG}/text/{name}/check")
    for box in page.locator("input[name^='answer.']").all():
        box.fill("read aloud: the same")
    press(page, "languages.check.says")


def say_back(page: Page, text: str) -> None:
    """Say blind what the one text that waits for it means."""
    go(page, f"/{TAG}/turn/back")
    page.locator(f"a[href*='/{TAG}/back/']").first.click()
    page.get_by_label(WORDS.text("languages.back.says")).fill(text)
    press(page, "languages.save")


def judge(page: Page, name: str) -> None:
    """Judge that the text was understood as it was meant."""
    go(page, f"/{TAG}/text/{name}/judge")
    press(page, "languages.judge.same")


def approve(page: Page, list_id: str) -> None:
    """Approve a whole list as its page shows it."""
    go(page, f"/{TAG}/list/{list_id}")
    press(page, "languages.approve")
    expect(page.get_by_text(WORDS.text("languages.approved"))).to_be_visible(timeout=PATIENCE_MS)


def record(page: Page, key: str) -> None:
    """Speak a sentence into the microphone and send it."""
    go(page, f"/{TAG}/voice/{key}")
    page.get_by_role("button", name=WORDS.text("languages.clip.start")).click()
    expect(page.locator("output")).to_have_text(re.compile(r"^(1\.[5-9]|[2-9])"), timeout=PATIENCE_MS)
    page.get_by_role("button", name=WORDS.text("languages.clip.stop"), exact=True).click()
    expect(page.locator("[data-part=checks]")).to_have_text(WORDS.text("languages.sound.fine"), timeout=PATIENCE_MS)
    page.get_by_label(WORDS.text("languages.clip.consent")).check()
    press(page, "languages.clip.send")


def hear(page: Page, key: str) -> None:
    """Say that a recording says exactly this."""
    go(page, f"/{TAG}/voice/{key}")
    press(page, "languages.clip.exactly")


def make_pack(page: Page) -> None:
    """Make the pack and put it in force."""
    go(page, f"/{TAG}/pack")
    press(page, "languages.table.approve")
    press(page, "languages.pack.make")
    expect(page.get_by_text(WORDS.text("languages.pack.made"))).to_be_visible(timeout=PATIENCE_MS)


def settle_the_rest(data: Path, shipped: Path, but: str, at: int) -> None:
    """Have two people check, read back and judge a thousand sentences of a list, as they would in weeks on the pages."""
    room = Workshop(shipped, data / OWN)
    folder, place = room.open(TAG), data / OWN / TAG
    held = Ledger.read(place / LEDGER)
    ledger = Ledger(held.rows())
    for name in room.lists["bedside"].ids(room.source):
        entry, forms = room.source[name], folder.forms(name)
        if name == but:
            continue
        answers = {finding.code: "read aloud: the same" for finding in asks(folder.findings(name))}
        ledger.add(entry, forms, "checked", "Ben", at, answers=answers)
        if entry.safety:
            ledger.add(entry, forms, "back", "Chidi", at, "person", text=english(forms[0]))
            ledger.add(entry, forms, "judged", "Ben", at, same=True)
    held.add_all(ledger.rows()[len(held.rows()):])

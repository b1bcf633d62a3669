"""A station with a small list to translate, and people who do it over HTTP."""

import re
import shutil
from dataclasses import replace

import pytest

from checklist import packs
from checklist.tables import TRANSLATIONS
from checklist.translation.workshop import Workshop
from tests.server.leads import asha, ben  # noqa: F401
from tests.server.people import Person, an_account

HOME = "/station/languages"
TAG = "sw"
STOP, PULL, NOTE = "small.stop", "spoken.small", "small.note"
LIST = '[[list]]\nid = "bedside"\npages = ["pull"]\nfiles = ["small"]\n'
WORDS = '''
"small.stop" = { text = "Do not pull after 3 pulls.", max = 60, safety = true, note = "Rule" }
"spoken.small" = { text = "Pull {n}.", max = 30, safety = true, note = "Heard", values = [{ n = 1 }, { n = 2 }] }
"small.note" = { text = "Thank you", max = 30, safety = false, note = "Kind word" }
'''
# In no list, so that nothing waits for them.
MANY, AIR = "many.pulls", "many.air"
MORE = '''
"many.pulls" = { text = "{n} pull", plural = "{n} pulls", max = 30, safety = true, note = "Count" }
"many.air" = { text = "Up to 80 kPa", max = 30, safety = false, note = "Limit" }
'''
SAID = {STOP: "Usivute baada ya mivuto 3.", PULL: "Vuta {n}.", NOTE: "Asante"}
# The least that a browser's recording begins with: container, kind, coding.
WEBM = b"\x1a\x45\xdf\xa3\x9fB\x82\x84webm" + b"\0" * 40 + b"\x86\x86A_OPUS" + b"\1" * 200


@pytest.fixture
def settings(tmp_path, settings):
    """The station's settings, with a small list of sentences beside all the others."""
    folder = tmp_path / "translations"
    shutil.copytree(TRANSLATIONS / "en", folder / "en")
    (folder / "en" / "words" / "small.toml").write_text(WORDS, encoding="utf-8")
    (folder / "en" / "words" / "many.toml").write_text(MORE, encoding="utf-8")
    (folder / "lists.toml").write_text(LIST, encoding="utf-8")
    return replace(settings, translations=folder)


@pytest.fixture
def chidi(app, station, asha):
    """The third lead."""
    return an_account(app, station, "Chidi", "lead")


@pytest.fixture
def room(settings) -> Workshop:
    """The same files that the station works on."""
    return Workshop(settings.translations, settings.own_translations)


@pytest.fixture
def swahili(room, asha):
    """Swahili, begun and empty."""
    return room.add(TAG)


def text_page(name: str) -> str:
    """The address of one text."""
    return f"{HOME}/{TAG}/text/{name}"


def write(person: Person, name: str, said: str, how: str = "person", page: str | None = None, **more: object):
    """Write a text on its page."""
    shown = page or person.get(text_page(name)).text
    base = re.search(r'name="base" value="([^"]*)"', shown)[1]
    return person.post(text_page(name), page=text_page(name), form0=said, how=how, base=base, **more)


def asked(person: Person, name: str) -> list[str]:
    """The questions that the machine has of a text."""
    return re.findall(r'name="(answer\.[^"]+)"', person.get(f"{text_page(name)}/check").text)


def tgt(person: Person, name: str) -> str:
    """The name of a text as it stands on its page."""
    return re.search(r'name="base" value="([^"]*)"', person.get(text_page(name)).text)[1]


def check(person: Person, name: str, **more: object):
    """Answer everything that is asked, and say that it says the same; sent even where no form is offered."""
    answers = dict.fromkeys(asked(person, name), "yes, by this word")
    told = {**answers, "tgt": tgt(person, name), **more}
    return person.post(f"{text_page(name)}/check", page=f"{HOME}/new", **told)


def back_pages(person: Person) -> list[str]:
    """The addresses at which a person may say blind what a text means."""
    return re.findall(rf'href="({HOME}/{TAG}/back/[^"]+)"', person.get(f"{HOME}/{TAG}/turn/back").text)


def say_back(person: Person, page: str, text: str = "Stop after three"):
    """Say what a text means."""
    found = re.search(r'name="tgt" value="([^"]*)"', person.get(page).text)
    return person.post(page, page=f"{HOME}/new", text=text, how="person", tgt=found[1] if found else "")


def judge(person: Person, name: str, same: str = "yes", **more: object):
    """Judge what a text was said to mean, as its page shows it."""
    back = re.search(r'name="back" value="([^"]*)"', person.get(f"{text_page(name)}/judge").text)
    told = {"tgt": tgt(person, name), "back": back[1] if back else "", **more}
    return person.post(f"{text_page(name)}/judge", page=f"{HOME}/new", same=same, **told)


def approve(person: Person, list_id: str = "bedside"):
    """Approve a list as its page shows it."""
    page = f"{HOME}/{TAG}/list/{list_id}"
    seen = re.search(r'name="seen" value="([^"]*)"', person.get(page).text)
    return person.post(f"{page}/approve", page=f"{HOME}/new", seen=seen[1] if seen else "")


def approve_table(person: Person):
    """Approve the table of the language as its page shows it."""
    seen = re.search(r'name="seen" value="([^"]*)"', person.get(f"{HOME}/{TAG}/pack").text)
    return person.post(f"{HOME}/{TAG}/table/approve", page=f"{HOME}/new", seen=seen[1] if seen else "")


def make_whole(asha: Person, ben: Person, chidi: Person, table: Person | None = None) -> None:
    """Bring the small list all the way."""
    for name, said in SAID.items():
        assert write(asha, name, said).status_code == 303
        assert check(ben, name).status_code == 303
    while pages := back_pages(chidi):
        assert say_back(chidi, pages[0]).status_code == 303
    for name in (STOP, PULL):
        assert judge(ben, name).status_code == 303
    assert approve(ben).status_code == 303
    assert approve_table(table or ben).status_code == 303


def in_force(station) -> dict[str, str]:
    """The packs in force."""
    return packs.in_force(station.journal.reader)

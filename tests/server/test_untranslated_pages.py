"""No page of the station holds a word that was never given to a translator."""

import re
from collections import deque
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from checklist.demo import fill as fill_demo
from tests.pseudo import pseudo_translations
from tests.server.pages import fill

LANGUAGE = "en-XA"
SETTINGS = {"post": "Three Wells", "altitude_m": "2400", "gauge_unit": "kpa", "same_contraction_s": "20", "language": LANGUAGE}
# What a person wrote, what is data, and what is the English that a translator reads.
FREE = {"bdi", "code", "kbd", "script", "style", "textarea"}
EMPTY = {"br", "hr", "img", "input", "link", "meta", "path", "circle", "line", "rect", "polygon", "col", "use"}
ATTRIBUTES = ("aria-label", "alt", "placeholder", "title")
# Signs that are the same in every language, and the demonstration's own names.
KEPT = re.compile(
    r"kgf/cm²|mmHg|inHg|kPa|\bmL\b|\bcm\b|\bmm\b|\bmin\b|\bbar\b|\bkB\b|\bMB\b|/min|\bh\b|\bs\b|\bm\b|\bUTC\b|[0-9a-f]{4,}\b|\bT\b"
    r"|Three Wells|Stone Bridge|Upper Velinda|Velindi|en-XA|CSV|FHIR|SQLite|WebM|English"
)
MOST_PAGES = 90
# Pages that differ in what they are about, and in nothing else: one of each is enough.
ALIKE = re.compile(r"[0-9a-f]{8,}|\d+|=[^&]*|(?<=/languages/)(?:ar|es|fr|sw)\b|(?<=/text/)[^/?]+|(?<=/list/)[^/?]+|(?<=/voice/)[^/?]+")
# Behind them lies what a language is made of.
REACHED = {f"/station/languages/{tag}/{page}" for tag in ("…", "qvv") for page in ("glossary", "glossary/term?en…", "table", "pack")}
LETTERS = re.compile(r"[A-Za-z]")


class Said(HTMLParser):
    """Gathers what a page says in words of its own, and where it leads."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.texts: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        free = tag in FREE or told.get("lang", LANGUAGE) != LANGUAGE or any(is_free for _, is_free in self.open)
        if tag == "a" and told.get("href", "").startswith("/station") and "download" not in told:
            self.links.append(told["href"].partition("#")[0])
        if not free:
            self.texts += [told[name] for name in ATTRIBUTES if told.get(name)]
        if tag not in EMPTY:
            self.open.append((tag, free))

    def handle_endtag(self, tag):
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data):
        if not any(free for _, free in self.open):
            self.texts.append(data)


@pytest.fixture
def client(open_app, settings, tmp_path):
    """A station with the demonstration's births that speaks the long language nobody speaks."""
    folder = pseudo_translations(tmp_path / "translations")
    app = open_app(replace(settings, translations=folder, ready=frozenset({LANGUAGE})))
    fill_demo(app)
    client = app.test_client()
    fill(client, "/station/settings", **SETTINGS)
    return client


def test_no_word_of_a_station_page_was_left_untranslated(client):
    ahead, seen, left = deque(["/station/"]), set(), set()
    while ahead and len(seen) < MOST_PAGES:
        path = ahead.popleft()
        shape = ALIKE.sub("…", path)
        if shape in seen:
            continue
        seen.add(shape)
        reply = client.get(path, environ_base={"REMOTE_ADDR": "127.0.0.1"})
        if not reply.content_type.startswith("text/html"):
            continue
        page = Said()
        page.feed(reply.text)
        ahead.extend(page.links)
        left |= {f"{shape}: {text.strip()}" for text in page.texts if LETTERS.search(KEPT.sub("", text))}

    assert not ahead and seen >= REACHED
    assert sorted(left) == []

"""Packs of words made by hand, put in force as a person does, and a hub whose answers can be spoiled."""

import hashlib
import json
import unicodedata

import pytest
from flask import request

from checklist import pack_body, packs
from checklist.language import SOURCE, load
from checklist.tables import TRANSLATIONS
from tests.server.tablet import Tablet

TAG = "qaa"
ENGLISH = load(TRANSLATIONS, SOURCE).messages
WORDS = {"app.failed": "Nafun.", "problem.not_found": "Ini tafo."}
CLIP = b"\x1aE\xdf\xa3 a voice"
VOICES = [CLIP + bytes([number]) * 2000 for number in range(3)]


def source_hash(name: str, text: str) -> str:
    """Name an English sentence as a translation is bound to it."""
    told = json.dumps(["src", name, unicodedata.normalize("NFC", text), None], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(told.encode()).hexdigest()[:20]


def a_pack(words: dict[str, str], clips: dict[str, bytes] | None = None, **other) -> bytes:
    """Write a pack of words {id: text} with clips {id: bytes}."""
    return pack_body.write({
        "pack": 1, "tag": TAG, "name": "Tongue", "english": "Tongue", "dir": "ltr", "script": "Latn",
        "sample": "abc", "decimal": ".", "order": "nu", "digits": "latn", "units": {"min": "min"},
        "fallback": [SOURCE], "plural": "", "m": words,
        "src": {name: source_hash(name, ENGLISH.get(name, "")) for name in words},
        "voice": {
            name: {"clip": pack_body.digest(clip), "type": "audio/webm", "values": "", "src": "", "tgt": ""}
            for name, clip in (clips or {}).items()
        },
        "withdrawn": [], "by": "Asha", "at": 1, **other,
    })


def by_digest(*clips: bytes) -> dict[str, bytes]:
    """Give clips by their names."""
    return {pack_body.digest(clip): clip for clip in clips}


def make(served, body: bytes, *clips: bytes, by: str = "Asha") -> str:
    """Put a pack in force at a station as its page does; gives its name."""
    shared = served.parts
    return shared.journal.write(
        lambda store: packs.keep(store, shared.identity, body, by_digest(*clips), by, shared.now())
    )


def withdraw(served, *ids: str) -> str:
    """Withdraw lines at a station as its page does."""
    shared = served.parts
    return shared.journal.write(
        lambda store: packs.without(store, shared.identity, TAG, set(ids), "Ben", shared.now())
    )


def in_force(served) -> str | None:
    """Name the pack in force."""
    return packs.in_force(served.journal.reader).get(TAG)


def said(served) -> list[dict]:
    """Give the facts of what a station said of packs in its own log, in order."""
    log = served.parts.identity.log
    rows = served.journal.reader.execute(
        "select line from event join log using (log_no) where log = ? order by seq", (log,)
    )
    events = [json.loads(row["line"]) for row in rows]
    return [event["facts"] for event in events if event["kind"] == packs.KIND]


class Spoiled:
    """A hub whose answers to one kind of request are changed on their way; counts them."""

    def __init__(self, served, path: str = "/v1/things/") -> None:
        self.asked: list[str] = []
        self.change = lambda response, count: response
        self._path = path
        # The first that was added hears an answer last, when it is ready to leave.
        served.app.after_request_funcs.setdefault(None, []).insert(0, self._spoil)

    def _spoil(self, response):
        if not request.path.startswith(self._path):
            return response
        self.asked.append(request.path)
        return self.change(response, len(self.asked))


def cut(response):
    """Break off in the middle of an answer."""
    data = response.get_data()
    response.set_data(data[: len(data) // 2])
    response.headers["Content-Length"] = str(len(data))
    return response


def other_bytes(response, data: bytes):
    """Answer with other bytes."""
    response.set_data(data)
    response.headers.pop("Content-Encoding", None)
    return response


SPOKEN = a_pack(WORDS, {"app.failed": VOICES[0], "problem.not_found": VOICES[1], "problem.not_found|n=1": VOICES[2]})


@pytest.fixture
def post(serve, hub):
    """Give a station that reports to it."""
    post = serve("post")
    post.join(hub)
    return post


def a_birth(post):
    """Record a birth at a station; gives its lines."""
    tablet, client = Tablet(), post.app.test_client()
    tablet.ask(client)
    post.state_of(tablet.device_id, "admitted")
    tablet.pull(tablet.open_case(), 2)
    assert tablet.send(client).status_code == 200
    return set(tablet.lines)


def clips_held(post):
    return post.journal.reader.execute("select count(*) from thing").fetchone()[0]

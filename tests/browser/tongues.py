"""Languages as a tablet gets them: made-up French in every state, with or without a voice."""

import base64
import json
import shutil
from dataclasses import replace
from pathlib import Path

from playwright.sync_api import BrowserContext, Page

from checklist.language import SOURCE, Pack, load, pages_of, read_lists, tablet_pack
from checklist.tables import TRANSLATIONS
from tests.browser.app import MORNING, open_at
from tests.midwife import Midwife

TAG = "fr"
LISTS = read_lists(TRANSLATIONS)
ENGLISH = load(TRANSLATIONS, SOURCE)
_SHIPPED = load(TRANSLATIONS, TAG, ready=True)
# Whole, whatever the shipped draft may still lack.
FRENCH = replace(_SHIPPED, own=frozenset(ENGLISH.messages), messages={
    name: _SHIPPED.messages[name] if name in _SHIPPED.own else f"‹{text}›" for name, text in ENGLISH.messages.items()
})
# Records a short tone as the lead's browser records a sentence; gives base64 of WebM with Opus.
_RECORD = """async (hz) => {
  const context = new AudioContext();
  const tone = context.createOscillator();
  const taken = context.createMediaStreamDestination();
  tone.frequency.value = hz;
  tone.connect(taken);
  const recorder = new MediaRecorder(taken.stream, { mimeType: "audio/webm;codecs=opus" });
  const pieces = [];
  recorder.ondataavailable = ({ data }) => pieces.push(data);
  const done = new Promise((resolve) => { recorder.onstop = resolve; });
  tone.start();
  recorder.start();
  await new Promise((resolve) => setTimeout(resolve, 600));
  recorder.stop();
  await done;
  const bytes = new Uint8Array(await new Blob(pieces).arrayBuffer());
  return btoa(String.fromCharCode(...bytes));
}"""


def kept_pack(*, without: tuple[str, ...] = (), stale: tuple[str, ...] = (), voice: dict | None = None) -> bytes:
    """Make a pack as it is kept: whole but for the files `without`; the English of `stale` ids has changed since."""
    names = [name for name in sorted(FRENCH.own) if ENGLISH.files[name] not in without]
    table = {key: getattr(FRENCH, key) for key in ("name", "dir", "script", "sample", "decimal", "order", "units", "plural")}
    told = table | {
        "pack": 1, "tag": TAG, "english": "French", "digits": "latn", "fallback": [SOURCE], "by": "test", "at": 0,
        "m": {name: FRENCH.messages[name] for name in names},
        "src": {name: "0" * 20 if name in stale else ENGLISH.src[name] for name in names},
        "voice": voice or {}, "withdrawn": [],
    }
    return json.dumps(told, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def taken(**told: object) -> Pack:
    """Read such a pack as a release takes it."""
    return tablet_pack(kept_pack(**told), ENGLISH, LISTS)


def release_of(folder: Path, *packs: Pack, clips: dict[str, bytes] | None = None) -> Path:
    """Lay out packs and clips for a shell that is served without a station."""
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "packs").mkdir(parents=True)
    (folder / "voice").mkdir()
    for pack in (ENGLISH, *packs):
        (folder / "packs" / f"{pack.lang}.json").write_bytes(pack.as_json())
    for name, data in (clips or {}).items():
        (folder / "voice" / f"{name}.webm").write_bytes(data)
    (folder / "pages.json").write_text(json.dumps(pages_of(LISTS)), encoding="utf-8")
    return folder


def draft() -> Pack:
    """Give the same French as a draft."""
    return replace(FRENCH, kind="draft", lists=dict.fromkeys(LISTS, False))


def recorded(page: Page, hz: int) -> bytes:
    """Record a tone in the browser."""
    return base64.b64decode(page.evaluate(_RECORD, hz))


def open_in(context: BrowserContext, url: str, language: str = TAG, words: Pack = ENGLISH) -> Midwife:
    """Open the app with a language chosen; the hands read `words`."""
    context.add_init_script(f"if (location.protocol !== 'about:') localStorage.settings ??= JSON.stringify({{ language: '{language}' }})")
    page = open_at(context, url, MORNING).page
    # There is no station to speak with, and what the worker does not hold yet may still be read.
    context.set_offline(False)
    return Midwife(page, words, driven=True)

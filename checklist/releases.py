"""The release of the tablet app that is in force, and the ones before it.

Made anew when other packs come into force. A tablet that is in the middle of fetching
an earlier one finds every file of it still there.
"""

import sqlite3
from collections.abc import Callable, Hashable, Mapping
from dataclasses import replace
from threading import Lock

from checklist import language, packs
from checklist.config import Settings
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.language import SOURCE, Pack
from checklist.pack_body import clips_of, digest, read
from checklist.shell import File, Release
from checklist.translation.lists import WordList

Words = dict[str, bytes]
# Two lines withdrawn and a pack made, all while a tablet fetches, must not take its files from it.
KEPT = 4


class Releases:
    """The newest release, made again by whoever asks first after what it is made of has changed."""

    def __init__(
        self, make: Callable[[], Release], made_of: Callable[[], Hashable] = lambda: None,
        in_force: Mapping[str, Pack] | None = None,
    ) -> None:
        """Take how to make a release, what tells that another one is due, and the packs that making it reads."""
        self.packs = {} if in_force is None else in_force
        self._make, self._made_of, self._lock = make, made_of, Lock()
        self._seen = made_of()
        self._kept = (make(),)

    @property
    def last(self) -> Release:
        """Give the newest release that is made; never waits."""
        return self._kept[0]

    def now(self) -> Release:
        """Give the release in force; waits while it is made."""
        if self._made_of() != self._seen:
            with self._lock:
                self._renew()
        return self.last

    def find(self, address: str) -> File | None:
        """Find a file of the release in force or of those before."""
        return next((release.files[address] for release in self._kept if address in release.files), None)

    def _renew(self) -> None:
        # Read before it is made: what changes meanwhile makes one more.
        seen = self._made_of()
        if seen == self._seen:
            return
        fresh = self._make()
        if fresh.name != self.last.name:
            self._kept = (fresh, *self._kept)[:KEPT]
        self._seen = seen


def of_station(settings: Settings, journal: Journal, shipped: dict[str, Pack]) -> Releases:
    """Give the releases of a station: the app, the shipped words, and the packs in force here."""
    seen: list[Hashable] = [()]
    voice: dict[str, bytes] = {}

    def made_of() -> Hashable:
        try:
            seen[0] = tuple(packs.in_force(journal.reader).items())
        except sqlite3.Error:
            # Even a damaged journal must not keep a tablet from its app.
            pass
        return seen[0]

    def make() -> Release:
        nonlocal voice
        words, voice = _words(journal.reader, shipped, lists, in_force, voice)
        return Release.build(settings.static, words, settings.demo, pages=language.pages_of(lists), voice=voice)

    lists = language.read_lists(settings.translations)
    in_force: dict[str, Pack] = {}
    return Releases(make, made_of, in_force)


def _words(
    reader: sqlite3.Connection, shipped: dict[str, Pack], lists: dict[str, WordList], in_force: dict[str, Pack],
    known: dict[str, bytes],
) -> tuple[Words, dict[str, bytes]]:
    """Gather the words as tablets read them, and the clips that go with them; fills in the packs in force.

    known: clips that the release before has, which need not be held twice.
    """
    words = {tag: pack.as_json() for tag, pack in shipped.items()}
    voice: dict[str, bytes] = {}
    for tag, body in _kept(reader).items():
        try:
            pack = language.tablet_pack(body, shipped[SOURCE], lists)
            found = {clip: data for clip in clips_of(read(body)) if (data := known.get(clip) or _clip(reader, clip))}
            # What cannot be played is named nowhere: the sentence is shown, as one that was never recorded.
            files = {f"voice/{clip}.webm" for clip in found}
            pack = replace(pack, voice={key: row for key, row in pack.voice.items() if row["file"] in files})
            words[tag] = pack.as_json()
        except ChecklistError:
            # A pack that another version kept and this one cannot use must not keep a tablet from its app.
            continue
        voice |= found
        in_force[tag] = pack
    return words, voice


def _clip(reader: sqlite3.Connection, clip: str) -> bytes | None:
    """Give a clip, or None when it is not held or was damaged where it lay."""
    try:
        body = packs.held(reader, clip)
    except sqlite3.Error:
        return None
    return body if body and digest(body) == clip else None


def _kept(reader: sqlite3.Connection) -> Words:
    try:
        return packs.bodies(reader)
    except sqlite3.Error:
        return {}

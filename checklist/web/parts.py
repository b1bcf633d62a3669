"""What the pages of one app share: journal, identity, words, settings, clock.

Made once in create_app; a page takes it from here and opens nothing itself.
"""

import sqlite3
import time
from dataclasses import dataclass

from flask import Response, current_app

from checklist import station
from checklist.config import Settings
from checklist.journal import Journal
from checklist.language import SOURCE, STATION, Pack, speaking
from checklist.releases import Releases
from checklist.station import Identity, Post

NAME = "checklist"
ROUNDS = "rounds"


@dataclass(frozen=True)
class Parts:
    """The parts that one app is built from."""

    settings: Settings
    journal: Journal
    identity: Identity
    packs: dict[str, Pack]
    releases: Releases

    @property
    def release(self) -> str:
        """Give the name of the newest release of the tablet app."""
        return self.releases.last.name

    @property
    def post(self) -> Post:
        """Give the settings of the post, as shipped while nobody has set any."""
        return station.settings(self.journal.reader, self.identity) or Post()

    @property
    def pack(self) -> Pack:
        """Give the words of the station's pages: the post's language where all of it is ready, or what stands in for it."""
        try:
            language = self.post.language
        except sqlite3.Error:
            # Even a damaged journal must not keep the station from saying so.
            language = SOURCE
        # Nothing in a demo is real, so a draft may speak there; its pages say so.
        return speaking(self.packs | self.releases.packs, language, STATION, drafts=self.settings.demo)

    @staticmethod
    def now() -> int:
        """Give the wall time in ms; no decision about what to keep reads it."""
        return time.time_ns() // 1_000_000


def parts() -> Parts:
    """Give the parts of the app that answers."""
    return current_app.extensions[NAME]


def renew_release(response: Response) -> Response:
    """Make the next release behind this answer, so that no tablet waits while it is made."""
    response.call_on_close(parts().releases.now)
    return response


def tell_upward(stored: int) -> None:
    """Let the rounds know that so many new events are to be sent on, where there are rounds."""
    rounds = current_app.extensions.get(ROUNDS)
    if rounds and stored:
        rounds.wake()

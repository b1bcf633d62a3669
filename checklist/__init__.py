"""An offline checklist, memory aid and record for vacuum-assisted birth."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

    from checklist.config import Settings


def create_app(settings: "Settings") -> "Flask":
    """Make the app of a station; raises data_unwritable, journal_damaged, words_missing."""
    # Imported late: the core and the command line's help need none of the web.
    from checklist.app import create_app as build

    return build(settings)

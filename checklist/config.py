"""Settings of one station, frozen at start.

Reads no file and no environment: the command line or a test hands everything in.
"""

from dataclasses import dataclass, field
from pathlib import Path

import platformdirs

from checklist.tables import STATIC, TRANSLATIONS

DATABASE = "station.sqlite3"
# A file of this name says that no case in its folder is real.
INVENTED = "invented"


def data_folder() -> Path:
    """Give the folder in which a station keeps its journal unless told otherwise."""
    return Path(platformdirs.user_data_dir("vacuum-birth-checklist", appauthor=False)) / "station"


def demo_folder(data: Path) -> Path:
    """Give the folder of invented cases, beside the real one so that they never mix."""
    return data.parent / "demo"


def is_invented(data: Path) -> bool:
    """Say whether a folder is marked as holding invented cases only."""
    return (data / INVENTED).is_file()


@dataclass(frozen=True)
class Settings:
    """What a station is told once.

    data: folder of the journal; static, translations: folders of both halves'
    files; demo: every case is invented and every screen says so; certificate:
    folder with server.pem and server.key, needed for any host but loopback;
    ready: languages that are taken for approved, for tests alone: no command sets it.
    """

    data: Path = field(default_factory=data_folder)
    static: Path = STATIC
    translations: Path = TRANSLATIONS
    demo: bool = False
    host: str = "127.0.0.1"
    port: int = 8765
    certificate: Path | None = None
    ready: frozenset[str] = frozenset()

    @property
    def database(self) -> Path:
        """Give the path of the SQLite file."""
        return self.data / DATABASE

    @property
    def own_translations(self) -> Path:
        """Give the folder of the languages that are worked on here."""
        return self.data / "translations"

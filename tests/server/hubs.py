"""Real stations over real HTTP in one process, each on a port of its own."""

from pathlib import Path
from threading import Thread

import pytest

from checklist import create_app, pairing, server, upstream
from checklist.admission import make_code
from checklist.config import Settings
from checklist.web.parts import NAME


class Served:
    """A station that answers on a port; stop it and start it as a power cut would."""

    def __init__(self, data: Path, static: Path) -> None:
        self.settings = Settings(data=data, static=static, port=0)
        self.start()

    def start(self) -> None:
        """Open the journal and listen."""
        self.app = create_app(self.settings)
        self.listening = server.prepare(self.app, self.settings)
        # To stop waits this long.
        self.listening.expiration_interval = 0.02
        self.url = f"http://127.0.0.1:{self.listening.bind_addr[1]}"
        self.settings = Settings(
            data=self.settings.data, static=self.settings.static,
            port=self.listening.bind_addr[1],
        )
        self.thread = Thread(target=self.listening.serve, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        """Close everything."""
        self.listening.stop()
        self.thread.join()
        self.parts.journal.close()

    @property
    def parts(self):
        """Give the parts of the app."""
        return self.app.extensions[NAME]

    @property
    def journal(self):
        """Give its journal."""
        return self.parts.journal

    def code(self) -> str:
        """Make a one-time code."""
        return make_code(self.journal, self.parts.identity, "", self.parts.now())

    def join(self, hub: "Served", code: str | None = None) -> str:
        """Report to a hub from now on."""
        return upstream.join(
            self.journal, self.parts.identity, url=hub.url, code=code or hub.code(),
            authority="", name="Hill post", now=self.parts.now(),
        )

    def sync(self):
        """Hold one session with the hub."""
        return upstream.session(self.journal, self.parts.identity, self.parts.now)

    def lines(self) -> set[str]:
        """Give every line that is held."""
        return {row[0] for row in self.journal.reader.execute("select line from event")}

    def state_of(self, device_id: str, state: str) -> None:
        """Settle a device as its keeper does."""
        self.journal.write(lambda store: store.connection.execute(
            "update device set state = ? where device_id = ?", (state, device_id)
        ))


def quick_codes(monkeypatch) -> None:
    """Stretch codes by few rounds; what they stand for is counted elsewhere."""
    monkeypatch.setattr(pairing, "ROUNDS", 10)


@pytest.fixture
def serve(tmp_path, shell_folder, monkeypatch):
    """Open stations by name."""
    quick_codes(monkeypatch)
    opened = []

    def open_one(name: str) -> Served:
        opened.append(Served(tmp_path / name, shell_folder))
        return opened[-1]

    yield open_one
    for one in opened:
        one.stop()


@pytest.fixture
def hub(serve):
    """Give a hub."""
    return serve("hub")

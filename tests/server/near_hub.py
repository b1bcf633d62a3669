"""A station and a hub in one process, spoken to by plain calls instead of HTTP."""

from pathlib import Path

import pytest

from checklist import device, intake, keys, outbox, peer, relay, relayed, station, stored
from checklist.errors import ChecklistError
from checklist.heads import tag, tell
from checklist.journal import Journal
from tests.server.tablet import START_MS, Tablet

NOW = START_MS


class Post:
    """A station, hub or both: a journal, an identity, and tablets that it admitted."""

    def __init__(self, folder: Path, name: str = "post") -> None:
        self.path, self.name = folder / f"{name}.sqlite3", name
        self.open()

    def open(self) -> None:
        """Open the journal, as at a start of the program."""
        self.journal = Journal.open(self.path)
        self.identity = self.journal.write(lambda store: station.found(store, NOW))
        self.key = keys.public_key_of(self.identity.private_key)

    def restore(self, copy: Path) -> None:
        """Put back a copy of the journal that save made."""
        self.journal.close()
        for left in self.path.parent.glob(f"{self.path.name}-*"):
            left.unlink()
        self.path.write_bytes(copy.read_bytes())
        self.open()

    def save(self) -> Path:
        """Copy the journal as it is now."""
        copy = self.path.with_suffix(".copy")
        copy.unlink(missing_ok=True)
        self.journal.reader.execute("pragma query_only = off")
        self.journal.reader.execute("vacuum into ?", (str(copy),))
        self.journal.reader.execute("pragma query_only = on")
        return copy

    def admit(self, tablet: Tablet) -> Tablet:
        """Let a tablet send."""
        self.journal.write(
            lambda store: device.add(
                store.connection, tablet.public_key, tablet.name, device.ADMITTED, NOW
            )
        )
        return tablet

    def hear(self, tablet: Tablet, first: int = 1, last: int | None = None):
        """Take a batch of a tablet."""
        return intake.take(self.journal, tablet.batch(first, last), "", NOW)

    def join(self, hub: "Post") -> "NearHub":
        """Make a hub of another, as a code would; gives the way to it."""
        hub.journal.write(lambda store: device.add(
            store.connection, self.key, self.name, device.ADMITTED, NOW, kind=device.POST
        ))
        self.journal.write(lambda store: peer.join(
            store.connection, url="near", public_key=hub.key, name=hub.name, authority="",
            size=relay.SIZES["first"], now=NOW,
        ))
        return NearHub(hub, self.identity.station_id)

    def say(self, station_id: str, text: str) -> None:
        """Write a remark into the outbox of a station."""
        def write(store):
            log = outbox.outbox_for(store, self.identity, station_id, NOW)
            outbox.say(store, self.identity, log, "remark_made", {"text": text}, NOW)

        self.journal.write(write)

    def lines(self) -> set[str]:
        """Give every line that is held."""
        return {row[0] for row in self.journal.reader.execute("select line from event")}


class NearHub:
    """Implements relay.Hub on a Post; counts what is asked, and fails when told to."""

    def __init__(self, post: Post, station_id: str) -> None:
        self.post, self.station_id = post, station_id
        self.asked: list[str] = []
        self.fail_at: dict[str, int] = {}

    def _ask(self, what: str) -> None:
        self.asked.append(what)
        if self.asked.count(what) == self.fail_at.get(what):
            raise ChecklistError("station_unreachable", why="the line broke")

    def heads(self, seen: str) -> dict | None:
        """Answer GET /v1/heads."""
        self._ask("heads")
        reader = self.post.journal.reader
        caller = device.known(reader, self.station_id)
        told = tell(reader, self.post.identity, caller, demo=False)
        return None if tag(told) == seen else told

    def introduce(self, devices: list[dict]) -> dict[str, str]:
        """Answer POST /v1/devices/relayed."""
        self._ask("introduce")
        return self.post.journal.write(
            lambda store: relayed.introduce(store, self.station_id, devices, NOW)
        )

    def push(self, body: bytes) -> list[dict]:
        """Answer POST /v1/batches; the answer may get lost after the work is done."""
        outcomes = intake.take_relayed(self.post.journal, self.station_id, body, "", NOW)
        self._ask("push")
        return outcomes

    def pull(self, log: str, after: int, skip: int) -> relay.Pulled:
        """Answer GET /v1/logs/<log>/batches."""
        self._ask("pull")
        reader = self.post.journal.reader
        given, following = relayed.readable(
            reader, self.post.identity, self.station_id, log, after=after, skip=skip, largest=1 << 18
        )
        key = device.known(reader, given[0][0].device)["public_key"] if given else ""
        return relay.Pulled(stored.part(stored.write(given)) if given else [], key, following)


@pytest.fixture
def hub(tmp_path):
    """Give a hub."""
    hub = Post(tmp_path, "hub")
    yield hub
    hub.journal.close()


@pytest.fixture
def post(tmp_path):
    """Give a station."""
    post = Post(tmp_path, "post")
    yield post
    post.journal.close()


@pytest.fixture
def way(post, hub):
    """Give the way from the station to the hub."""
    return post.join(hub)

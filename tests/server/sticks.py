"""A station and its hub that know each other only by files."""

import io
from pathlib import Path

from checklist import device, receipt, sealing, stick, stick_export, stick_import
from tests.server.near_hub import NOW, Post
from tests.server.tablet import Tablet


class Pair:
    """A hub and a station that trusts the hub's key; a tablet sends to the station."""

    def __init__(self, folder: Path) -> None:
        self.hub, self.post = Post(folder, "hub"), Post(folder, "post")
        self.said = self.seal(self.hub)
        self.post.journal.write(lambda store: sealing.trust(store.connection, self.said, NOW))
        self.tablet = self.post.admit(Tablet())

    @staticmethod
    def seal(post: Post) -> dict:
        """Make the key that files for a hub are sealed to."""
        return post.journal.write(lambda store: sealing.found(store, post.identity, NOW))

    def birth(self, pulls: int = 3) -> str:
        """Let the tablet tell one more birth and the station hear of it."""
        first = len(self.tablet.lines) + 1
        case = self.tablet.open_case()
        self.tablet.pull(case, pulls)
        self.post.hear(self.tablet, first)
        return case

    def fork(self) -> Tablet:
        """Let a copy of the tablet tell another birth at the numbers of its next one."""
        twin = self.tablet.twin()
        self.birth()
        first = len(twin.lines) + 1
        twin.pull(twin.open_case("Bed 9"))
        self.post.hear(twin, first)
        return twin

    def file(
        self, *, everything: bool = False, said: dict | None = None, demo: bool = False
    ) -> bytes:
        """Make a file at the station."""
        out, said = io.BytesIO(), said or self.said
        label = stick.new_label(said["hub"])
        stick.write(out, label, said["seal"], stick_export.gather(
            self.post.journal.reader, self.post.identity, label,
            everything=everything, now=NOW, demo=demo,
        ))
        return out.getvalue()

    def take(self, text: bytes, *, admit: bool = False) -> stick_import.Taken:
        """Take a file in at the hub."""
        return stick_import.take(
            self.hub.journal, self.hub.identity, io.BytesIO(text), NOW, admit=admit
        )

    def admit(self) -> None:
        """Let the station send to the hub."""
        self.hub.journal.write(lambda store: device.add(
            store.connection, self.post.key, "post", device.ADMITTED, NOW, kind=device.POST
        ))

    def receipt(self, at: int = NOW) -> bytes:
        """Write the hub's receipt for the station."""
        return receipt.make(
            self.hub.journal.reader, self.hub.identity, self.post.identity.station_id, at
        )

    def hand_back(self, text: bytes) -> int:
        """Take a receipt in at the station."""
        return self.post.journal.write(
            lambda store: receipt.take(store, self.post.identity, text, NOW)
        )


def contents(post: Post) -> dict[str, list]:
    """Give every row of every table, to see whether anything has changed."""
    reader = post.journal.reader
    tables = [row[0] for row in reader.execute("select name from sqlite_master where type = 'table'")]
    return {
        table: [tuple(row) for row in reader.execute(f"select * from {table} order by 1")]
        for table in tables if not table.startswith("sqlite_")
    }

"""Measure the hub beside a server of the CouchDB protocol, with the same births as documents.

    python -m tests.bench_peer http://127.0.0.1:5984 --pid <its process>

The peer gets each event as one document, named by its place in its log, by _bulk_docs.
It proves no signature and no chain; the hub does. Both get their share by turns.
"""

import json
import os
import secrets
import statistics
import tempfile
import time
from collections.abc import Callable
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit

import click

from tests.bench_hub import Tablet, admit, cpu_s, send
from tests.server.running import Running

# What a hub gets at once is bounded; the larger calls of the peer stand beside its largest.
CALLS = ((100, 100), (1000, 600))


class Peer:
    """A database of its own at a server of the CouchDB protocol."""

    def __init__(self, url: str) -> None:
        self.connection = HTTPConnection(urlsplit(url).hostname, urlsplit(url).port, timeout=120)
        self.path = f"/bench-{secrets.token_hex(4)}"
        self._ask("PUT", self.path, b"")

    def send(self, calls: list[bytes]) -> None:
        """Send documents, one call after the other on one connection."""
        for body in calls:
            answers = self._ask("POST", f"{self.path}/_bulk_docs", body)
            if any("error" in answer for answer in answers):
                raise AssertionError(f"refused: {answers[:2]}")

    def forget(self) -> None:
        """Take the database away again."""
        self._ask("DELETE", self.path, b"")

    def _ask(self, method: str, path: str, body: bytes) -> object:
        self.connection.request(method, path, body, {"Content-Type": "application/json"})
        answer = self.connection.getresponse()
        told = answer.read()
        if answer.status >= 300:
            raise AssertionError(f"{answer.status} {told[:300]}")
        return json.loads(told)


def documents(lines: list[str], size: int) -> list[bytes]:
    """Give the calls of _bulk_docs that bring the lines."""
    docs = []
    for line in lines:
        event = json.loads(line)
        docs.append({"_id": f"{event['log']}:{event['seq']:08d}", **event})
    return [
        json.dumps({"docs": docs[start : start + size]}).encode() for start in range(0, len(docs), size)
    ]


def measured(work: Callable[[], object], events: int, pid: int) -> tuple[float, float]:
    """Give events a second, and events a second of the server's processor."""
    before, began = cpu_s(pid), time.perf_counter()
    work()
    took, used = time.perf_counter() - began, cpu_s(pid) - before
    return events / took, events / max(used, 0.01)


@click.command()
@click.argument("url")
@click.option("--pid", required=True, type=int, help="Process of the peer, to read its processor time.")
@click.option("--births", default=80, show_default=True, help="Births in each round.")
@click.option("--rounds", default=3, show_default=True, help="Rounds, hub and peer by turns.")
def main(url: str, pid: int, births: int, rounds: int) -> None:
    """Print events a second of both, by the clock and by the server's processor."""
    plan = {calls: [Tablet(births, turn) for turn in range(rounds)] for calls in CALLS}
    peer = Peer(url)
    with tempfile.TemporaryDirectory() as folder:
        admit(Path(folder), [tablet for turns in plan.values() for tablet in turns])
        hub = Running("--data", folder)
        try:
            for (docs, size), tablets in plan.items():
                ours, theirs = [], []
                for tablet in tablets:
                    calls, batches, events = documents(tablet.lines, docs), tablet.batches(size), len(tablet.lines)
                    theirs.append(measured(lambda c=calls: peer.send(c), events, pid))
                    ours.append(measured(lambda t=tablet, b=batches: send(hub.url, t, b), events, hub.process.pid))
                _print(docs, size, ours, theirs)
        finally:
            hub.process.terminate()
            peer.forget()


def _print(docs: int, size: int, ours: list[tuple], theirs: list[tuple]) -> None:
    for place, what in enumerate(("events/s", "events per CPU second of the server")):
        a, b = (statistics.median(found[place] for found in side) for side in (ours, theirs))
        click.echo(
            f"peer {docs} a call, hub {size} a batch: hub {a:.0f}, peer {b:.0f} {what}, "
            f"{a / b:.1f} times (goal >= 10), load {os.getloadavg()[0]:.1f}"
        )


if __name__ == "__main__":
    main()

"""Measure what a hub takes in over HTTP, beside a bare loop that does the same work.

    python -m tests.bench_hub

Both servers are processes of their own and get the same batches by turns, so that
whatever else the machine does hits both. The bare one unpacks, reads every line as
JSON, chains hashes, checks the signature and commits one row an event; nothing more.
"""

import gzip
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit

import click

from checklist import device, keys, sender
from checklist.config import DATABASE
from checklist.demo.copies import choose, copy
from checklist.demo.teller import Teller
from checklist.journal import Journal
from checklist.sync import genesis
from tests.server.running import Running

LINES = "application/x-ndjson"
FIRST_MS, LAST_MS = 1_790_000_000_000, 1_795_000_000_000
SIZES, CLIENTS = (60, 600), (1, 4)


class Tablet:
    """An invented device with births to send: its key, its log, its lines."""

    def __init__(self, births: int, seed: int) -> None:
        self.private_key = keys.new_private_key()
        self.public_key = keys.public_key_of(self.private_key)
        teller = Teller(keys.device_id(self.public_key), FIRST_MS)
        self.log, self.lines = teller.log, teller.lines
        for one in choose(random.Random(seed), births, FIRST_MS, LAST_MS):
            self.lines += copy(one, self.log, len(self.lines) + 1, "Three Wells 1", "0" * 16)

    def batches(self, size: int) -> list[bytes]:
        """Give the whole log as packed batches of so many events."""
        packed, prev = [], genesis(self.log)
        for start in range(0, len(self.lines), size):
            part = self.lines[start : start + size]
            header = sender.sign(self.private_key, self.log, start + 1, prev, part)
            text = "".join(f"{line}\n" for line in [header.line(), *part])
            packed.append(gzip.compress(text.encode(), 6))
            prev = bytes.fromhex(header.head)
        return packed


class Counting(HTTPConnection):
    """A connection that counts the bytes it sends, heads included."""

    sent = 0

    def send(self, data: bytes) -> None:
        """Send and count."""
        self.sent += len(data)
        super().send(data)


class Bare:
    """The bare loop in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.bench_bare", str(folder)], stdout=subprocess.PIPE, text=True
        )
        self.url = self.process.stdout.readline().strip()


def admit(folder: Path, tablets: list[Tablet]) -> None:
    """Let tablets in before the hub starts."""
    journal = Journal.open(folder / DATABASE)

    def write(store) -> None:
        for tablet in tablets:
            device.add(store.connection, tablet.public_key, "tablet", device.ADMITTED, FIRST_MS)

    journal.write(write)
    journal.close()


def send(url: str, tablet: Tablet, batches: list[bytes]) -> int:
    """Send a log over one connection that stays open; gives the bytes on the wire, upward."""
    connection = Counting(urlsplit(url).hostname, urlsplit(url).port)
    for body in batches:
        connection.request(
            "POST", f"/v1/logs/{tablet.log}/batches", body,
            {"Content-Type": LINES, "Content-Encoding": "gzip", "X-Key": tablet.public_key},
        )
        answer = connection.getresponse()
        told = answer.read()
        if answer.status != 200 or not json.loads(told)["stored"]:
            raise AssertionError(f"{answer.status} {told[:300]}")
    connection.close()
    return connection.sent


def cpu_s(pid: int) -> float:
    """Give the processor seconds that a process has used, of all its threads."""
    ticks = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11:13]
    return sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK")


def events_a_second(url: str, tablets: list[Tablet], size: int) -> float:
    """Send all logs at once, each by a client of its own."""
    made = [(tablet, tablet.batches(size)) for tablet in tablets]
    began = time.perf_counter()
    with ThreadPoolExecutor(len(tablets)) as clients:
        list(clients.map(lambda one: send(url, *one), made))
    return sum(len(tablet.lines) for tablet in tablets) / (time.perf_counter() - began)


@click.command()
@click.option("--births", default=80, show_default=True, help="Births in each round.")
@click.option("--rounds", default=5, show_default=True, help="Rounds, hub and bare loop by turns.")
def main(births: int, rounds: int) -> None:
    """Print events a second of both, and the bytes of a birth on the wire."""
    plan = {
        (size, count): [[Tablet(births // count, turn) for _ in range(count)] for turn in range(rounds)]
        for size in SIZES for count in CLIENTS
    }
    tens = Tablet(100, 99)
    with tempfile.TemporaryDirectory() as folder:
        hub_folder, bare_folder = Path(folder, "hub"), Path(folder, "bare")
        hub_folder.mkdir()
        bare_folder.mkdir()
        admit(hub_folder, [tens, *(t for turns in plan.values() for turn in turns for t in turn)])
        hub, bare = Running("--data", str(hub_folder)), Bare(bare_folder)
        try:
            for (size, count), turns in plan.items():
                _compare(hub, bare, turns, size, count)
            size = len(tens.lines) // 10 + 1
            sent = send(hub.url, tens, tens.batches(size))
            click.echo(f"on the wire, 10 births a batch: {sent / 100:.0f} bytes a birth (goal <= 2048)")
        finally:
            hub.process.terminate()
            bare.process.terminate()


def _compare(hub: Running, bare: Bare, turns: list[list[Tablet]], size: int, clients: int) -> None:
    ours, theirs, used = [], [], {hub: 0.0, bare: 0.0}
    for number, tablets in enumerate(turns):
        both = [(ours, hub), (theirs, bare)]
        for found, server in both if number % 2 else reversed(both):
            before = cpu_s(server.process.pid)
            found.append(events_a_second(server.url, tablets, size))
            used[server] += cpu_s(server.process.pid) - before
    ratio = statistics.median(a / b for a, b in zip(ours, theirs, strict=True))
    click.echo(
        f"{size:4} a batch, {clients} client(s): hub {statistics.median(ours):7.0f} events/s, "
        f"bare {statistics.median(theirs):7.0f}, ratio {ratio:.2f} (goal >= 0.5), "
        f"by processor time {used[bare] / used[hub]:.2f}, load {os.getloadavg()[0]:.1f}"
    )


if __name__ == "__main__":
    main()

"""Measure a file on a stick: bytes for each birth, and how long it takes to make and to take in."""

import io
import secrets
import tempfile
import time
from pathlib import Path

import click

from checklist import device, intake, keys, receipt, retention, sealing, sender, stick
from checklist import stick_export, stick_import
from checklist.demo.births import BIRTHS
from checklist.demo.teller import Teller
from tests.server.near_hub import NOW, Post

# A tablet sends about once a birth, so a batch is about one birth.
BATCH_EVENTS = 60


def tell() -> list[str]:
    """Tell every invented birth once, on one device."""
    teller = Teller("0" * 32, NOW, log="1" * 32)
    for number, birth in enumerate(BIRTHS, start=1):
        teller.tell(NOW + number * 3 * 3600_000, {"mode": "real", "post": "Hill post"}, birth.rows())
    return teller.lines


def copied(lines: list[str], device_id: str, log: str) -> list[str]:
    """Give the same births as another device would tell them, under other names."""
    text = "\n".join(lines).replace("0" * 32, device_id).replace("1" * 32, log)
    cases = {line.split('"case":"')[1].split('"')[0] for line in lines} - {""}
    for case in cases:
        text = text.replace(case, secrets.token_hex(len(case) // 2))
    return text.split("\n")


def fill(post: Post, lines: list[str], births: int) -> None:
    """Let so many births come in, some on each of many tablets."""
    for _ in range(max(births // len(BIRTHS), 1)):
        private_key, log = keys.new_private_key(), secrets.token_hex(16)
        public_key = keys.public_key_of(private_key)
        post.journal.write(lambda store, key=public_key: device.add(
            store.connection, key, "tablet", device.ADMITTED, NOW
        ))
        sender.MOST_EVENTS = BATCH_EVENTS
        for body in sender.cut(private_key, log, copied(lines, keys.device_id(public_key), log)):
            intake.take(post.journal, body, "", NOW)


@click.command()
@click.option("--births", default=1000, show_default=True)
def main(births: int) -> None:
    """Measure with so many births."""
    with tempfile.TemporaryDirectory() as folder:
        hub, post = Post(Path(folder), "hub"), Post(Path(folder), "post")
        said = hub.journal.write(lambda store: sealing.found(store, hub.identity, NOW))
        post.journal.write(lambda store: sealing.trust(store.connection, said, NOW))
        fill(post, tell(), births)
        count = post.journal.reader.execute("select count(*) from case_summary").fetchone()[0]
        raw = post.journal.reader.execute("select sum(length(line)) + count(*) from event").fetchone()[0]

        def timed(what: str, work):
            began = time.perf_counter()
            result = work()
            click.echo(f"{what:28} {time.perf_counter() - began:8.2f} s")
            return result

        def export() -> bytes:
            out, label = io.BytesIO(), stick.new_label(said["hub"])
            stick.write(out, label, said["seal"], stick_export.gather(
                post.journal.reader, post.identity, label, everything=False, now=NOW
            ))
            return out.getvalue()

        text = timed("make the file", export)
        taken = timed("prove and store it", lambda: stick_import.take(
            hub.journal, hub.identity, io.BytesIO(text), NOW, admit=True
        ))
        timed("take it in again", lambda: stick_import.take(hub.journal, hub.identity, io.BytesIO(text), NOW))
        note = receipt.make(hub.journal.reader, hub.identity, post.identity.station_id, NOW)
        post.journal.write(lambda store: receipt.take(store, post.identity, note, NOW))
        later = NOW + 900 * retention.DAY_MS
        gone = timed("let them go at the station", lambda: retention.run(
            post.journal, later, later, said_alone=False
        ))
        click.echo(
            f"{count} births, {taken.events} events, {raw} bytes of lines\n"
            f"file {len(text)} bytes: {len(text) / count:.0f} a birth, {len(text) / taken.events:.1f} an event\n"
            f"receipt {len(note)} bytes; let go {len(gone.cases)} births, {gone.events} events"
        )
        hub.journal.close()
        post.journal.close()


if __name__ == "__main__":
    main()

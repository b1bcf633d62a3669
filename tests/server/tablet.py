"""A tablet as the station sees it: a key, a log of sealed lines, signed requests."""

import gzip
import secrets
from dataclasses import replace

from checklist import keys
from checklist.core.event import seal
from checklist.sync import Header, chain, genesis

LOCAL = {"REMOTE_ADDR": "127.0.0.1"}
ELSEWHERE = {"REMOTE_ADDR": "192.168.4.7"}
START_MS = 1_790_000_000_000
# Two pulls are further apart than traction within one contraction may be.
STEP_MS = 20_000


def pack(header: Header, lines: list[str]) -> bytes:
    """Write a batch as it travels, without compression."""
    return "".join(line + "\n" for line in [header.line(), *lines]).encode()


class Tablet:
    """One device with one open log; nothing here looks inside the station."""

    def __init__(self, name: str = "tablet") -> None:
        self.name = name
        self.private_key = keys.new_private_key()
        self.public_key = keys.public_key_of(self.private_key)
        self.device_id = keys.device_id(self.public_key)
        self.log = secrets.token_hex(16)
        self.boot = secrets.token_hex(4)
        self.lines: list[str] = []

    def note(self, kind: str, case: str = "", **facts: object) -> str:
        """Seal one more event; gives its line."""
        seq = len(self.lines) + 1
        self.lines.append(
            seal(
                {
                    "log": self.log, "seq": seq, "case": case, "kind": kind,
                    "at": START_MS + seq * STEP_MS, "boot": self.boot, "tick": seq * STEP_MS,
                    "ago": 0, "protocol": "", "facts": facts,
                }
            )
        )
        return self.lines[-1]

    def open_case(self, label: str = "Bed 3", mode: str = "real", post: str = "Hill post") -> str:
        """Seal the event that opens a case; gives the case's id."""
        case = secrets.token_hex(8)
        self.note("case_opened", case, mode=mode, label=label, post=post)
        return case

    def pull(self, case: str, times: int = 1) -> None:
        """Seal so many pulls that brought the head down."""
        for _ in range(times):
            self.note("pull_began", case)
            self.note("pull_ended", case)
            self.note("descent_judged", case, descent="yes")

    def twin(self) -> "Tablet":
        """Give the same device as restored from a copy of its disk."""
        copy = Tablet(self.name)
        for name in ("private_key", "public_key", "device_id", "log", "boot"):
            setattr(copy, name, getattr(self, name))
        copy.lines = list(self.lines)
        return copy

    def header(self, first: int = 1, last: int | None = None) -> Header:
        """Sign for the events first to last, counted from 1."""
        lines = self.lines[first - 1 : last]
        hashes = [genesis(self.log), *chain(genesis(self.log), self.lines)]
        prev = hashes[first - 1]
        head = hashes[first - 1 + len(lines)]
        return self.signed(
            Header(self.log, first, len(lines), prev.hex(), head.hex(), self.device_id, "")
        )

    def signed(self, header: Header) -> Header:
        """Sign a header, true or not."""
        return replace(header, signature=keys.sign(self.private_key, header.message))

    def batch(self, first: int = 1, last: int | None = None) -> bytes:
        """Write a signed batch of the events first to last."""
        return pack(self.header(first, last), self.lines[first - 1 : last])

    def asking(self) -> dict[str, str]:
        """Write the wish to send."""
        return {
            "key": self.public_key,
            "name": self.name,
            "signature": keys.sign(self.private_key, f"device/1\n{self.public_key}"),
        }

    def ask(self, client, environ: dict = LOCAL):
        """Ask the station to be let in."""
        return client.post("/v1/devices", json=self.asking(), environ_base=environ)

    def send(self, client, body: bytes | None = None, *, packed: bool = True, **headers: str):
        """Post a batch; all that is sealed unless a body is given."""
        body = self.batch() if body is None else body
        if packed:
            headers["Content-Encoding"] = "gzip"
            body = gzip.compress(body)
        return client.post(
            f"/v1/logs/{self.log}/batches", data=body,
            content_type="application/x-ndjson", headers=headers,
        )

    def get(self, client, path: str, **headers: str):
        """Ask with a signature."""
        signature = keys.sign(self.private_key, f"get/1\n{path}")
        return client.get(
            path, headers={"X-Device": self.device_id, "X-Signature": signature, **headers}
        )

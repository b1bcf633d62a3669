"""What comes down to a tablet of the simulator: the rules of static/outboxes.js in Python.

Every rule here stands there too; a change is made in both.
"""

from collections.abc import Generator

from checklist import keys
from checklist.errors import ChecklistError
from checklist.sync import chain, genesis, read_header
from tests.simulator.node import Request

OF_ONE_LOG = {"chain_mismatch", "signature_wrong", "log_foreign", "not_found"}

# A number and a hash, and the device that signed there.
Held = tuple[int, str, str]


class Inbox:
    """The lines that came down by log, durable as soon as they are proven."""

    def __init__(self) -> None:
        self.lines: dict[str, list[str]] = {}

    def read(self, held: dict[str, Held]) -> dict[str, list[str]]:
        """Give the lines of every outbox up to where it is held."""
        return {log: self.lines.get(log, [])[:seq] for log, (seq, _, _) in held.items()}


def receive_all(
    inbox: Inbox, held: dict[str, Held], heads: dict, device: str
) -> Generator[Request, object, ChecklistError | None]:
    """Fetch every outbox that the heads name; gives the error that concerned one log."""
    failure = None
    for leaf in heads["outboxes"]:
        try:
            yield from _receive(inbox, held, leaf, heads, device)
        except ChecklistError as error:
            if error.code not in OF_ONE_LOG:
                raise
            failure = error
    return failure


def _receive(inbox: Inbox, held: dict, leaf: tuple, heads: dict, device: str) -> Generator:
    log, last, end = leaf
    before = held.get(log)
    if before and before[:2] == (last, end):
        return
    signed_by = _signer(leaf, heads)
    if before and before[2] != signed_by:
        raise ChecklistError("log_foreign", log=log)
    start = (0, genesis(log).hex())
    place = before[:2] if before and before[0] < last else start
    found = yield from _follow(log, place, last, end, device)
    if found is None:
        place = start
        found = yield from _follow(log, place, last, end, device)
    if found is None:
        raise ChecklistError("chain_mismatch", log=log)
    lines = inbox.lines.setdefault(log, [])
    lines[place[0] : place[0] + len(found)] = found
    held[log] = (last, end, signed_by)


def _follow(log: str, place: tuple, last: int, end: str, device: str) -> Generator:
    """Read from a place on to the end that was named; None when the chain leads elsewhere."""
    lines: list[str] = []
    seq, digest = place
    while seq < last:
        more, _ = yield Request("events", device, log, after=seq)
        more = more[: last - seq]
        if not more:
            return None
        lines += more
        seq, digest = seq + len(more), chain(bytes.fromhex(digest), more)[-1].hex()
    return lines if digest == end else None


def _signer(leaf: tuple, heads: dict) -> str:
    """Give the device that signed for the end of a log."""
    log, last, end = leaf
    proof = heads["proofs"].get(log)
    if proof is None:
        raise ChecklistError("signature_wrong", log=log)
    header, device = read_header(proof["header"]), keys.device_id(proof["key"])
    fits = (header.log, header.head, header.seq + header.n - 1, header.device) == (
        log, end, last, device,
    )
    if not fits or not keys.is_signed(proof["key"], header.message, header.signature):
        raise ChecklistError("signature_wrong", log=log)
    own = heads["outbox"]
    if own and own[0] == log and device != heads["station"]:
        raise ChecklistError("log_foreign", log=log)
    return device

"""How a station talks to its hub: the one place where the simulator meets checklist.relay.

The real session runs on both ends; only http, and its signature over a whole body, are
left out, so that what is torn on the way has to be found batch by batch.
"""

import json

from checklist import device, keys, outbox, peer, relay, relayed
from checklist.heads import tag, tell
from checklist.relay import Pulled
from checklist.stored import part, write
from checklist.web.relay_api import _devices
from tests.simulator.node import Crashed, Node, Request

# Small, so that short logs already need several bodies.
SIZE = 1500


class Line:
    """The calls of one session, each carried as the network says."""

    def __init__(self, network, child: Node, parent: str, place: int, how: str) -> None:
        self.network, self.child, self.parent = network, child, parent
        self.place, self.how, self.number = place, how, 0

    def heads(self, tag: str) -> dict | None:
        """Ask what the hub tells this station."""
        told = self._ask("told")
        return None if told["tag"] == tag else told["told"]

    def introduce(self, devices: list[dict]) -> dict[str, str]:
        """Vouch for devices."""
        return self._ask("vouch", json.dumps(devices).encode())

    def push(self, body: bytes) -> list[dict]:
        """Hand over batches."""
        return self._ask("bring", body)

    def pull(self, log: str, after: int, skip: int) -> Pulled:
        """Ask for the batches of a log."""
        return Pulled(*self._ask("pull", log=log, after=after, skip=skip))

    def _ask(self, what: str, body: bytes = b"", **where):
        how = self.how if self.number == self.place else "ok"
        self.number += 1
        request = Request(what, self.child.identity.station_id, body=body, **where)
        answer, error = self.network.deliver(self.parent, request, how)
        if error:
            raise error
        if how == "away":
            raise Crashed
        return answer


def join(child: Node, parent: Node) -> None:
    """Let a station report to a hub, as people do once on both."""
    parent.admit(keys.public_key_of(child.identity.private_key), kind=device.POST)
    child.journal.write(
        lambda store: peer.join(
            store.connection, url="", name="",  authority="", size=SIZE, now=0,
            public_key=keys.public_key_of(parent.identity.private_key),
        )
    )


def hold(network, child: Node, parent: str, now: int, place: int, how: str):
    """Hold one session; gives its report."""
    return relay.exchange(child.journal, Line(network, child, parent, place, how), now, SIZE)


def answer(node: Node, request: Request, now: int) -> object:
    """Answer as web/relay_api.py does, without its http."""
    reader = node.journal.reader
    match request.what:
        case "told":
            caller = device.known(reader, request.sender)
            told = tell(reader, node.identity, caller, demo=False)
            return {"tag": tag(told), "told": json.loads(json.dumps(told | {"time": now}))}
        case "vouch":
            devices = _devices(request.body)
            return node.journal.write(
                lambda store: relayed.introduce(store, request.sender, devices, now)
            )
        case "bring":
            signed = part(request.body)
            relayed.relaying(reader, request.sender)
            outcomes = relayed.take(node.journal, request.sender, signed, now)
            return json.loads(json.dumps(outcomes))
    relayed.relaying(reader, request.sender)
    given, following = relayed.readable(
        reader, node.identity, request.sender, request.log,
        after=request.after, skip=request.skip, largest=2 * SIZE,
    )
    key = device.known(reader, given[0][0].device)["public_key"] if given else ""
    return part(write(given)) if given else [], key, following


def say(hub: Node, child: Node, text: str, now: int) -> None:
    """Write one remark into the hub's outbox for a station."""
    def work(store) -> None:
        log = outbox.outbox_for(store, hub.identity, child.identity.station_id, now)
        outbox.say(store, hub.identity, log, "remark_made", {"text": text}, now)

    hub.journal.write(work)

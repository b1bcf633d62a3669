"""The lines between the machines of one world: sessions, what goes wrong on them, sticks.

A session is a generator that yields a request and is sent the answer. What may happen to
one request: "ok", "lost" on the way there, "mute" (done, but the answer is lost), "torn",
"flipped", "twice", "early" and "late" (the
station dies before or after its commit), and "away" (the client dies with the answer).
"""

from dataclasses import dataclass
from functools import partial
from random import Random

from checklist.errors import ChecklistError
from tests.simulator import relaying
from tests.simulator.node import Crashed, Request
from tests.simulator.tablet import beginning

MOST_OPEN = 4
MOST_KEPT = 30
MOST_REQUESTS = 400
TABLETS_ASK = ("batch", "heads", "events")


@dataclass
class Talk:
    """One session: who asks whom, how, and what is asked next."""

    client: str
    server: str
    session: object
    asks: Request | None = None


class Network:
    """Carries requests; keeps old ones, as a slow proxy or an impatient client does."""

    def __init__(self, world) -> None:
        self.world = world
        self.open_talks: list[Talk] = []
        self.kept: list[tuple[str, Request]] = []
        self.batches = 0

    def talking(self, tablet: str, station: str) -> Talk:
        """Let a tablet exchange with a station."""
        return Talk(tablet, station, self.world.tablets[tablet].exchange(station))

    def relay(self, child: str, place: int = -1, how: str = "ok"):
        """Let a station hold a session with its hub; gives (report, error)."""
        world, parent = self.world, self.world.parents[child]
        try:
            node = world.nodes[child]
            return relaying.hold(self, node, parent, world.clock(child), place, how), None
        except Crashed:
            self.cut(child)
            world.nodes[child].crash()
            return None, unreachable()
        except ChecklistError as error:
            return None, error

    def whole(self, talk: Talk | None, place: int = -1, how: str = "ok") -> ChecklistError | None:
        """Hold a session to its end; its request number `place` goes as `how` says.

        Gives the error that ended it, if one did.
        """
        if talk is None:
            return None
        error = self._start(talk)
        number = 0
        while talk.asks is not None and number < MOST_REQUESTS:
            error = self._carry(talk, how if number == place else "ok")
            number += 1
        if number == MOST_REQUESTS:
            raise AssertionError(f"{talk.client} talks to {talk.server} without end")
        return error

    def open(self, talk: Talk | None) -> None:
        """Begin a session that goes on between other things."""
        if talk is None:
            return
        self._start(talk)
        self.open_talks.append(talk)
        del self.open_talks[:-MOST_OPEN]

    def step(self, number: int, how: str) -> None:
        """Carry one request of a session that is open."""
        if not self.open_talks:
            return
        talk = self.open_talks[number % len(self.open_talks)]
        if talk.asks is None:
            self.open_talks.remove(talk)
        else:
            self._carry(talk, how)

    def again(self, number: int, how: str) -> None:
        """Let an old batch arrive once more, whoever sent it."""
        if self.kept:
            server, request = self.kept[number % len(self.kept)]
            self.deliver(server, request, how)

    def cut(self, name: str) -> None:
        """End every session of a machine."""
        self.open_talks = [
            talk for talk in self.open_talks if name not in (talk.client, talk.server)
        ]

    def stick(self, tablet) -> list[tuple[str, bytes]]:
        """Write everything durable of a tablet to a file, from each log's beginning."""
        batches = []
        for log, last in tablet.tips():
            place = beginning(log)
            while place[0] < last:
                body, place = tablet.batch(log, place, 700)
                batches.append((log, body))
        return batches

    def read_stick(self, batches: list, name: str, order: int, how: str) -> None:
        """Read a file in some order, over and over, as people do until nothing is refused."""
        batches = list(batches)
        chance = Random(order)
        for _ in range(1 + order % 3):
            chance.shuffle(batches)
            for log, body in batches:
                self.deliver(name, Request("batch", "", log, body), how)

    def _start(self, talk: Talk) -> ChecklistError | None:
        return self._resume(talk, lambda: next(talk.session))

    def _carry(self, talk: Talk, how: str) -> ChecklistError | None:
        answer, error = self.deliver(talk.server, talk.asks, how)
        if error:
            return self._resume(talk, lambda: talk.session.throw(error))
        return self._resume(talk, lambda: talk.session.send(answer))

    def _resume(self, talk: Talk, go) -> ChecklistError | None:
        try:
            talk.asks = go()
        except StopIteration:
            talk.asks = None
        except ChecklistError as error:
            talk.asks = None
            return error
        return None

    def deliver(self, server: str, request: Request, how: str):
        """Give (answer, error) as the client hears it."""
        if request.what in ("batch", "bring"):
            self.batches += 1
            self.kept = [*self.kept, (server, request)][-MOST_KEPT:]
        if how == "lost":
            return None, unreachable()
        node = self.world.nodes[server]
        if request.body:
            request = request._replace(body=damaged(request.body, how, self.world.count()))
        node.journal.dies = {"early": "before commit", "late": "after commit"}.get(how, "")
        try:
            give = node.answer if request.what in TABLETS_ASK else partial(relaying.answer, node)
            answer = give(request, self.world.clock(server))
            if how == "twice":
                answer = give(request, self.world.clock(server))
        except Crashed:
            self.cut(server)
            node.crash()
            return None, unreachable()
        except ChecklistError as error:
            return None, error
        finally:
            node.journal.dies = ""
        if how == "mute":
            return None, unreachable()
        if request.what == "batch":
            self.world.acknowledged(request.body)
        return answer, None


def unreachable() -> ChecklistError:
    """Give what a client makes of silence."""
    return ChecklistError("station_unreachable")


def damaged(body: bytes, how: str, number: int) -> bytes:
    """Cut a body off, or turn one bit of it, at a place drawn from a number."""
    if how not in ("torn", "flipped"):
        return body
    place = number * 7919 % len(body)
    if how == "torn":
        return body[:place]
    return body[:place] + bytes([body[place] ^ 1 << place % 7]) + body[place + 1 :]

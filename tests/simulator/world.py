"""One world of the simulator: tablets, stations, a hub, what happened, and what is owed.

A schedule is a list of plain steps; any part of a schedule is one too, so that a failing
one can be made small. Nothing here is left to chance.
"""

from checklist.errors import ChecklistError
from checklist.sync import chain, split
from tests.simulator import relaying
from tests.simulator.keyring import private_key
from tests.simulator.network import Network
from tests.simulator.node import Node
from tests.simulator.tablet import Tablet

START_MS = 1_790_000_000_000
STEP_MS = 1000
CASES = 3
FIRST_SPARE_KEY = 10


class Violation(AssertionError):
    """A promise that did not hold."""


class World:
    """The parts of one schedule: who reports to whom, and the faults that are on."""

    def __init__(self, shape: dict) -> None:
        self.now = START_MS
        self.skew: dict[str, int] = {}
        self.ticks = 0
        self.lost = 0
        # Every event that any tablet ever showed: {hash: (log, seq, line)}.
        self.truth: dict[str, tuple[str, int, str]] = {}
        # What must be held in the end, and the logs in which a fork has a cause.
        self.owed: set[str] = set()
        # What each tablet has to keep: all that was durable on it since it was last replaced.
        self.kept: dict[str, set[str]] = {}
        # What each station has passed on to its hub and has to get back from there.
        self.passed: dict[str, set[str]] = {}
        self.may_fork: set[str] = set()
        self.sticks: list[list[tuple[str, bytes]]] = []
        self.nodes = {name: Node(name) for name in shape["nodes"]}
        self.parents: dict[str, str] = shape["parents"]
        self.paths: dict[str, list[str]] = shape["paths"]
        self.tablets = {
            name: Tablet(name, private_key(number), self)
            for number, name in enumerate(self.paths)
        }
        self.network = Network(self)
        self._admit_all()
        for child, parent in self.parents.items():
            relaying.join(self.nodes[child], self.nodes[parent])
        for node in self.nodes.values():
            node.save()
        self.note_durable()

    def _admit_all(self) -> None:
        for tablet, stations in self.paths.items():
            for station in stations:
                self.nodes[station].admit(self.tablets[tablet].public_key)

    # What tablets tell.

    def count(self) -> int:
        """Give the next number of a world-wide count."""
        self.ticks += 1
        return self.ticks

    def happened(self, log: str, seq: int, digest: str, line: str) -> None:
        """Remember an event that a tablet showed."""
        self.truth[digest] = (log, seq, line)

    def acknowledged(self, body: bytes) -> None:
        """Owe everything in a batch whose sender was told that it is kept."""
        header, lines = split(body)
        hashes = chain(bytes.fromhex(header.prev), lines)
        self.owed.update(digest.hex() for digest in hashes)

    def note_durable(self) -> None:
        """Owe everything that is durable on some tablet."""
        for name, tablet in self.tablets.items():
            kept = self.kept.setdefault(name, set())
            kept.update(*tablet.disk.hashes.values())
            self.owed |= kept

    def clock(self, name: str) -> int:
        """Read the wall clock of a tablet or station."""
        return self.now + self.skew.get(name, 0)

    def living(self) -> set[str]:
        """Gather the hashes of every event of which a copy lives."""
        return set().union(*(node.held() for node in self.nodes.values()), *self.kept.values())

    def forget_dead(self) -> None:
        """Owe nothing of which the last copy went with a restored or replaced machine."""
        self.owed &= self.living()

    # The steps.

    def do(self, step: tuple) -> None:
        """Do one step of a schedule."""
        self.now += STEP_MS
        getattr(self, f"_{step[0]}")(*step[1:])
        self.note_durable()

    def _write(self, tablet: str, kind: int, flush: bool) -> None:
        writer = self.tablets[tablet]
        case = f"{ord(tablet[-1]):08x}{kind % CASES:08x}"
        at = self.clock(tablet)
        match kind:
            case 0:
                writer.write("case_opened", case, at, mode="real", post="P", label="1")
            case 1:
                writer.write("note_added", case, at, text="long " * 40)
            case _:
                writer.write("pull_began", case, at)
        if flush:
            writer.flush()

    def _flush(self, tablet: str) -> None:
        self.tablets[tablet].flush()

    def _skew(self, name: str, ms: int) -> None:
        self.skew[name] = ms

    def _session(self, tablet: str, path: int, place: int, how: str) -> None:
        self.network.whole(self._talk(tablet, path), place, how)

    def _begin(self, tablet: str, path: int) -> None:
        self.network.open(self._talk(tablet, path))

    def _step(self, number: int, how: str) -> None:
        self.network.step(number, how)

    def _again(self, number: int, how: str) -> None:
        self.network.again(number, how)

    def _relay(self, child: str, place: int, how: str) -> None:
        report, _ = self.network.relay(child, place, how)
        if report and report.settled:
            own = self.nodes[child].own_logs()
            held = self.nodes[child].held().items()
            there = self.nodes[self.parents[child]].held()
            self.passed[child] = self.passed.get(child, set()) | {
                digest for digest, event in held if event[0] not in own and digest in there
            }

    def _say_down(self, child: str) -> None:
        hub = self.nodes[self.parents[child]]
        relaying.say(hub, self.nodes[child], f"remark {self.count()}", self.now)
        self._heard(hub)

    def _talk(self, tablet: str, path: int):
        stations = self.paths[tablet]
        return self.network.talking(tablet, stations[path % len(stations)])

    def _crash(self, name: str) -> None:
        self.network.cut(name)
        (self.tablets.get(name) or self.nodes[name]).crash()

    def _backup(self, name: str) -> None:
        (self.tablets.get(name) or self.nodes[name]).save()

    def _restore(self, name: str, renew: bool) -> None:
        self.network.cut(name)
        if name in self.tablets:
            tablet = self.tablets[name]
            if tablet.backup is None:
                return
            tablet.restore(tablet.backup)
            self.kept[name] = set()
            self.may_fork.add(tablet.disk.log)
            self.note_durable()
        else:
            node = self.nodes[name]
            if node.backup is None:
                return
            node.open(node.backup)
            self.may_fork |= node.own_logs()
            if renew:
                # From here on it speaks in logs that nobody can have heard: those never fork.
                node.renew()
                self._heard(node)
            # A hub put back has forgotten who brought what since its backup.
            for child, parent in self.parents.items():
                if parent == name:
                    self.passed[child] = set()
            self._admit_all()
        self.forget_dead()

    def _clone(self, source: str, target: str) -> None:
        self.network.cut(target)
        copied = self.tablets[source]
        self.tablets[target].restore((copied.private_key, copied.disk))
        self.may_fork.add(copied.disk.log)
        self.kept[target] = set()
        self._admit_all()
        self.note_durable()
        self.forget_dead()

    def _lose(self, name: str) -> None:
        """Lose a tablet for good; another one takes its place."""
        self.network.cut(name)
        tablet = Tablet(name, private_key(FIRST_SPARE_KEY + self.lost), self)
        self.lost += 1
        self.tablets[name] = tablet
        self.kept[name] = set()
        self._admit_all()
        self.forget_dead()

    def _fire(self, name: str) -> None:
        """Lose a station with all that report to it; its backup lay elsewhere."""
        self._restore(name, renew=True)
        for tablet, stations in self.paths.items():
            if stations[0] == name:
                self._lose(tablet)

    def _stick(self, tablet: str) -> None:
        self.sticks.append(self.network.stick(self.tablets[tablet]))

    def _import(self, number: int, name: str, order: int, how: str) -> None:
        if self.sticks:
            self.network.read_stick(self.sticks[number % len(self.sticks)], name, order, how)

    def _wrong_cursor(self, tablet: str, path: int, kind: int) -> None:
        writer = self.tablets[tablet]
        stations = self.paths[tablet]
        cursor = writer.cursor(stations[path % len(stations)])
        for log, marks in writer.disk.hashes.items():
            wrong = {
                0: None,
                1: (len(marks), marks[-1]),
                2: (max(len(marks) - 1, 1), marks[0]),
                3: (len(marks) + 2, "ab" * 32),
            }[kind]
            if wrong:
                cursor.logs[log] = wrong
            else:
                cursor.logs.pop(log, None)

    def _say(self, name: str) -> None:
        node = self.nodes[name]
        try:
            node.say(f"Post {self.count()}", self.clock(name))
        except ChecklistError as error:
            raise Violation(f"{name} could not speak: {error}") from error
        self._heard(node)

    def _heard(self, node: Node) -> None:
        own = node.own_logs()
        for digest, event in node.held().items():
            if event[0] in own:
                self.truth[digest] = event

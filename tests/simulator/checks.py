"""What must hold: after every step, and once all faults are over."""

from itertools import combinations

from checklist import summary
from checklist.audit import find_damage
from checklist.sync import genesis, link
from tests.simulator.world import Violation, World

MOST_ROUNDS = 6
# A batch carries at least one event; what a restored machine lacks is sent a second time.
BATCHES_FOR_ONE_EVENT = 2
SPARE_BATCHES = 20


def after_step(world: World) -> None:
    """Refuse anything invented, altered, doubled, or hanging in the air."""
    for name, node in world.nodes.items():
        held = node.held()
        for digest, event in held.items():
            if world.truth.get(digest) != event:
                raise Violation(f"{name} holds what nobody wrote: {event[:2]}")
        _check_places(world, name, held)
        _check_chains(name, held)


def _check_places(world: World, name: str, held: dict) -> None:
    places: dict[tuple[str, int], str] = {}
    for digest, (log, seq, _) in held.items():
        other = places.setdefault((log, seq), digest)
        if other != digest and log not in world.may_fork:
            raise Violation(f"{name} holds a fork that nothing caused: {log} at {seq}")


def _check_chains(name: str, held: dict) -> None:
    by_place: dict[tuple[str, int], list[str]] = {}
    for digest, (log, seq, _) in held.items():
        by_place.setdefault((log, seq), []).append(digest)
    for digest, (log, seq, line) in held.items():
        before = by_place.get((log, seq - 1), []) if seq > 1 else [genesis(log).hex()]
        if not any(link(bytes.fromhex(one), line).hex() == digest for one in before):
            raise Violation(f"{name} has a hole before {log} at {seq}")


def in_the_end(world: World) -> None:
    """End all faults, let everybody talk, and demand that everything is everywhere."""
    world.network.open_talks.clear()
    for tablet in world.tablets.values():
        tablet.flush()
    world.note_durable()
    _talk_until_quiet(world)
    after_step(world)
    _check_arrived(world)
    _check_downward(world)
    _check_whole(world)
    _check_new_logs(world)


def _talk_until_quiet(world: World) -> None:
    events = len(world.truth)
    first = world.network.batches
    for _ in range(MOST_ROUNDS):
        before = {name: len(node.held()) for name, node in world.nodes.items()}
        _everybody_talks(world)
        waiting = any(tablet.pending for tablet in world.tablets.values())
        for tablet in world.tablets.values():
            tablet.flush()
        world.note_durable()
        after = {name: len(node.held()) for name, node in world.nodes.items()}
        if before == after and not waiting:
            break
    else:
        raise Violation(f"still no quiet after {MOST_ROUNDS} rounds")
    edges = sum(map(len, world.paths.values())) + len(world.parents)
    sent = world.network.batches - first
    if sent > BATCHES_FOR_ONE_EVENT * events * edges + SPARE_BATCHES:
        raise Violation(f"{sent} batches for {events} events")


def _everybody_talks(world: World) -> None:
    for name, stations in world.paths.items():
        for station in stations:
            error = world.network.whole(world.network.talking(name, station))
            if error:
                raise Violation(f"{name} cannot reach quiet with {station}: {error}")
    for child in world.parents:
        report, error = world.network.relay(child)
        if error or report.refused or not report.settled:
            raise Violation(f"{child} cannot reach quiet with its hub: {error or report}")


def _check_arrived(world: World) -> None:
    held = {name: set(node.held()) for name, node in world.nodes.items()}
    for name, stations in world.paths.items():
        mine = set().union(*world.tablets[name].disk.hashes.values())
        for station in stations:
            if missing := mine - held[station]:
                raise Violation(f"{station} lacks {len(missing)} events of {name}")
    for child, parent in world.parents.items():
        if missing := held[child] - held[parent]:
            raise Violation(f"{parent} lacks {len(missing)} events of {child}")
        back = world.passed.get(child, set()) & held[parent]
        if missing := back - held[child]:
            raise Violation(f"{child} did not get back {len(missing)} events from {parent}")
    tops = set(world.nodes) - set(world.parents)
    everything = set().union(*(held[name] for name in tops))
    if lost := world.owed - everything:
        raise Violation(f"lost: {sorted(world.truth[digest][:2] for digest in lost)[:3]}")


def _check_downward(world: World) -> None:
    for child, parent in world.parents.items():
        held, hub = world.nodes[child].held(), world.nodes[parent]
        for log, seq, end in hub.says_to(world.nodes[child].identity.station_id):
            if end not in held:
                raise Violation(f"{child} does not know what {parent} says: {log} at {seq}")
    for name, stations in world.paths.items():
        for station in stations:
            node = world.nodes[station]
            known = world.tablets[name].read_down(station)
            # A station restored to before its first word says nothing; what it said stands.
            for log, _, _ in node.says_to(""):
                said = node.journal.lines_after(log, 0, furthest=True)[0]
                if known.get(log) != said:
                    raise Violation(f"{name} does not know what {station} says: {log}")


def _check_whole(world: World) -> None:
    for name, node in world.nodes.items():
        reader = node.journal.reader
        for finding in find_damage(reader, lambda step: None):
            raise Violation(f"{name}: {finding}")
        told = _summaries(reader)
        node.journal.write(lambda store: summary.rebuild(store.connection, lambda step: None))
        if told != _summaries(reader):
            raise Violation(f"{name}: the list of cases is not what the events tell")


def _summaries(reader) -> list[tuple]:
    return [
        tuple(row) for row in reader.execute(
            "select case_id, mode, opened_at, last_at, closed, events"
            " from case_summary order by case_id"
        )
    ]


def _check_new_logs(world: World) -> None:
    """Demand that no two tablets go on writing one log once each has spoken again."""
    for tablet in world.tablets.values():
        tablet.write("pull_began", "", world.clock(tablet.name))
        tablet.flush()
        world.note_durable()
        _everybody_talks(world)
        tablet.flush()
    _everybody_talks(world)
    for one, other in combinations(world.tablets, 2):
        # Who shares no station is told of a fork by nobody: the hub keeps and shows it.
        meet = set(world.paths[one]) & set(world.paths[other])
        if meet and world.tablets[one].disk.log == world.tablets[other].disk.log:
            raise Violation(f"{one} and {other} still write one log")

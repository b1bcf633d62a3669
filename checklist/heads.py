"""What a station tells whoever reports to it: what it holds, and what it has to say.

Its tag covers everything but the time, so that nothing is sent twice. Knows no request.
"""

import json
import sqlite3

from checklist import device, keys, outbox, peer, relay_state, relayed, sealing, stored
from checklist.station import Identity
from checklist.sync import Leaf


def tell(
    connection: sqlite3.Connection, identity: Identity, caller: dict, *, demo: bool
) -> dict:
    """Gather the heads for a caller, a row of the table of devices.

    leaves: ends of the caller's own logs, or of all that a station has brought;
    outboxes: ends of the logs that go down to it, with proofs {log: {header, key}};
    outbox: the first of these, for tablets of before; held: up to where the hub
    holds the caller's logs, None without a hub; sealing: the statement of the key
    that files are sealed to. One that is not admitted is told nothing of the logs.
    """
    admitted = caller["state"] == device.ADMITTED
    is_station = caller["kind"] == device.POST
    down: list[Leaf] = []
    if admitted:
        station_id = caller["device_id"] if is_station else ""
        down = outbox.ends(connection, outbox.logs_for(connection, identity, station_id))
    return {
        "station": identity.station_id,
        "incarnation": identity.incarnation,
        "leaves": _leaves(connection, caller) if admitted else [],
        "outbox": next((leaf for leaf in down if leaf[0] == identity.log), None),
        "device": caller["state"],
        "demo": demo,
        "outboxes": down,
        "proofs": {} if is_station else outbox.proofs(connection, down),
        "held": _held(connection, caller) if admitted and not is_station else None,
        "sealing": sealing.told_down(connection, to_station=is_station),
    }


def tag(told: dict) -> str:
    """Give the tag of what is told."""
    return keys.digest(json.dumps(told))


def _leaves(connection: sqlite3.Connection, caller: dict) -> list[Leaf]:
    if caller["kind"] == device.POST:
        return relayed.leaves(connection, caller["device_id"])
    return stored.leaves_of_device(connection, caller["device_id"])


def _held(connection: sqlite3.Connection, caller: dict) -> list[Leaf] | None:
    # A hub may be known by its key alone, when all goes there by memory stick.
    if peer.read(connection) is None and sealing.of_hub(connection) is None:
        return None
    return relay_state.held_for(connection, caller["device_id"])

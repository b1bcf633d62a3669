"""Let a device or a station in: by the proof of a one-time code, or to wait for a person.

Both outcomes of a code are written down. Knows no request.
"""

from checklist import device, keys, pairing, trail
from checklist.errors import ChecklistError
from checklist.journal import Journal
from checklist.station import Identity
from checklist.store import SqliteStore


def ask(
    journal: Journal, identity: Identity, said: dict, now: int, *, trusted: bool, first_only: bool
) -> dict:
    """Take a wish to send {key, name, kind?, proof?}; gives {device, state, station, key, …}.

    With a right proof the state is admitted and "proof" shows that this station
    knew the code; what was retired stays retired, by code too. Raises
    code_refused, tries_full or waiting_full; a wrong try is kept all the same.
    """
    kind = said.get("kind", device.TABLET)

    def write(store: SqliteStore) -> tuple[str, dict]:
        device_id, state = device.ask(
            store.connection, said["key"], said["name"], now,
            trusted=trusted, first_only=first_only, kind=kind,
        )
        if not said.get("proof") or state == device.RETIRED:
            return "", {"device": device_id, "state": state}
        return _by_code(store, identity, said, device_id, now)

    refusal, told = journal.write(write)
    if refusal:
        raise ChecklistError(refusal)
    own = {"station": identity.station_id, "key": keys.public_key_of(identity.private_key)}
    return told | own


def make_code(journal: Journal, identity: Identity, made_by: str, now: int) -> str:
    """Make a code that lets one device or station in, once, for ten minutes."""
    code = pairing.new_code()
    stretched = pairing.stretch(code, identity.station_id)

    def write(store: SqliteStore) -> None:
        pairing.keep(store.connection, stretched, made_by, now)
        trail.note(store.connection, made_by, "code_made", "", now)

    journal.write(write)
    return code


def _by_code(
    store: SqliteStore, identity: Identity, said: dict, device_id: str, now: int
) -> tuple[str, dict]:
    outcome, stretched = pairing.redeem(
        store.connection, said["key"], identity.station_id, said["proof"], now
    )
    if outcome != pairing.MADE:
        # Once there were too many tries, no further line: the list must not be flooded.
        if outcome == pairing.REFUSED:
            trail.note(store.connection, "", "code_refused", device_id, now)
        return outcome, {}
    device.settle(store.connection, device_id, device.ADMITTED, now)
    trail.note(store.connection, "", "code_used", device_id, now)
    own = keys.public_key_of(identity.private_key)
    shown = pairing.answer(stretched, said["key"], own)
    return "", {"device": device_id, "state": device.ADMITTED, "proof": shown}

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
        # The code first: who holds one needs no place among those who wait.
        outcome, stretched = _redeemed(store, identity, said, now)
        try:
            device_id, state = device.ask(
                store.connection, said["key"], said["name"], now, trusted=trusted,
                first_only=first_only, kind=kind, has_place=outcome == pairing.MADE,
            )
        except ChecklistError:
            if not outcome:
                raise
            # A wrong try is counted, or guessing would be free once the list is full.
            return outcome, {}
        if not outcome:
            return "", {"device": device_id, "state": state}
        return _by_code(store, identity, said["key"], device_id, outcome, stretched, now)

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


def _redeemed(store: SqliteStore, identity: Identity, said: dict, now: int) -> tuple[str, bytes]:
    """Try the proof that was shown; ("", b"") when there is none, or the device is retired."""
    known = device.read(store.connection, keys.device_id(said["key"]))
    if not said.get("proof") or (known and known["state"] == device.RETIRED):
        return "", b""
    return pairing.redeem(store.connection, said["key"], identity.station_id, said["proof"], now)


def _by_code(
    store: SqliteStore, identity: Identity, key: str, device_id: str, outcome: str, stretched: bytes, now: int
) -> tuple[str, dict]:
    if outcome != pairing.MADE:
        # Once there were too many tries, no further line: the list must not be flooded.
        if outcome == pairing.REFUSED:
            trail.note(store.connection, "", "code_refused", device_id, now)
        return outcome, {}
    device.settle(store.connection, device_id, device.ADMITTED, now)
    trail.note(store.connection, "", "code_used", device_id, now)
    shown = pairing.answer(stretched, key, keys.public_key_of(identity.private_key))
    return "", {"device": device_id, "state": device.ADMITTED, "proof": shown}

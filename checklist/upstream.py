"""Hold sessions with the hub of this station over HTTP, and join one.

A refusal never clears anything: what waits, waits on. Knows no thread.
"""

import json
from collections.abc import Callable
from contextlib import closing
from urllib.parse import urlencode

from checklist import keys, pack_body, pack_relay, pairing, peer, relay, stored, trail
from checklist.errors import ChecklistError
from checklist.intake import LARGEST_PACKED
from checklist.journal import Journal
from checklist.relay import SIZES, Pulled, Report
from checklist.station import Identity
from checklist.store import SqliteStore
from checklist.sync import HASH_LETTERS, ID_LETTERS
from checklist.wire import Wire, pack, read_json

LINES = {"Content-Type": "application/x-ndjson"}
JSON = {"Content-Type": "application/json"}
BYTES = "application/octet-stream"
# After these a smaller body may get through where a large one did not.
_TOO_MUCH = ("station_unreachable", "batch_too_big")


class HttpHub:
    """The hub of this station, as relay.Hub, over one line."""

    def __init__(self, wire: Wire, hub_id: str) -> None:
        self._wire, self._hub_id = wire, hub_id

    def heads(self, seen: str) -> dict | None:
        """Ask what the hub holds; raises hub_wrong when another station answers."""
        answer = self._wire.get("/v1/heads", {"If-None-Match": f'"{seen}"'} if seen else {})
        if answer.status == 304:
            return None
        told = read_json(answer)
        if told.get("station") != self._hub_id:
            raise ChecklistError("hub_wrong", why="another station answered")
        if told.get("device") != "admitted":
            raise ChecklistError(_state(told.get("device")))
        _leaves(told.get("leaves"))
        _leaves(told.get("outboxes", []))
        return told

    def introduce(self, devices: list[dict]) -> dict[str, str]:
        """Vouch for devices."""
        said = self._wire.post("/v1/devices/relayed", json.dumps(devices).encode(), JSON)
        answers = said.get("devices")
        if not isinstance(answers, dict) or not all(isinstance(a, str) for a in answers.values()):
            raise _strange()
        return answers

    def push(self, body: bytes) -> list[dict]:
        """Hand over batches; what does not fit one message when compressed goes in two."""
        packed = pack(body)
        if len(packed) <= LARGEST_PACKED:
            return self._push(packed, {"Content-Encoding": "gzip"}, body)
        signed = stored.part(body)
        if len(signed) == 1:
            return self._push(body, {}, body)
        middle = len(signed) // 2
        return [
            outcome for half in (signed[:middle], signed[middle:])
            for outcome in self.push(stored.write(half))
        ]

    def pull(self, log: str, after: int, skip: int) -> Pulled:
        """Ask for batches of a log."""
        query = urlencode({"after": after, "skip": skip})
        answer = self._wire.get(f"/v1/logs/{log}/batches?{query}")
        following = answer.headers.get("x-following", "0")
        if not following.isdecimal() or not answer.headers.get("content-type", "").startswith(
            LINES["Content-Type"]
        ):
            raise _strange()
        try:
            signed = stored.part(answer.body) if answer.body else []
        except ChecklistError as error:
            raise _strange() from error
        return Pulled(signed, answer.headers.get("x-key", ""), int(following))

    def thing(self, digest: str) -> bytes:
        """Ask for a pack or a clip by its digest."""
        answer = self._wire.get(f"/v1/things/{digest}")
        if not answer.headers.get("content-type", "").startswith(BYTES):
            raise _strange()
        if len(answer.body) > pack_body.LARGEST_PACK:
            raise ChecklistError("pack_torn", pack=digest, why="too big")
        return answer.body

    def _push(self, sent: bytes, headers: dict[str, str], plain: bytes) -> list[dict]:
        outcomes = self._wire.post("/v1/batches", sent, {**LINES, **headers}).get("outcomes")
        logs = [header.log for header, _ in stored.part(plain)]
        if not isinstance(outcomes, list) or [_log_of(told) for told in outcomes] != logs:
            raise _strange()
        for told in outcomes:
            _leaves(told.get("leaves"))
        return outcomes


def session(
    journal: Journal, identity: Identity, clock: Callable[[], int],
    told: Callable[[Report], None] = lambda report: None,
) -> Report:
    """Hold one session with the hub of this station; clock gives wall ms.

    Births go first, then packs of words for as long as nothing waits behind them. Raises
    hub_missing, or what the hub answers; the outcome is written down either way, and what was
    agreed before a failure stays agreed. What went wrong with packs stands in the report alone.
    """
    known = peer.read(journal.reader)
    if known is None:
        raise ChecklistError("hub_missing")
    size = known["size"]
    try:
        # Even a line that cannot be laid, for want of its authority's file, is an outcome.
        with closing(Wire(known["url"], identity, known["authority"])) as wire:
            hub = HttpHub(wire, known["hub_id"])
            report = relay.exchange(journal, hub, clock(), size, told=told)
            _note(journal, clock(), _first(report.refused), min(size * 2, SIZES["largest"]))
            found = report.packs = pack_relay.fetch(journal, identity, known["hub_id"], hub, clock())
            if found.failure or found.refused:
                _note(journal, clock(), found.failure or _first(found.refused))
            if found.came:
                # What this station now says in its own name goes up too.
                relay.exchange(journal, hub, clock(), size)
    except ChecklistError as error:
        smaller = max(size // 2, SIZES["smallest"]) if error.code in _TOO_MUCH else size
        _note(journal, clock(), error.code, smaller)
        raise
    return report


def join(
    journal: Journal, identity: Identity, *, url: str, code: str, authority: str, name: str,
    now: int,
) -> str:
    """Make the station at an address the hub of this one; gives its id.

    code: as a person read it there. The hub must prove in return that it knew the
    code, so that nobody between puts his own key in its place. Raises code_refused,
    hub_wrong, station_unreachable and what else the hub answers; changes nothing then.
    """
    wire = Wire(url, identity, authority)
    own = keys.public_key_of(identity.private_key)
    asking = {
        "key": own, "name": name, "kind": "station",
        "signature": keys.sign(identity.private_key, f"device/1\n{own}"),
    }
    try:
        hub_id, hub_key = _who(wire.post("/v1/devices", json.dumps(asking).encode(), JSON))
        if hub_id == identity.station_id:
            raise ChecklistError("hub_wrong", why="this is the station itself")
        stretched = pairing.stretch(code, hub_id)
        asking["proof"] = pairing.proof(stretched, own, hub_id)
        said = wire.post("/v1/devices", json.dumps(asking).encode(), JSON)
    finally:
        wire.close()
    if _who(said) != (hub_id, hub_key) or said.get("proof") != pairing.answer(
        stretched, own, hub_key
    ):
        raise ChecklistError("hub_wrong", why="it did not prove the code")

    def keep(store: SqliteStore) -> None:
        peer.join(
            store.connection, url=url, public_key=hub_key, name="", authority=authority,
            size=SIZES["first"], now=now,
        )
        trail.note(store.connection, "", "hub_joined", f"{hub_id} {url}", now)

    journal.write(keep)
    return hub_id


def _who(said: dict) -> tuple[str, str]:
    hub_id, key = said.get("station"), said.get("key")
    if not isinstance(key, str) or not isinstance(hub_id, str):
        raise _strange()
    if keys.device_id(key) != hub_id:
        raise ChecklistError("hub_wrong", why="its key is not that of its name")
    return hub_id, key


def _first(refused: dict[str, str]) -> str:
    return next(iter(refused.values()), "")


def _note(journal: Journal, now: int, failure: str, size: int | None = None) -> None:
    journal.write(lambda store: peer.note(store.connection, now, failure, size=size))


def _state(state: object) -> str:
    return f"device_{state}" if state in ("waiting", "retired") else "device_unknown"


def _log_of(told: object) -> object:
    return told.get("log") if isinstance(told, dict) else None


def _leaves(leaves: object) -> None:
    """Refuse what is no list of [log, seq, hash]."""
    if not isinstance(leaves, list) or not all(map(_is_leaf, leaves)):
        raise _strange()


def _is_leaf(leaf: object) -> bool:
    return (
        isinstance(leaf, list) and len(leaf) == 3
        and all(isinstance(leaf[place], str) for place in (0, 2))
        and type(leaf[1]) is int and leaf[1] >= 1
        and len(leaf[0]) == ID_LETTERS and len(leaf[2]) == HASH_LETTERS
        and set(leaf[0] + leaf[2]) <= set("0123456789abcdef")
    )


def _strange() -> ChecklistError:
    return ChecklistError("station_unreachable", why="not the answer of a hub")

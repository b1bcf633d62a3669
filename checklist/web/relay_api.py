"""The exchange between a station and its hub: whom it vouches for, what it brings, what it lost.

Turns requests into calls of intake and relayed, and nothing else. Every body is
signed by the station; every batch in it by its own device.
"""

import json

from flask import Response, request

from checklist import device, intake, keys, packs, relayed, stored
from checklist.errors import ChecklistError
from checklist.web.asked import whole
from checklist.web.exchange_api import LINES, exchange, packed, signer
from checklist.web.parts import parts, tell_upward

LARGEST_LIST = 64 * 1024


@exchange.post("/devices/relayed")
def vouch() -> dict:
    """Take a station's word on whose logs it brings; the answer says what is known of each."""
    said = _body(LARGEST_LIST)
    station_id = _station(said)
    devices, now = _devices(said), parts().now()
    answers = parts().journal.write(
        lambda store: relayed.introduce(store, station_id, devices, now)
    )
    return {"devices": answers}


@exchange.post("/batches")
def bring() -> Response:
    """Admit what a station brings; the answer leaves after its commit."""
    if request.mimetype != LINES:
        raise ChecklistError("encoding_unknown", encoding=request.mimetype)
    body = _body(intake.LARGEST_BATCH)
    station_id = _station(body)
    encoding = request.headers.get("Content-Encoding", "")
    outcomes = intake.take_relayed(parts().journal, station_id, body, encoding, parts().now())
    tell_upward(sum(told.get("stored", 0) for told in outcomes))
    # Outcomes of many small batches resemble each other: compressed, the answer stays short.
    return packed(json.dumps({"outcomes": outcomes}).encode(), "application/json")


@exchange.get("/logs/<log>/batches")
def batches(log: str) -> Response:
    """Give signed batches as stored: of an outbox, or of what this very station once brought.

    X-Key is the public key of the device that signed them; X-Following, where
    there is more, is what to name as skip in the next request.
    """
    sender = signer()
    reader = parts().journal.reader
    relayed.relaying(reader, sender["device_id"])
    after, skip = (max(whole(name, 0), 0) for name in ("after", "skip"))
    given, following = relayed.readable(
        reader, parts().identity, sender["device_id"], log, after=after, skip=skip,
        largest=intake.LARGEST_BATCH,
    )
    response = packed(stored.write(given), LINES)
    if given:
        response.headers["X-Key"] = device.known(reader, given[0][0].device)["public_key"]
    if following:
        response.headers["X-Following"] = str(following)
    return response


@exchange.get("/things/<digest>")
def thing(digest: str) -> Response:
    """Give a pack of words or a clip by the digest of its bytes, to a station that reports here."""
    sender = signer()
    reader = parts().journal.reader
    relayed.relaying(reader, sender["device_id"])
    body = packs.held(reader, digest)
    if body is None:
        raise ChecklistError("not_found", thing=digest[:64])
    return packed(body, "application/octet-stream")


def _body(largest: int) -> bytes:
    body = request.stream.read(largest + 1)
    if len(body) > largest:
        raise ChecklistError("batch_too_big", max=largest)
    return body


def _station(body: bytes) -> str:
    """Give the station that signed a body; raises as relaying does, or signature_wrong."""
    station = relayed.relaying(parts().journal.reader, request.headers.get("X-Device", ""))
    message = relayed.message(request.path, body)
    if not keys.is_signed(station["public_key"], message, request.headers.get("X-Signature", "")):
        raise ChecklistError("signature_wrong")
    return station["device_id"]


def _devices(said: bytes) -> list[dict]:
    try:
        devices = json.loads(said)
    except (ValueError, RecursionError):
        raise ChecklistError("device_malformed", why="not JSON") from None
    fits = isinstance(devices, list) and all(
        isinstance(told, dict)
        and all(isinstance(told.get(name), str) for name in ("key", "name", "state", "kind"))
        for told in devices
    )
    if not fits:
        raise ChecklistError("device_malformed", why="key, name, state or kind")
    return devices

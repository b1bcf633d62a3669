"""The exchange with devices: no cookie, no session; every message is signed.

Turns requests into calls of intake, device and journal, and nothing else.
"""

import gzip
import json
import logging
from dataclasses import asdict

from flask import Blueprint, Response, request

from checklist import admission, device, intake, keys, outbox, packs
from checklist.errors import ChecklistError
from checklist.heads import tag, tell
from checklist.web.asked import whole
from checklist.web.local import is_local
from checklist.web.parts import parts, tell_upward

LINES = "application/x-ndjson"
LARGEST_ASKING = 4096
# Bytes; below it the head of a gzip eats what it saves.
WORTH_PACKING = 1024

_log = logging.getLogger(__name__)

exchange = Blueprint("exchange", __name__, url_prefix="/v1")


@exchange.before_request
def refuse_foreign_pages() -> None:
    """Refuse what another site's page sends; a browser lets none of them hide it."""
    if request.headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none"):
        raise ChecklistError("page_foreign")


@exchange.post("/devices")
def ask() -> tuple[dict, int]:
    """Take a wish to send, with the proof of a code or without.

    201 admitted, 202 waiting, 200 known already. The answer names the station, so
    that a code can be proven in a second asking; to a right proof it adds one of its own.
    """
    if request.mimetype != "application/json":
        raise ChecklistError("encoding_unknown", encoding=request.mimetype)
    said = _asking(request.stream.read(LARGEST_ASKING + 1))
    if not keys.is_signed(said["key"], f"device/1\n{said['key']}", said["signature"]):
        raise ChecklistError("signature_wrong")
    shared = parts()
    before = device.read(shared.journal.reader, keys.device_id(said["key"]))
    # The devices of the invented cases must not keep out whoever looks at them.
    answer = admission.ask(
        shared.journal, shared.identity, said, shared.now(),
        trusted=is_local(request), first_only=not shared.settings.demo,
    )
    if answer["state"] == device.RETIRED:
        raise ChecklistError("device_retired", device=answer["device"])
    new = {device.ADMITTED: 201, device.WAITING: 202}
    known = before and before["state"] == answer["state"]
    return answer, 200 if known else new[answer["state"]]


@exchange.get("/heads")
def heads() -> Response:
    """Tell a device or a station what is held of its logs, and where the outboxes end."""
    sender = signer()
    reader, identity = parts().journal.reader, parts().identity
    if sender["kind"] == device.POST and sender["state"] == device.ADMITTED:
        _tell_packs(sender["device_id"])
    told = tell(reader, identity, sender, demo=parts().settings.demo)
    text = json.dumps({**told, "time": parts().now()})
    response = packed(text.encode(), "application/json")
    # The tag leaves the time out, or nothing would ever be unchanged.
    response.set_etag(tag(told))
    response.headers["Cache-Control"] = "no-cache"
    return response.make_conditional(request)


@exchange.post("/logs/<log>/batches")
def admit(log: str) -> dict:
    """Admit a batch; the answer leaves after its commit."""
    if request.mimetype != LINES:
        raise ChecklistError("encoding_unknown", encoding=request.mimetype)
    body = request.stream.read(intake.LARGEST_BATCH + 1)
    encoding = request.headers.get("Content-Encoding", "")
    reply = intake.take(parts().journal, body, encoding, parts().now(), log)
    tell_upward(reply.stored)
    return asdict(reply)


@exchange.get("/logs/<log>/events")
def events(log: str) -> Response:
    """Give lines as stored: of the caller's own logs, or of an outbox."""
    sender = signer()
    journal, identity = parts().journal, parts().identity
    device.sending(journal.reader, sender["device_id"])
    owner = journal.owner(log)
    if owner is None:
        raise ChecklistError("not_found", log=log)
    station_id = sender["device_id"] if sender["kind"] == device.POST else ""
    down = log in outbox.logs_for(journal.reader, identity, station_id)
    if owner != sender["device_id"] and not down:
        raise ChecklistError("log_foreign", log=log)
    after = max(whole("after", 0), 0)
    lines, last = journal.lines_after(log, after, furthest=down)
    response = packed("".join(line + "\n" for line in lines).encode(), LINES)
    response.headers["X-Head"] = last.hex() if last else ""
    return response


def _tell_packs(station_id: str) -> None:
    """Say what is in force to a station that joined after it was said to the others."""
    shared, now = parts(), parts().now()
    if not packs.is_untold(shared.journal.reader, shared.identity, station_id):
        return
    try:
        shared.journal.write(lambda store: packs.tell(store, shared.identity, station_id, now))
    except ChecklistError as error:
        # A station that cannot be told of words still brings its births.
        _log.warning("a station was not told of packs: %s", error)


def packed(body: bytes, mimetype: str) -> Response:
    """Answer with a body, compressed when that is worth it and the caller takes it."""
    response = Response(body, mimetype=mimetype)
    response.headers["Vary"] = "Accept-Encoding"
    if len(body) > WORTH_PACKING and "gzip" in request.accept_encodings:
        response.set_data(gzip.compress(body, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
    return response


def _asking(body: bytes) -> dict[str, str]:
    if len(body) > LARGEST_ASKING:
        raise ChecklistError("batch_too_big", max=LARGEST_ASKING)
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        raise ChecklistError("device_malformed", why="not JSON") from None
    names = ("key", "name", "signature")
    if not isinstance(said, dict) or not all(isinstance(said.get(name), str) for name in names):
        raise ChecklistError("device_malformed", why="key, name or signature")
    if not isinstance(said.get("proof", ""), str):
        raise ChecklistError("device_malformed", why="proof")
    if said.get("kind", device.TABLET) not in (device.TABLET, device.POST):
        raise ChecklistError("device_malformed", why="kind")
    return said


def signer() -> dict:
    """Give the device that signed this request; raises device_unknown or signature_wrong."""
    sender = device.known(parts().journal.reader, request.headers.get("X-Device", ""))
    if sender["state"] == device.RELAYED:
        # Known by a station's word alone: it has to ask by itself, as a stranger does.
        raise ChecklistError("device_unknown", device=sender["device_id"])
    query = f"?{request.query_string.decode()}" if request.query_string else ""
    message = f"get/1\n{request.path}{query}"
    if not keys.is_signed(sender["public_key"], message, request.headers.get("X-Signature", "")):
        raise ChecklistError("signature_wrong")
    return sender

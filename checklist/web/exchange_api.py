"""The exchange with devices: no cookie, no session; every message is signed.

Turns requests into calls of intake, device and journal, and nothing else.
"""

import json
from dataclasses import asdict

from flask import Blueprint, Response, request

from checklist import device, intake, keys, station
from checklist.errors import ChecklistError
from checklist.store import SqliteStore
from checklist.web.local import is_local
from checklist.web.parts import parts

LINES = "application/x-ndjson"
LARGEST_ASKING = 4096

exchange = Blueprint("exchange", __name__, url_prefix="/v1")


@exchange.before_request
def refuse_foreign_pages() -> None:
    """Refuse what another site's page sends; a browser lets none of them hide it."""
    if request.headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none"):
        raise ChecklistError("page_foreign")


@exchange.post("/devices")
def ask() -> tuple[dict, int]:
    """Take a device's wish to send: 201 admitted, 202 waiting, 200 known already."""
    if request.mimetype != "application/json":
        raise ChecklistError("encoding_unknown", encoding=request.mimetype)
    said = _asking(request.stream.read(LARGEST_ASKING + 1))
    if not keys.is_signed(said["key"], f"device/1\n{said['key']}", said["signature"]):
        raise ChecklistError("signature_wrong")
    before = device.read(parts().journal.reader, keys.device_id(said["key"]))
    trusted, now = is_local(request), parts().now()
    # The devices of the invented cases must not keep out whoever looks at them.
    first_only = not parts().settings.demo
    device_id, state = parts().journal.write(
        lambda store: device.ask(
            store.connection, said["key"], said["name"], now,
            trusted=trusted, first_only=first_only,
        )
    )
    if state == device.RETIRED:
        raise ChecklistError("device_retired", device=device_id)
    new = {device.ADMITTED: 201, device.WAITING: 202}
    return {"device": device_id, "state": state}, 200 if before else new[state]


@exchange.get("/heads")
def heads() -> Response:
    """Tell a device what is held of its logs, and where the outbox ends."""
    sender = _signer()
    reader, identity = parts().journal.reader, parts().identity
    admitted = sender["state"] == device.ADMITTED
    held = {
        "station": identity.station_id,
        "incarnation": identity.incarnation,
        "leaves": parts().journal.leaves_of_device(sender["device_id"]) if admitted else [],
        "outbox": station.outbox(SqliteStore(reader), identity) if admitted else None,
        "device": sender["state"],
        "demo": parts().settings.demo,
    }
    response = Response(json.dumps({**held, "time": parts().now()}), mimetype="application/json")
    # The tag leaves the time out, or nothing would ever be unchanged.
    response.set_etag(keys.digest(json.dumps(held)))
    response.headers["Cache-Control"] = "no-cache"
    return response.make_conditional(request)


@exchange.post("/logs/<log>/batches")
def admit(log: str) -> dict:
    """Admit a batch; the answer leaves after its commit."""
    if request.mimetype != LINES:
        raise ChecklistError("encoding_unknown", encoding=request.mimetype)
    body = request.stream.read(intake.LARGEST_BATCH + 1)
    encoding = request.headers.get("Content-Encoding", "")
    return asdict(intake.take(parts().journal, body, encoding, parts().now(), log))


@exchange.get("/logs/<log>/events")
def events(log: str) -> Response:
    """Give lines as stored: of the caller's own logs, or of the outbox."""
    sender = _signer()
    device.sending(parts().journal.reader, sender["device_id"])
    owner = parts().journal.owner(log)
    if owner is None:
        raise ChecklistError("not_found", log=log)
    if owner not in (sender["device_id"], parts().identity.station_id):
        raise ChecklistError("log_foreign", log=log)
    after = request.args.get("after", default=0, type=int)
    lines, last = parts().journal.lines_after(log, max(after, 0))
    response = Response("".join(line + "\n" for line in lines), mimetype=LINES)
    response.headers["X-Head"] = last.hex() if last else ""
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
    return said


def _signer() -> dict:
    """Give the device that signed this request; raises device_unknown or signature_wrong."""
    sender = device.known(parts().journal.reader, request.headers.get("X-Device", ""))
    query = f"?{request.query_string.decode()}" if request.query_string else ""
    message = f"get/1\n{request.path}{query}"
    if not keys.is_signed(sender["public_key"], message, request.headers.get("X-Signature", "")):
        raise ChecklistError("signature_wrong")
    return sender

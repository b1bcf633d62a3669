"""Speak to a hub over HTTP: one request, one answer, one kind of error.

One connection a session, since on a slow line a handshake costs more than a batch.
Whatever is not a hub's own answer, such as the page of a captive portal, counts as
unreachable.
"""

import gzip
import http.client
import json
import ssl
import zlib
from typing import NamedTuple
from urllib.parse import urlsplit

from checklist import keys
from checklist.errors import ERRORS, ChecklistError
from checklist.relayed import message
from checklist.station import Identity
from checklist.web.local import is_loopback

LONGEST_WAIT_S = 30
# Bytes a second: 5 kbit/s, slower than the slowest phone network in use.
SLOWEST = 5000 / 8
# Bytes; heads of 20,000 logs are under 3 MB. More than this is no answer of a hub.
LARGEST_ANSWER = 8 * 1024 * 1024
PROBLEM = "application/problem+json"


class Answer(NamedTuple):
    """A good answer: its status, headers by lower-case name, and body unpacked."""

    status: int
    headers: dict[str, str]
    body: bytes


class Wire:
    """The line to one hub, for one session."""

    def __init__(self, url: str, identity: Identity, authority: str = "") -> None:
        """Take the hub's address; raises certificate_needed or certificate_unreadable."""
        where = urlsplit(url)
        self._identity = identity
        self._path = where.path.rstrip("/")
        if where.scheme == "https" and where.hostname:
            self._connection = http.client.HTTPSConnection(
                where.hostname, where.port, context=_trust(authority)
            )
        elif where.scheme == "http" and is_loopback(where.hostname or ""):
            self._connection = http.client.HTTPConnection(where.hostname, where.port)
        else:
            raise ChecklistError("certificate_needed", host=where.hostname or url)

    def get(self, path: str, headers: dict[str, str] | None = None) -> Answer:
        """Ask for a path, signed."""
        signature = keys.sign(self._identity.private_key, f"get/1\n{path}")
        return self._ask("GET", path, None, {**self._signed(signature), **(headers or {})})

    def post(self, path: str, body: bytes, headers: dict[str, str]) -> dict:
        """Send a body, signed as it travels; gives the answer's JSON."""
        signature = keys.sign(self._identity.private_key, message(path, body))
        return read_json(self._ask("POST", path, body, {**self._signed(signature), **headers}))

    def close(self) -> None:
        """Hang up."""
        self._connection.close()

    def _signed(self, signature: str) -> dict[str, str]:
        return {"X-Device": self._identity.station_id, "X-Signature": signature}

    def _ask(
        self, method: str, path: str, body: bytes | None, headers: dict[str, str]
    ) -> Answer:
        try:
            answer = self._try(method, path, body, headers)
        except ConnectionError:
            # The hub hangs up on an idle line; every message may be sent again.
            answer = self._try(method, path, body, headers, last=True)
        if answer.status in (200, 201, 202, 304):
            return answer
        raise _refusal(answer)

    def _try(
        self, method: str, path: str, body: bytes | None, headers: dict[str, str], last: bool = False
    ) -> Answer:
        connection = self._connection
        wait = LONGEST_WAIT_S + len(body or b"") / SLOWEST
        try:
            if connection.sock is None:
                connection.timeout = wait
                connection.connect()
            connection.sock.settimeout(wait)
            connection.request(
                method, self._path + path, body, {"Accept-Encoding": "gzip", **headers}
            )
            return _read(connection.getresponse())
        except ssl.SSLCertVerificationError as error:
            connection.close()
            raise ChecklistError("hub_wrong", why=error.verify_message) from error
        except (OSError, http.client.HTTPException) as error:
            connection.close()
            if isinstance(error, ConnectionError) and not last:
                raise
            why = str(error) or type(error).__name__
            raise ChecklistError("station_unreachable", why=why) from error


def read_json(answer: Answer) -> dict:
    """Read an answer that must be a JSON object; raises station_unreachable."""
    try:
        said = json.loads(answer.body)
    except (ValueError, RecursionError):
        said = None
    if not isinstance(said, dict):
        raise ChecklistError("station_unreachable", why="not the answer of a hub")
    return said


def _trust(authority: str) -> ssl.SSLContext:
    try:
        context = ssl.create_default_context(cafile=authority or None)
    except (OSError, ssl.SSLError) as error:
        raise ChecklistError(
            "certificate_unreadable", certificate=authority, why=str(error)
        ) from error
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context


def _read(response: http.client.HTTPResponse) -> Answer:
    body = response.read(LARGEST_ANSWER + 1)
    # What is left of the promised length tells of a line that broke.
    if response.length and len(body) <= LARGEST_ANSWER:
        raise http.client.IncompleteRead(body)
    headers = {name.lower(): value for name, value in response.getheaders()}
    if headers.get("content-encoding") == "gzip":
        body = _unpack(body)
    if len(body) > LARGEST_ANSWER:
        raise http.client.HTTPException("the answer is too long")
    return Answer(response.status, headers, body)


def _unpack(body: bytes) -> bytes:
    unpacker = zlib.decompressobj(16 + zlib.MAX_WBITS)
    try:
        text = unpacker.decompress(body, LARGEST_ANSWER + 1)
    except zlib.error as error:
        raise http.client.HTTPException("the answer is not gzip") from error
    if not unpacker.eof and len(text) <= LARGEST_ANSWER:
        raise http.client.IncompleteRead(body)
    return text


def _refusal(answer: Answer) -> ChecklistError:
    if not answer.headers.get("content-type", "").startswith(PROBLEM):
        return ChecklistError("station_unreachable", why=f"status {answer.status}")
    said = read_json(answer)
    code = said.pop("code", "")
    facts = {name: said[name] for name in ("why", "max", "device", "log") if name in said}
    if "retry-after" in answer.headers:
        facts["retry_after"] = answer.headers["retry-after"]
    if code not in ERRORS:
        return ChecklistError("unexpected", **facts, told=str(code)[:60])
    return ChecklistError(code, **facts)


def pack(body: bytes) -> bytes:
    """Compress a body as it travels."""
    return gzip.compress(body, mtime=0)

"""Bad input to every address: an answer below 500, never a trace, and nothing is changed.

The addresses come from the app itself, so a new one is walked the day it is added.
"""

import gzip
import logging
import re
from itertools import cycle, product
from pathlib import Path
from urllib.parse import quote

import pytest

from tests.server.pages import token
from tests.server.people import quick_hashes  # noqa: F401
from tests.server.tablet import ELSEWHERE, LOCAL

WEB = Path(__file__).resolve().parents[2] / "checklist" / "web"
# One part of an address; in its first group when it must be a number.
PART = re.compile(r"<(int[^:]*:)?[^>]*>")
METHODS = ("GET", "POST", "PUT", "DELETE", "PATCH", "TRACE")
ODD_NAMES = (
    "0", "0" * 16, "0" * 32, "..", "%00", "a" * 3000, "é", "' or 1=1--", "<script>", "{{7*7}}", "\u202e", "-1",
)
ODD_NUMBERS = ("0", "7", str(2**31), str(2**63 - 1), str(2**63), "9" * 40)
ODD_QUERIES = (
    "at=99999999999999999999999", "at=-1&case=%00", "at=x", "skip=9223372036854775808", "skip=-1",
    "after=1e5", "after=" + "9" * 300, "before=9223372036854775808", "before=-9", "post=%ff%fe", "mode=",
    "next=//evil.example", "saved=1&saved=2", "from=x&to=y", "month=2026-13", "page=%F0%9F%91%B6", "=", "&&&", "a[]=1",
    "first=0000-00-00&last=99999-01-01", "n=" + "1" * 5000,
)
NESTED = b"[" * 100_000
BODIES = (
    b"", b"\x00\xff" * 200, b"{", b"[]", b"null", b"1e999", b'"a"', NESTED, b'{"key": 1, "name": [], "signature": {}}',
    b'{"log":"","seq":99999999999999999999}\n{}\n', b"\n" * 1000, "{\"a\":\"\ud800\"}".encode("utf-8", "surrogatepass"),
)
CONTENT_TYPES = (
    "", "application/json", "application/x-ndjson", "text/plain", "application/x-www-form-urlencoded",
    "multipart/form-data", "multipart/form-data; boundary=", "application/json; charset=nonsense", "a" * 500,
)
ENCODINGS = ("", "gzip", "br", "gzip, gzip", "identity")
HOSTS = ("evil.example", "localhost:99999", "a b", "[::1", "127.0.0.1.evil.example", "")
OVERSIZE = b"x" * (3 * 1024 * 1024)
BOMB = gzip.compress(b"\n" * 30_000_000)
ODD_VALUES = ("", " ", "\x00", "9" * 400, "-1", "1e5", "é" * 500, "<script>", "=1+1", "x" * 5000, "true", "\U0001f476")
FIELDS = (
    "post", "altitude_m", "gauge_unit", "same_contraction_s", "language", "name", "password", "chosen", "again",
    "roles", "kind", "first", "last", "admit", "file", "text", "value", "number", "base", "code",
)


def rules(app):
    """Give every address with something odd for each of its parts: [(methods, path)]."""
    found: dict[str, set[str]] = {}
    for rule in app.url_map.iter_rules():
        for value, number in zip(ODD_NAMES, cycle(ODD_NUMBERS)):
            path = PART.sub(lambda part: number if part[1] else quote(value, safe="%."), rule.rule)
            found.setdefault(path, set()).update(rule.methods)
    return [(methods, path) for path, methods in found.items()]


def short(app, method, longest=120):
    """Give the addresses of a method, each with names that are odd but short."""
    return [path for methods, path in rules(app) if method in methods and len(path) < longest]


@pytest.fixture
def answered(client, stored, caplog):
    """Send a request and hold its answer to what is promised of every one."""

    def send(path, method="GET", environ=LOCAL, **asked):
        caplog.clear()
        reply = client.open(path, method=method, environ_base=environ, **asked)
        where = f"{method} {path[:80]} {str(asked)[:120]}"
        assert reply.status_code < 500, where
        assert b"Traceback" not in reply.data and b'File "/' not in reply.data, where
        assert not [row for row in caplog.records if row.levelno >= logging.ERROR], where
        return reply

    kept = ("event", "device", "log", "batch", "account", "case_summary")
    before = {table: stored(table) for table in kept}
    yield send
    assert {table: stored(table) for table in kept} == before


@pytest.fixture
def paths(app):
    return rules(app)


def test_the_walk_reaches_every_address(app, paths):
    assert len(paths) > len({rule.rule for rule in app.url_map.iter_rules()}) > 20
    assert not any("<" in path or ">" in path for _, path in paths)


def test_no_page_reads_a_whole_number_by_itself():
    pages = [path for path in WEB.glob("*.py") if path.name != "asked.py"]

    assert pages
    assert [path.name for path in pages if "type=int" in path.read_text(encoding="utf-8")] == []


@pytest.mark.parametrize("environ", [LOCAL, ELSEWHERE], ids=["here", "elsewhere"])
def test_odd_names_and_wrong_methods(answered, paths, environ):
    for methods, path in paths:
        for method in METHODS:
            reply = answered(path, method, environ)
            if method not in methods:
                assert 400 <= reply.status_code < 500 or reply.status_code in (302, 303, 308), path


def test_odd_queries(answered, app):
    for path, query in product(short(app, "GET"), ODD_QUERIES):
        answered(f"{path}?{query}")


def test_junk_bodies_of_every_type(answered, app):
    for path, body, kind in product(short(app, "POST"), BODIES, CONTENT_TYPES):
        answered(path, "POST", data=body, content_type=kind or None)


@pytest.mark.parametrize("body", [OVERSIZE, BOMB], ids=["oversize", "bomb"])
def test_too_much_at_once(answered, app, body):
    for path, encoding in product(short(app, "POST"), ENCODINGS):
        headers = {"Content-Encoding": encoding} if encoding else {}
        reply = answered(path, "POST", data=body, content_type="application/x-ndjson", headers=headers)
        assert reply.status_code >= 300, path


def test_odd_encodings(answered, app):
    for path, body, encoding in product(short(app, "POST"), BODIES[:6], ENCODINGS[1:]):
        answered(path, "POST", data=body, headers={"Content-Encoding": encoding})


def test_other_hosts(answered, app):
    for path, host in product(short(app, "GET"), HOSTS):
        reply = answered(path, headers={"Host": host})
        if path.startswith("/station"):
            assert reply.status_code >= 300, (path, host)


def test_forms_with_their_token_and_junk_in_every_field(answered, app, client):
    kept = token(client, "/station/settings")
    pages = [path for path in short(app, "POST") if path.startswith("/station") and "/leave" not in path]
    for path, value in product(pages, ODD_VALUES):
        fields = {**dict.fromkeys(FIELDS, value), "csrf_token": kept}
        answered(path, "POST", data=fields)


@pytest.mark.parametrize("headers", [
    {"X-Device": "0" * 64, "X-Signature": "x"}, {"X-Device": "é", "X-Signature": "=" * 5000},
    {"Range": "bytes=9-1"}, {"If-None-Match": '"' * 300}, {"Cookie": "account=\x01; station=" + "x" * 3000},
    {"Accept-Language": "x" * 9000}, {"Origin": "https://evil.example"}, {"X-Forwarded-For": "127.0.0.1"},
], ids=["device", "signature", "range", "etag", "cookie", "language", "origin", "forwarded"])
def test_odd_headers(answered, paths, headers):
    for methods, path in paths:
        for method in sorted(methods & {"GET", "POST"}):
            answered(path, method, headers={name: value.encode().decode("latin-1") for name, value in headers.items()})


def test_a_signed_request_for_nonsense(tablet, answered):
    for path in ("/v1/heads", f"/v1/logs/{tablet.log}/events", f"/v1/logs/{tablet.log}/batches"):
        for query in ODD_QUERIES:
            reply = tablet.get(_Client(answered), f"{path}?{query}")
            assert reply.status_code < 500


class _Client:
    """Lets a tablet ask through the promises above."""

    def __init__(self, send) -> None:
        self._send = send

    def get(self, path, headers):
        return self._send(path, headers=headers)

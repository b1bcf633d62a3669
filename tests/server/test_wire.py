"""The line to a hub: whatever is not a hub's own answer counts as unreachable."""

import json
import socket
from contextlib import closing, contextmanager
from threading import Thread

import pytest

from checklist import create_app, server, wire
from checklist.config import Settings
from checklist.errors import ChecklistError
from checklist.web.parts import NAME
from checklist.wire import Wire
from tests.server.certificates import self_signed

PROBLEM = b"HTTP/1.1 503 Busy\r\nContent-Type: application/problem+json\r\nRetry-After: 120\r\n"


@contextmanager
def answering(*answers: bytes):
    """Answer each connection with bytes of a test's own; gives the address."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        def serve():
            for answer in answers:
                try:
                    line, _ = listening.accept()
                except OSError:
                    return
                with line:
                    line.recv(65536)
                    line.sendall(answer)

        Thread(target=serve, daemon=True).start()
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"


def refusal(station, url, authority=""):
    with pytest.raises(ChecklistError) as error:
        with closing(Wire(url, station.identity, authority)) as line:
            line.get("/v1/heads")
    return error.value


def whole(body: bytes, kind: str = "application/json", length: int | None = None) -> bytes:
    size = len(body) if length is None else length
    return f"HTTP/1.1 200 OK\r\nContent-Type: {kind}\r\nContent-Length: {size}\r\n\r\n".encode() + body


@pytest.mark.parametrize(
    "answer",
    [
        whole(b'{"station"', length=500),
        b"SSH-2.0-something\r\n",
        b"HTTP/1.1 302 Found\r\nLocation: http://portal.test/\r\nContent-Length: 0\r\n\r\n",
        b"HTTP/1.1 502 Bad\r\nContent-Type: text/html\r\nContent-Length: 0\r\n\r\n",
        whole(b"x").replace(b"Content-Type", b"Content-Encoding: gzip\r\nContent-Type"),
    ],
    ids=["cut", "another protocol", "a portal that redirects", "a proxy", "not gzip"],
)
def test_an_answer_that_is_none_counts_as_unreachable(station, answer):
    with answering(answer, answer) as url:
        assert refusal(station, url).code == "station_unreachable"


def test_the_page_of_a_portal_is_no_answer(station):
    with answering(whole(b"<html>Welcome</html>", "text/html")) as url:
        with closing(Wire(url, station.identity)) as line:
            answer = line.get("/v1/heads")

    with pytest.raises(ChecklistError) as error:
        wire.read_json(answer)
    assert error.value.code == "station_unreachable"


def test_silence_ends(station, monkeypatch):
    monkeypatch.setattr(wire, "LONGEST_WAIT_S", 0.2)
    with socket.create_server(("127.0.0.1", 0)) as silent:
        error = refusal(station, f"http://127.0.0.1:{silent.getsockname()[1]}")

    assert error.code == "station_unreachable"


def test_a_hub_that_asks_for_patience_is_heard(station):
    body = json.dumps({"code": "journal_busy", "why": "many"}).encode()
    with answering(PROBLEM + b"Content-Length: %d\r\n\r\n" % len(body) + body) as url:
        error = refusal(station, url)

    assert (error.code, error.facts["retry_after"]) == ("journal_busy", "120")


def test_a_code_of_a_later_version_is_no_crash(station):
    body = json.dumps({"code": "dreamt_of_later"}).encode()
    with answering(PROBLEM + b"Content-Length: %d\r\n\r\n" % len(body) + body) as url:
        assert refusal(station, url).code == "unexpected"


def test_a_line_that_was_hung_up_while_idle_is_taken_up_again(station):
    with (
        answering(whole(b"{}"), whole(b'{"again": true}')) as url,
        closing(Wire(url, station.identity)) as line,
    ):
        line.get("/v1/heads")

        assert wire.read_json(line.get("/v1/heads")) == {"again": True}


@pytest.fixture
def https(tmp_path, shell_folder):
    """Give the address of a hub with a certificate that only its own file vouches for."""
    chain = self_signed(tmp_path, "hub", is_authority=True)
    settings = Settings(data=tmp_path / "https", static=shell_folder, port=0, certificate=chain)
    app = create_app(settings)
    listening = server.prepare(app, settings)
    thread = Thread(target=listening.serve, daemon=True)
    thread.start()
    yield f"https://127.0.0.1:{listening.bind_addr[1]}", chain
    listening.stop()
    thread.join()
    app.extensions[NAME].journal.close()


def test_a_certificate_that_nobody_vouches_for_is_refused(station, https):
    url, _ = https

    assert refusal(station, url).code == "hub_wrong"


def test_a_certificate_that_is_pinned_is_trusted_for_its_own_name_only(station, https):
    url, chain = https

    assert refusal(station, url, str(chain)).code == "device_unknown"
    elsewhere = url.replace("127.0.0.1", "localhost")
    assert refusal(station, elsewhere, str(chain)).code == "hub_wrong"


def test_an_authority_that_cannot_be_read_is_said(station, tmp_path):
    assert refusal(station, "https://hub.test", str(tmp_path / "none")).code == (
        "certificate_unreadable"
    )

"""The station as a process: kill -9, TLS on a flaky network, refusals at start."""

import http.client
import json
import random
import socket
import ssl
import subprocess
import sys
import threading
import time

import pytest

from checklist.audit import find_damage
from checklist.journal import Journal
from tests.server.certificates import self_signed
from tests.server.running import Running
from tests.server.tablet import Tablet

LINES = {"Content-Type": "application/x-ndjson"}


@pytest.fixture
def running(tmp_path):
    """Start a station on an empty folder, as often as a test wants."""
    started = []

    def start(*options: str) -> Running:
        started.append(Running("--data", str(tmp_path / "data"), *options))
        return started[-1]

    yield start
    for station in started:
        station.kill()


def post(connection, path, body, headers):
    """Post over a real connection; gives status and JSON."""
    connection.request("POST", path, body, headers)
    reply = connection.getresponse()
    return reply.status, json.loads(reply.read())


def admit(station, tablet):
    """Let a tablet in as the first device."""
    connection = http.client.HTTPConnection("127.0.0.1", station.port, timeout=10)
    body = json.dumps(tablet.asking())
    status, said = post(connection, "/v1/devices", body, {"Content-Type": "application/json"})
    connection.close()
    assert said["state"] == "admitted"
    return status


@pytest.mark.slow
def test_kill_9_loses_nothing_that_was_acknowledged(running, tmp_path):
    tablet, chance = Tablet(), random.Random(7)
    admit(running(), tablet)
    acknowledged = 0
    for _ in range(8):
        station = running()
        threading.Timer(chance.uniform(0.05, 0.4), station.kill).start()
        acknowledged = _send_until_it_dies(station, tablet, acknowledged)

    journal = Journal.open(tmp_path / "data" / "station.sqlite3")
    stored = []
    while batch := journal.lines_after(tablet.log, len(stored))[0]:
        stored += batch
    assert acknowledged > 100
    assert len(stored) >= acknowledged
    assert stored == tablet.lines[: len(stored)]
    assert list(find_damage(journal.reader, lambda step: None)) == []
    journal.close()


def _send_until_it_dies(station, tablet, acknowledged):
    connection = http.client.HTTPConnection("127.0.0.1", station.port, timeout=10)
    path = f"/v1/logs/{tablet.log}/batches"
    try:
        while True:
            for _ in range(10):
                tablet.note("hiss_heard")
            status, said = post(connection, path, _batch(tablet, acknowledged), LINES)
            assert status == 200
            acknowledged = max(seq for _, seq, _ in said["leaves"])
    except (OSError, http.client.HTTPException):
        return acknowledged
    finally:
        connection.close()


def _batch(tablet, acknowledged):
    first = max(acknowledged - 5, 1)
    return tablet.batch(first, first + 500)


@pytest.fixture(scope="module")
def certificate(tmp_path_factory):
    """Make a certificate for 127.0.0.1 that vouches for itself."""
    return self_signed(tmp_path_factory.mktemp("certificate"), "post")


def test_silent_clients_hold_up_nobody_over_tls(running, certificate):
    station = running("--certificate", str(certificate))
    silent = [socket.create_connection(("127.0.0.1", station.port)) for _ in range(12)]
    trust = ssl.create_default_context(cafile=str(certificate))
    began = time.monotonic()

    connection = http.client.HTTPSConnection("127.0.0.1", station.port, context=trust, timeout=10)
    connection.request("GET", "/health")
    reply = connection.getresponse()
    body = json.loads(reply.read())

    assert reply.status == 200 and set(body) == {"release", "time"}
    assert connection.sock.version() == "TLSv1.3"
    # The stock adapter would wait for each silent client in turn.
    assert time.monotonic() - began < 3
    connection.close()
    for each in silent:
        each.close()


def test_failed_handshakes_leave_no_trace_and_harm_nobody(running, certificate):
    station = running("--certificate", str(certificate))
    with pytest.raises(ssl.SSLCertVerificationError):
        fetch_health(station, ssl.create_default_context())
    plain = socket.create_connection(("127.0.0.1", station.port))
    plain.sendall(b"GET /health HTTP/1.1\r\nHost: x\r\n\r\n")
    assert not plain.recv(1000).startswith(b"HTTP")
    plain.close()
    gone = socket.create_connection(("127.0.0.1", station.port))
    gone.close()

    assert fetch_health(station, ssl.create_default_context(cafile=str(certificate))) == 200

    assert "Traceback" not in station.stop()


def fetch_health(station, trust):
    """Ask over TLS how the station is; gives the status."""
    connection = http.client.HTTPSConnection("127.0.0.1", station.port, context=trust, timeout=10)
    try:
        connection.request("GET", "/health")
        return connection.getresponse().status
    finally:
        connection.close()


def test_a_body_without_end_is_cut_off_and_the_next_client_served(running):
    station = running()
    greedy = http.client.HTTPConnection("127.0.0.1", station.port, timeout=10)
    greedy.putrequest("POST", f"/v1/logs/{'0' * 32}/batches")
    greedy.putheader("Content-Length", str(10**12))
    greedy.endheaders(b"x" * 1000)

    assert greedy.getresponse().status == 413

    greedy.close()
    polite = http.client.HTTPConnection("127.0.0.1", station.port, timeout=10)
    polite.request("GET", "/health")
    assert polite.getresponse().status == 200
    polite.close()


def test_a_signal_stops_the_station_in_order(running):
    station = running()

    said = station.stop()

    assert station.process.returncode == 0
    assert "Traceback" not in said


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost"])
def test_the_address_that_is_told_is_the_name_of_this_machine(running, host):
    station = running("--host", host)

    assert station.url == f"http://localhost:{station.port}"
    connection = http.client.HTTPConnection("127.0.0.1", station.port, timeout=10)
    connection.request("GET", "/")
    reply = connection.getresponse()
    assert (reply.status, reply.headers["Location"]) == (302, f"{station.url}/")
    connection.close()


def serve(*options):
    """Start a station that must not start; gives exit code and error output."""
    done = subprocess.run(
        [sys.executable, "-m", "checklist", "serve", *options],
        capture_output=True, text=True, timeout=60,
    )
    return done.returncode, done.stderr


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.4.1", "::", "post.example"])
def test_plain_http_on_a_network_is_refused_with_the_reason(tmp_path, host):
    code, said = serve("--host", host, "--data", str(tmp_path / "data"))

    assert code == 64
    assert "certificate" in said and said.count("\n") == 1
    assert not (tmp_path / "data").exists()


def test_a_port_in_use_is_said_in_one_sentence(running, tmp_path):
    station = running()

    code, said = serve("--port", str(station.port), "--data", str(tmp_path / "other"))

    assert code == 69
    assert str(station.port) in said and said.count("\n") == 1


def test_a_data_folder_that_cannot_be_made_is_said_in_one_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")

    code, said = serve("--data", str(tmp_path / "file" / "data"))

    assert code == 73
    assert "data folder" in said and said.count("\n") == 1


@pytest.mark.parametrize("content", [None, "no certificate"])
def test_a_certificate_that_cannot_be_read_is_said_in_one_sentence(tmp_path, content):
    path = tmp_path / "post.pem"
    if content:
        path.write_text(content)

    code, said = serve("--data", str(tmp_path / "d"), "--port", "0", "--certificate", str(path))

    assert code == 66
    assert "certificate" in said and said.count("\n") == 1

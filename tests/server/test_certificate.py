"""The authority vouches for this place alone, and a tablet that trusts it trusts the station."""

import shutil
import socket
import ssl
import stat
import subprocess
import urllib.error
import urllib.request
from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner
from cryptography import x509
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from checklist import certificate
from checklist.cli import main
from checklist.errors import ChecklistError

NOW = datetime.now(UTC)
NAMES = ["hill-post.local", "localhost", "127.0.0.1", "192.168.4.1"]


@pytest.fixture
def made(tmp_path):
    """Give a data folder with an authority and a certificate."""
    names = certificate.read_names(NAMES)
    certificate.make_authority(tmp_path, names, NOW)
    certificate.make_leaf(tmp_path, names, NOW)
    return tmp_path


def verify(folder, name, leaf=None, at=NOW):
    """Check the leaf as the library's own verifier does, under its rules for the web."""
    pem = (certificate.folder_of(folder) / "server.pem").read_bytes()
    chain = [leaf] if leaf else x509.load_pem_x509_certificates(pem)
    builder = PolicyBuilder().store(Store([certificate.authority_of(folder)])).time(at)
    return builder.build_server_verifier(certificate.read_names([name])[0]).verify(chain[0], chain[1:])


@pytest.mark.parametrize("name", NAMES)
def test_the_certificate_holds_for_every_name_and_address(made, name):
    assert len(verify(made, name)) == 2


@pytest.mark.parametrize("name", ["other.local", "192.168.4.2", "example.org"])
def test_it_holds_for_no_other(made, name):
    with pytest.raises(VerificationError):
        verify(made, name)


def test_it_ends_within_398_days_and_the_authority_within_ten_years(made):
    pem = (certificate.folder_of(made) / "server.pem").read_bytes()
    leaf, authority = x509.load_pem_x509_certificates(pem)

    for one, days in ((leaf, 398), (authority, 3653)):
        assert one.not_valid_after_utc - one.not_valid_before_utc <= timedelta(days=days)
    assert certificate.days_left(certificate.kept(made), NOW) == 395
    with pytest.raises(VerificationError):
        verify(made, NAMES[0], at=NOW + timedelta(days=397))


def test_keys_are_for_the_owner_alone(made):
    for name in ("authority.key", "server.key"):
        assert stat.S_IMODE((certificate.folder_of(made) / name).stat().st_mode) == 0o600
    assert stat.S_IMODE(certificate.folder_of(made).stat().st_mode) == 0o700


@pytest.mark.parametrize("name", ["example.org", "hill-post.local.example.org", "8.8.8.8", "2001:db8::1"])
def test_a_name_that_is_not_of_this_place_is_refused_and_nothing_changes(made, name):
    before = (certificate.folder_of(made) / "server.pem").read_bytes()
    with pytest.raises(ChecklistError) as refused:
        certificate.make_leaf(made, certificate.read_names([name]), NOW)
    assert refused.value.code == "authority_kept"
    assert (certificate.folder_of(made) / "server.pem").read_bytes() == before


@pytest.mark.skipif(shutil.which("openssl") is None, reason="openssl is not installed")
def test_openssl_agrees_and_minds_the_bounds_of_the_authority(made):
    folder = certificate.folder_of(made)

    def said(*words):
        return subprocess.run(
            ["openssl", "verify", "-x509_strict", "-purpose", "sslserver",
             "-CAfile", folder / "authority.pem", *words, folder / "server.pem"],
            capture_output=True, text=True,
        )

    assert said("-verify_hostname", "hill-post.local").returncode == 0
    assert said("-verify_ip", "192.168.4.1").returncode == 0
    assert said("-verify_hostname", "example.org").returncode != 0
    # A leaf for a foreign name, signed with the authority's own key all the same.
    certificate._may_vouch, kept = (lambda *_: True), certificate._may_vouch
    try:
        certificate.make_leaf(made, certificate.read_names(["example.org"]), NOW)
    finally:
        certificate._may_vouch = kept
    assert "permitted subtree violation" in said().stderr


def test_an_authority_is_never_made_twice_unless_asked(made):
    first = certificate.authority_of(made)
    with pytest.raises(ChecklistError) as refused:
        certificate.make_authority(made, certificate.read_names(NAMES), NOW)
    assert refused.value.code == "authority_kept" and certificate.authority_of(made) == first

    certificate.make_authority(made, certificate.read_names(NAMES), NOW, anew=True)
    assert certificate.authority_of(made) != first


def run(*words):
    return CliRunner().invoke(main, ["certificate", *(str(word) for word in words)])


def test_the_command_makes_then_renews_under_the_same_authority(tmp_path):
    first = run(*NAMES, "--data", tmp_path)
    authority, leaf = certificate.authority_of(tmp_path), certificate.kept(tmp_path).read_bytes()
    second = run(*NAMES, "--data", tmp_path)

    assert first.exit_code == second.exit_code == 0
    assert "new authority" in first.output and "new authority" not in second.output
    assert certificate.authority_of(tmp_path) == authority
    assert certificate.kept(tmp_path).read_bytes() != leaf
    assert certificate.fingerprint(authority) in second.output


def test_the_command_finds_this_machines_own_names(tmp_path):
    said = run("--data", tmp_path)

    assert said.exit_code == 0
    for name in ("localhost", "127.0.0.1", f"{socket.gethostname().split('.')[0].lower()}.local"):
        assert name in said.output and verify(tmp_path, name)


@pytest.mark.parametrize("name", ["hill post", "-x.local", "a..b", "x" * 64, "http://hill.local", "ü.local"])
def test_what_is_neither_name_nor_address_is_wrong_use(tmp_path, name):
    assert run("--data", tmp_path, "--", name).exit_code == 2
    assert not certificate.folder_of(tmp_path).exists()


def test_a_damaged_authority_and_a_missing_key_are_said_in_a_sentence(made):
    folder = certificate.folder_of(made)
    (folder / "authority.key").unlink()
    assert run(*NAMES, "--data", made).exit_code == 66
    (folder / "authority.pem").write_text("no certificate")
    assert run(*NAMES, "--data", made).exit_code == 66


@pytest.fixture
def serving(running_station, tmp_path):
    """Give a station that others reach by its own certificate, and its plain door."""
    run(*NAMES, "--data", tmp_path / "d")
    return running_station("--host", "0.0.0.0", "--data", str(tmp_path / "d")), tmp_path / "d"


@pytest.fixture
def running_station():
    """Start a station in its own process."""
    from tests.server.running import Running

    started = []

    def start(*options):
        started.append(Running(*options))
        return started[-1]

    yield start
    for station in started:
        station.kill()


def fetch(url, context=None, data=None):
    try:
        with urllib.request.urlopen(urllib.request.Request(url, data=data), timeout=20, context=context) as answer:
            return answer.status, answer.headers, answer.read(), answer.geturl()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.headers, error.read(), url


def test_a_client_that_trusts_the_authority_reaches_the_station_and_no_other_does(serving):
    station, folder = serving
    trust = ssl.create_default_context(cafile=certificate.folder_of(folder) / "authority.pem")

    assert station.url.startswith("https://")
    assert fetch(f"https://localhost:{station.port}/health", trust)[0] == 200
    assert fetch(f"https://127.0.0.1:{station.port}/health", trust)[0] == 200
    with pytest.raises(urllib.error.URLError):
        fetch(f"https://localhost:{station.port}/health", ssl.create_default_context())


def test_the_plain_door_explains_hands_out_the_authority_and_lets_nobody_in(serving):
    station, folder = serving
    door = next(
        line.split(":")[-1].split("/")[0] for line in station.process.stdout if "/trust" in line
    )
    plain = f"http://localhost:{door}"
    authority = certificate.authority_of(folder)

    for path in ("/", "/trust", "/station/", "/station/stick", "/sw.js", "/r/x/app.js", "/r/../v1/heads"):
        status, headers, page, _ = fetch(plain + path)
        assert status == 200 and certificate.fingerprint(authority).encode() in page
        assert f"https://localhost:{station.port}/".encode() in page
        assert "Set-Cookie" not in headers and b"style=" not in page
    status, headers, text, _ = fetch(f"{plain}/trust/authority.cer")
    assert x509.load_der_x509_certificate(text) == authority
    assert headers["Content-Type"] == "application/x-x509-ca-cert"
    for path, data in (("/v1/heads", None), ("/v1/devices", b"{}"), ("/health", None), ("/station/stick", b"a=b")):
        status, headers, text, url = fetch(plain + path, data=data)
        assert (status, url) == (403, plain + path)
        assert headers["Content-Type"] == "application/problem+json" and b"door_plain" in text
    assert fetch(f"{plain}/health")[0] == 403


def test_a_station_without_an_authority_has_no_page_to_trust(client):
    assert client.get("/trust").status_code == 404
    assert client.get("/trust/authority.cer").status_code == 404


def test_the_address_that_is_offered_is_never_what_a_stranger_wrote(app, client, settings):
    names = certificate.read_names(NAMES)
    certificate.make_authority(settings.data, names, NOW)

    for host in ('evil"><script>', "a b", "x/y"):
        page = client.get("/trust", environ_overrides={"HTTP_HOST": host})
        assert b"script" not in page.data and b"x/y" not in page.data

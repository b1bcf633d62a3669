"""The commands that join a station to its hub, as a person types them."""

import json
import re
import time
import urllib.request

import pytest
from click.testing import CliRunner

from checklist import station
from checklist.cli import main
from checklist.station import Post
from tests.server.hubs import Served, quick_codes
from tests.server.packs_made import ENGLISH, TAG, WORDS, a_pack, make
from tests.server.running import Running
from tests.server.tablet import Tablet

PATIENCE_S = 30


@pytest.fixture
def hub(tmp_path, shell_folder, monkeypatch):
    """Give a hub that serves."""
    quick_codes(monkeypatch)
    hub = Served(tmp_path / "hub", shell_folder)
    yield hub
    hub.stop()


@pytest.fixture
def post(tmp_path, shell_folder, hub):
    """Give the folder of a station that holds one tablet's events, and the tablet."""
    served = Served(tmp_path / "post", shell_folder)
    tablet, client = Tablet(), served.app.test_client()
    tablet.ask(client)
    tablet.pull(tablet.open_case())
    tablet.send(client)
    served.stop()
    return tmp_path / "post", tablet


def run(*told):
    return CliRunner().invoke(main, [str(word) for word in told])


def test_a_station_joins_by_a_code_and_sends_what_it_holds(hub, post):
    folder, tablet = post
    code = run("code", "--data", hub.settings.data)
    assert re.fullmatch(r"[0-9A-Z]{4}-[0-9A-Z]{4}\n", code.output)

    joined = run("join", hub.url, code.output.strip(), "--name", "Hill post", "--data", folder)
    sent = run("sync", "--data", folder)
    again = run("sync", "--data", folder)

    letters = hub.parts.identity.station_id
    assert (joined.exit_code, sent.exit_code, again.exit_code) == (0, 0, 0)
    assert f"{letters[:4]} {letters[4:8]}" in joined.output
    assert "Sent 4 events" in sent.output and "Sent 0 events" in again.output
    assert hub.lines() == set(tablet.lines)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["join", "{hub}", "00000000"], 77, "This code does not fit"),
        (["join", "http://192.0.2.1", "00000000"], 64, "Without a certificate"),
        (["join", "http://127.0.0.1:9", "00000000"], 69, "cannot be reached"),
        (["sync"], 66, "reports to no hub"),
    ],
)
def test_a_refusal_is_one_sentence_and_a_code(hub, post, words, code, said):
    folder, _ = post

    ended = run(*[word.format(hub=hub.url) for word in words], "--data", folder)

    assert (ended.exit_code, said in ended.output) == (code, True)
    assert "Traceback" not in ended.output


@pytest.mark.parametrize("words", [["code"], ["sync"], ["join", "http://localhost", "0" * 8]])
def test_without_a_journal_nothing_is_made(tmp_path, words):
    ended = run(*words, "--data", tmp_path / "none")

    assert ended.exit_code == 66
    assert not (tmp_path / "none").exists()


def test_what_the_hub_refuses_stays_and_is_counted(hub, post):
    folder, tablet = post
    run("join", hub.url, run("code", "--data", hub.settings.data).output.strip(), "--data", folder)
    run("sync", "--data", folder)
    hub.state_of(tablet.device_id, "retired")
    served = Served(folder, hub.settings.static)
    tablet.note("hiss_heard")
    tablet.send(served.app.test_client(), tablet.batch(5))
    served.stop()

    ended = run("sync", "--data", folder)

    assert ended.exit_code == 65
    assert "kept here: 1 (device_retired)" in ended.output
    assert len(hub.lines()) == 4


def test_a_hub_that_is_gone_is_said(hub, post):
    folder, _ = post
    run("join", hub.url, run("code", "--data", hub.settings.data).output.strip(), "--data", folder)
    hub.stop()

    ended = run("sync", "--data", folder)

    hub.start()
    assert ended.exit_code == 69


def test_a_station_that_serves_reports_by_itself(hub, post):
    folder, tablet = post
    run("join", hub.url, run("code", "--data", hub.settings.data).output.strip(), "--data", folder)

    serving = Running("--data", str(folder))
    try:
        end = time.monotonic() + PATIENCE_S
        while hub.lines() != set(tablet.lines) and time.monotonic() < end:
            time.sleep(0.05)
    finally:
        serving.stop()

    assert hub.lines() == set(tablet.lines)


def test_a_station_that_serves_takes_over_words_and_makes_the_next_release(hub, post):
    folder, _ = post
    run("join", hub.url, run("code", "--data", hub.settings.data).output.strip(), "--data", folder)
    make(hub, a_pack(WORDS))

    serving = Running("--data", str(folder))
    try:
        end, told = time.monotonic() + PATIENCE_S, ""
        while TAG not in told and time.monotonic() < end:
            release = json.loads(fetch(f"{serving.url}/health"))["release"]
            told = fetch(f"{serving.url}/r/{release}/contents.json")
            time.sleep(0.05)
    finally:
        serving.stop()

    assert TAG in told


def fetch(url):
    with urllib.request.urlopen(url) as answer:
        return answer.read().decode()


@pytest.mark.parametrize("ready", [True, False], ids=["all that a station says", "two lines"])
def test_what_is_refused_is_said_in_the_posts_language_once_all_of_it_is_ready(tmp_path, shell_folder, ready):
    served = Served(tmp_path / "post", shell_folder)
    shared, folder = served.parts, served.settings.data
    make(served, a_pack({name: f"«{text}»" for name, text in ENGLISH.items()} if ready else WORDS))
    shared.journal.write(lambda store: station.set_post(store, shared.identity, Post("Hill post", language=TAG), shared.now()))
    served.stop()
    (tmp_path / "torn.stick").write_bytes(b"torn")

    told = run("stick", "import", tmp_path / "torn.stick", "--data", folder)

    (code,) = [name for name, text in ENGLISH.items() if name.startswith("problem.stick") and text in told.output]
    assert told.exit_code != 0
    assert (f"«{ENGLISH[code]}»" in told.output) == ready

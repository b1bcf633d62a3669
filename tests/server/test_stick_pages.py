"""The stick by command line and by page: good use, bad use, and what each says."""

import io
import json

import pytest
from click.testing import CliRunner

from checklist import keys, sealing
from checklist.cli import main
from checklist.web.parts import NAME, Parts
from tests.server.near_hub import Post
from tests.server.pages import see, token
from tests.server.sticks import Pair, contents
from tests.server.tablet import ELSEWHERE, LOCAL, Tablet


def run(*words):
    return CliRunner().invoke(main, ["stick", *(str(word) for word in words)])


@pytest.fixture
def folders(tmp_path):
    """Give the data folders of a hub and of a station where a birth waits."""
    places = [tmp_path / name for name in ("hub", "post")]
    for place in places:
        place.mkdir()
    made = Pair.__new__(Pair)
    made.hub, made.post = (Post(place, "station") for place in places)
    made.said = Pair.seal(made.hub)
    made.tablet = made.post.admit(Tablet())
    made.birth()
    return made, *places


def test_from_the_key_to_the_receipt(folders, tmp_path):
    _, hub, post = folders
    key, file, note = (tmp_path / name for name in ("hub.key", "week.stick", "week.receipt"))

    made = run("key", "--to", key, "--data", hub)
    assert made.exit_code == 0 and "Fingerprint" in made.output
    assert run("export", file, "--data", post).exit_code == 66 and not file.exists()
    trusted = run("trust", key, "--data", post)
    assert trusted.exit_code == 0
    assert made.output.split(": ")[1].strip() in trusted.output
    assert run("export", file, "--data", post).exit_code == 0
    refused = run("import", file, "--data", hub)
    assert refused.exit_code == 77 and "fingerprint" in refused.output
    taken = run("import", file, "--admit", "--receipt", note, "--data", hub)
    assert taken.exit_code == 0 and "10 of them new" in taken.output
    assert run("import", note, "--data", post).output == "the hub holds 1 logs\n"
    assert run("import", note, "--data", post).output == "nothing new in this receipt\n"


def test_what_cannot_be_read_or_written_has_its_exit_code(folders, tmp_path):
    pair, hub, post = folders
    key = tmp_path / "hub.key"
    key.write_text(json.dumps(pair.said))
    run("trust", key, "--data", post)

    assert run("export", tmp_path / "no" / "such.stick", "--data", post).exit_code == 73
    assert run("import", tmp_path / "missing", "--data", hub).exit_code == 2
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8" * 900)
    assert run("import", tmp_path / "photo.jpg", "--data", hub).exit_code == 65
    assert run("export", tmp_path / "x.stick", "--data", tmp_path / "nobody").exit_code == 66
    assert run("trust", tmp_path / "photo.jpg", "--data", post).exit_code == 65


def upload(client, text: bytes, environ=LOCAL, **more):
    form = {"csrf_token": token(client, "/station/stick"), **more}
    form["file"] = (io.BytesIO(text), "../../etc/week.stick")
    return client.post("/station/stick", data=form, environ_base=environ)


@pytest.fixture
def sent(client, station, tmp_path):
    """Give a file for the running hub, and the station that made it."""
    pair = Pair.__new__(Pair)
    pair.hub, pair.post = Post.__new__(Post), Post(tmp_path, "post")
    pair.hub.journal, pair.hub.identity = station.journal, station.identity
    pair.said = sealing.own(station.journal.reader)
    pair.tablet = pair.post.admit(Tablet())
    pair.birth()
    return pair


def test_anyone_may_ask_for_the_key_and_it_is_vouched_for(client, station):
    said = client.get("/v1/sealing-key").json

    assert sealing.proven(said)["key"] == keys.public_key_of(station.identity.private_key)
    assert sealing.fingerprint(said["seal"]) in see(client, "/station/stick")


def test_a_file_is_refused_with_the_senders_number_then_let_in(client, sent, stored):
    text = sent.file()
    before = contents(sent.hub)
    refused = upload(client, text)

    assert refused.status_code == 403 and 'name="admit"' in refused.text
    assert sealing.grouped(sent.post.identity.station_id[:20]) in refused.text
    assert contents(sent.hub) == before
    taken = upload(client, text, admit="y")
    assert taken.status_code == 200 and stored() == len(sent.post.lines())
    address = f"/station/stick/receipt/{sent.post.identity.station_id}"
    assert address in taken.text
    receipt = client.get(address, environ_base=LOCAL).data
    sent.post.journal.write(lambda store: sealing.trust(store.connection, sent.said, Parts.now()))
    assert sent.hand_back(receipt) == 1


@pytest.mark.parametrize("text", [b"", b"PK\x03\x04", b"checklist-stick 1 " + b"0" * 32 + b" " + b"0" * 32 + b"\n"])
def test_a_bad_file_is_answered_in_words(client, sent, text):
    before = contents(sent.hub)
    answer = upload(client, text)

    assert 400 <= answer.status_code < 500 and 'role="alert"' in answer.text
    assert contents(sent.hub) == before


def test_no_page_is_open_to_another_machine_and_no_form_without_its_token(client, sent):
    assert client.get("/station/stick", environ_base=ELSEWHERE).status_code == 403
    assert client.post("/station/stick/export", environ_base=LOCAL).status_code == 400
    body = {"file": (io.BytesIO(sent.file()), "x")}
    assert client.post("/station/stick", data=body, environ_base=LOCAL).status_code == 400


def test_only_the_page_that_takes_files_takes_a_large_body(client, sent):
    large = {"csrf_token": "x", "post": "x" * (2 * 1024 * 1024)}

    assert client.post("/station/settings", data=large, environ_base=LOCAL).status_code == 413
    parts = {"csrf_token": token(client, "/station/stick"), "file\"; filename=\"x": "x" * (2 * 1024 * 1024)}
    body = "".join(
        f'--cut\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{text}\r\n'
        for name, text in parts.items()
    )
    answer = client.post(
        "/station/stick", data=f"{body}--cut--\r\n".encode(), environ_base=LOCAL,
        content_type="multipart/form-data; boundary=cut",
    )
    assert answer.status_code == 400 and 'role="alert"' in answer.text


def test_a_station_without_a_hub_says_so(client):
    form = {"csrf_token": token(client, "/station/stick")}

    assert client.post("/station/stick/export", data=form, environ_base=LOCAL).status_code == 404


def test_a_browser_at_the_station_makes_the_file(app, client, station, tmp_path):
    hub = Post(tmp_path, "hub")
    said = Pair.seal(hub)
    app.extensions[NAME].journal.write(
        lambda store: sealing.trust(store.connection, said, Parts.now())
    )
    form = {"csrf_token": token(client, "/station/stick")}
    made = client.post("/station/stick/export", data=form, environ_base=LOCAL)

    assert made.status_code == 200 and made.data.startswith(b"checklist-stick 1 " + said["hub"].encode())
    assert ".stick" in made.headers["Content-Disposition"]
    made.close()

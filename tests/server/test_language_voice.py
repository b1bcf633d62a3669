"""Recorded sentences: by consent, listened to by another person, silent after any change."""

import io
import re

import pytest
from werkzeug.test import encode_multipart

from tests.server.language_desk import (
    HOME, PULL, SAID, TAG, WEBM, asha, ben, chidi, make_whole, room, settings, swahili, text_page, write,
)
from tests.server.people import quick_hashes, trail_of
from tests.server.tablet import ELSEWHERE

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]
KEY = f"{PULL}|n=1"
PAGE = f"{HOME}/{TAG}/voice/{PULL}%7Cn%3D1"


def record(person, data: bytes = WEBM, **more: object):
    """Send a recording."""
    return person.post(PAGE, page=f"{HOME}/new", clip=(io.BytesIO(data), "clip.webm"), **{"consent": "y", **more})


def heard(person, digest: str | None = None):
    """Say that the recording says exactly this."""
    found = re.search(r'name="digest" value="([0-9a-f]+)"', person.get(PAGE).text)
    return person.post(f"{PAGE}/heard", page=f"{HOME}/new", digest=digest or (found[1] if found else ""))


def state(folder) -> str:
    """How far the recording is."""
    folder.refresh()
    return folder.clips(PULL)[0].state


@pytest.fixture
def said(asha, swahili):
    write(asha, PULL, SAID[PULL])
    return swahili


def test_a_recording_is_kept_with_its_speakers_consent_and_can_be_heard(asha, said, station):
    assert record(asha).status_code == 303

    reply = asha.get(f"{PAGE}/sound")
    assert reply.data == WEBM and reply.content_type == "audio/webm"
    said.refresh()
    row = said.history(PULL)[-1]
    assert row["act"] == "recorded" and row["consent"] is True and row["by"] == "Asha"
    assert trail_of(station)[-1] == ("Asha", "voice_recorded", f"{TAG} {KEY}")


def test_without_consent_nothing_is_kept(asha, said):
    assert record(asha, consent="").status_code == 422
    assert state(said) == "silent" and asha.get(f"{PAGE}/sound").status_code == 404


@pytest.mark.parametrize("data", [b"", b"ID3 music", WEBM.replace(b"A_OPUS", b"A_AAAA"), WEBM[:12]])
def test_what_is_no_recording_is_refused(asha, said, data):
    assert record(asha, data).status_code == 422
    assert state(said) == "silent"


def test_a_recording_has_a_largest_size(asha, said):
    token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', asha.get(PAGE).text)[1]
    long = {"csrf_token": token, "consent": "y", "clip": (io.BytesIO(WEBM + b"\0" * 512 * 1024), "clip.webm")}
    boundary, body = encode_multipart(long)

    reply = asha.client.post(PAGE, data=body, content_type=f"multipart/form-data; boundary={boundary}", environ_base=ELSEWHERE)

    assert reply.status_code == 422 and state(said) == "silent"


def test_another_person_listens(asha, ben, said):
    record(asha)

    assert "You did the step before." in asha.get(PAGE).text
    assert heard(asha, said_digest(said)).status_code == 409
    assert heard(ben).status_code == 303
    assert state(said) == "heard"


def test_a_recording_that_was_made_again_has_to_be_heard_again(asha, ben, said):
    record(asha)
    old = said_digest(said)
    record(asha, WEBM + b"again")

    assert heard(ben, old).status_code == 409
    assert state(said) == "recorded"


def test_any_change_of_the_text_silences_its_recording(asha, ben, said):
    record(asha)
    heard(ben)

    write(asha, PULL, "Vuteni {n}.")

    assert state(said) == "silent"
    assert "not recorded" in asha.get(f"{HOME}/{TAG}/voice").text


def test_only_what_was_heard_goes_into_the_pack(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    record(asha)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")
    assert pack(asha, station)["voice"] == {}

    heard(ben)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")

    assert list(pack(asha, station)["voice"]) == [KEY]
    release = station.releases.now().name
    assert asha.get(f"/r/{release}/{pack(asha, station)['voice'][KEY]['file']}").data == WEBM


def test_over_plain_http_the_page_says_where_to_go(app, asha, said):
    stranger = app.test_client(use_cookies=False)
    cookie = asha.client.get_cookie("account", path="/station").value

    def seen(address: str) -> str:
        headers = {"Cookie": f"account={cookie}"}
        return stranger.get(PAGE, base_url=address, headers=headers, environ_base=ELSEWHERE).text

    assert 'data-part="start"' in seen("http://localhost:8765") and 'data-part="start"' in seen("https://192.168.4.1:8765")
    assert 'data-part="start"' not in seen("http://192.168.4.1:8765")
    assert f"http://localhost:8765{HOME}/{TAG}/voice/" in seen("http://192.168.4.1:8765")


def test_sentences_that_are_not_heard_have_no_recording(asha, swahili):
    assert asha.get(f"{HOME}/{TAG}/voice/small.stop").status_code == 404
    assert asha.get(f"{HOME}/{TAG}/voice/{PULL}%7Cn%3D9").status_code == 404
    assert asha.get(text_page(PULL)).status_code == 200


def said_digest(folder) -> str:
    folder.refresh()
    return folder.clips(PULL)[0].digest


def pack(person, station) -> dict:
    release = station.releases.now().name
    return person.get(f"/r/{release}/packs/{TAG}.json").get_json()

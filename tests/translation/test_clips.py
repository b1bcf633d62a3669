"""A recording is heard only with the very text, values and bytes that somebody listened to."""

import hashlib

import pytest

from checklist.errors import ChecklistError
from checklist.translation.clips import MOST_BYTES, clip_key, clip_keys
from checklist.translation.workshop import Workshop
from tests.translation.small import LEAD, change_english, check, finish, write

SOUND = b"\x1a\x45\xdf\xa3" + b"a whole sentence"
ONE, TWO = {"n": 1}, {"n": 2}


def states(folder, name="spoken.pull"):
    return [clip.state for clip in folder.clips(name)]


def recorded(folder, values=ONE, data=SOUND, by=LEAD):
    return folder.record("spoken.pull", values, data, by, 20, consent=True)


def why(work, *told, **how):
    with pytest.raises(ChecklistError) as refused:
        work(*told, **how)
    return refused.value.facts.get("why") or refused.value.code


def test_a_sentence_with_values_is_recorded_once_for_each_row(source):
    assert clip_keys(source["spoken.pull"]) == {"spoken.pull|n=1": ONE, "spoken.pull|n=2": TWO}
    assert clip_keys(source["bed.stop"]) == {"bed.stop": {}}
    assert clip_key("a.b", {"z": 1, "a": "x"}) == "a.b|a=x|z=1"


def test_a_recording_waits_for_a_second_person_to_listen(folder):
    finish(folder)
    digest = recorded(folder)

    before = states(folder)
    folder.heard("spoken.pull", ONE, digest, "Dan", 21)

    assert (before, states(folder)) == (["recorded", "silent"], ["heard", "silent"])
    assert folder.clip_path(digest).read_bytes() == SOUND and digest == hashlib.sha256(SOUND).hexdigest()


def test_another_recording_needs_another_listener(folder):
    finish(folder)
    folder.heard("spoken.pull", ONE, recorded(folder), "Dan", 21)
    recorded(folder, data=SOUND + b"!")
    before = states(folder)
    # Listening once more to the old one says nothing of the new one.
    folder.heard("spoken.pull", ONE, hashlib.sha256(SOUND).hexdigest(), "Dan", 22)

    assert before == states(folder) == ["recorded", "silent"]


@pytest.mark.parametrize("change", ["text", "english", "values", "withdrawn"])
def test_any_change_makes_it_silent(folder, workshop, change):
    finish(folder)
    folder.heard("spoken.pull", ONE, recorded(folder), "Dan", 21)
    if change == "text":
        write(folder, "spoken.pull", ["Sukuma {n}."])
    elif change == "english":
        change_english(workshop.shipped, "Pull {n}.", "Pull number {n}.")
    elif change == "values":
        change_english(workshop.shipped, "{ n = 1 }", "{ n = 9 }")
    else:
        folder.withdraw("spoken.pull", LEAD, 30)

    assert states(Workshop(workshop.shipped, workshop.own).open("qvv")) == ["silent", "silent"]


def test_a_text_put_back_letter_for_letter_is_heard_again(folder):
    finish(folder)
    folder.heard("spoken.pull", ONE, recorded(folder), "Dan", 21)
    write(folder, "spoken.pull", ["Sukuma {n}."])
    write(folder, "spoken.pull")

    assert states(folder) == ["heard", "silent"]


def test_who_spoke_does_not_listen_and_nobody_is_recorded_without_consent(folder):
    finish(folder)
    digest = recorded(folder)

    assert why(folder.heard, "spoken.pull", ONE, digest, LEAD, 21) == "same_person"
    assert why(folder.heard, "spoken.pull", TWO, digest, "Dan", 21) == "unrecorded"
    assert why(folder.heard, "spoken.pull", ONE, "0" * 64, "Dan", 21) == "unrecorded"
    assert why(folder.record, "spoken.pull", ONE, SOUND, LEAD, 21, False) == "unconsented"


@pytest.mark.parametrize("data", [b"", b"RIFF....WAVE", SOUND + b"0" * MOST_BYTES])
def test_what_is_no_short_sound_of_the_right_kind_is_refused(folder, data):
    write(folder, "spoken.pull")
    check(folder, "spoken.pull")

    with pytest.raises(ChecklistError) as refused:
        recorded(folder, data=data)

    assert refused.value.code == "clip_malformed" and states(folder) == ["silent", "silent"]


def test_a_value_that_is_never_spoken_is_refused(folder):
    write(folder, "spoken.pull")

    assert why(recorded, folder, {"n": 7}) == "this sentence is not spoken with these values"

"""A file on a stick brings births to the hub whole, or changes nothing."""

import io
import random
from dataclasses import replace

import pytest

from checklist import keys, sealing, stick, stick_export, stick_import
from checklist.audit import find_damage
from checklist.errors import ChecklistError
from tests.server.near_hub import Post
from tests.server.sticks import Pair, contents
from tests.server.tablet import Tablet


@pytest.fixture
def pair(tmp_path):
    """Give a hub and a station that it admitted, with one birth waiting."""
    made = Pair(tmp_path)
    made.admit()
    made.birth()
    return made


def refused(pair, text: bytes, **how) -> str:
    """Give the code with which the hub refuses a file, having changed nothing."""
    before = contents(pair.hub)
    with pytest.raises(ChecklistError) as refusal:
        pair.take(text, **how)
    assert contents(pair.hub) == before
    return refusal.value.code


def whole(post) -> bool:
    return list(find_damage(post.journal.reader, lambda _: None)) == []


def test_a_file_brings_every_event_byte_for_byte(pair):
    taken = pair.take(pair.file())

    assert pair.tablet.lines and set(pair.tablet.lines) <= pair.hub.lines()
    assert taken.stored == taken.events == len(pair.post.lines())
    assert whole(pair.hub)


def test_the_same_file_again_brings_nothing_new(pair):
    text = pair.file()
    pair.take(text)
    lines = pair.hub.lines()

    assert pair.take(text).stored == 0
    assert pair.hub.lines() == lines and whole(pair.hub)


def test_files_come_in_any_order(pair):
    first = pair.file()
    pair.birth()
    second = pair.file()

    assert pair.take(second).stored == len(pair.post.lines())
    assert pair.take(first).stored == 0
    assert pair.hub.lines() == pair.post.lines() and whole(pair.hub)


def test_both_branches_of_a_fork_travel(pair):
    twin = pair.fork()
    pair.take(pair.file())

    assert set(twin.lines) | set(pair.tablet.lines) <= pair.hub.lines() and whole(pair.hub)


def test_a_stranger_reads_nothing_in_it(pair):
    text = pair.file()

    assert b"Bed" not in text and pair.tablet.log.encode() not in text
    assert pair.tablet.device_id.encode() not in text


def test_a_file_for_another_hub_is_refused(pair, tmp_path):
    other = Post(tmp_path, "other")

    assert refused(pair, pair.file(said=pair.seal(other))) == "stick_foreign"


def test_a_file_in_our_name_that_was_sealed_to_another_key_is_refused(pair, tmp_path):
    seal = pair.seal(Post(tmp_path, "other"))["seal"]

    assert refused(pair, pair.file(said={**pair.said, "seal": seal})) == "stick_damaged"


def test_a_file_cut_anywhere_is_refused(pair):
    text = pair.file()
    line = text.index(b"\n") + 1

    for cut in {0, 10, line, line + 3, line + 5, len(text) // 2, len(text) - 1}:
        assert refused(pair, text[:cut]) in ("stick_damaged", "stick_malformed")


def test_a_file_with_a_changed_byte_is_refused(pair):
    text, chance = pair.file(), random.Random(7)

    for place in [chance.randrange(len(text)) for _ in range(60)]:
        wrong = bytearray(text)
        wrong[place] ^= 1 << chance.randrange(8)
        assert refused(pair, bytes(wrong)) in (
            "stick_damaged", "stick_malformed", "stick_foreign", "stick_newer"
        )


def test_a_file_with_something_after_its_end_is_refused(pair):
    assert refused(pair, pair.file() + b"x") == "stick_damaged"


def pieces(text: bytes) -> tuple[bytes, list[bytes]]:
    """Part a file into its line and its sealed pieces."""
    at = text.index(b"\n") + 1
    line, found = text[:at], []
    while at < len(text):
        end = at + 5 + int.from_bytes(text[at + 1 : at + 5])
        found.append(text[at:end])
        at = end
    return line, found


def test_pieces_that_are_moved_left_out_or_doubled_are_refused(pair):
    line, parts = pieces(pair.file())
    assert len(parts) == 3

    for order in ([1, 0, 2], [0, 2], [1, 2], [0, 0, 1, 2], [0, 1], [2]):
        assert refused(pair, line + b"".join(parts[place] for place in order)) == "stick_damaged"


def test_a_piece_of_another_file_is_refused(pair):
    line, parts = pieces(pair.file())
    _, others = pieces(pair.file())

    assert refused(pair, line + parts[0] + others[1] + parts[2]) == "stick_damaged"


def test_a_piece_that_is_made_the_last_does_not_open(pair):
    line, parts = pieces(pair.file())
    source = io.BytesIO(line + b"\x01" + parts[0][1:])
    label = stick.read_label(source)

    with pytest.raises(ChecklistError):
        list(stick.read(source, label, sealing.private_key(pair.hub.journal.reader)))


def test_a_file_that_ends_early_is_refused(pair):
    line, parts = pieces(pair.file())

    assert refused(pair, line + parts[0] + b"\x01" + parts[1][1:]) == "stick_damaged"


@pytest.mark.parametrize("text", [b"", b"\n", b"PK\x03\x04", b"checklist-stick\n", b"checklist-stick x y z\n",
                                  b"checklist-stick 1 short id\n", b"\xff" * 500, b"a" * 200 + b"\n"])
def test_what_is_no_such_file_is_refused(pair, text):
    assert refused(pair, text) == "stick_malformed"


def test_a_newer_version_is_named(pair):
    newer = pair.file().replace(b"checklist-stick 1 ", b"checklist-stick 2 ", 1)

    assert refused(pair, newer) == "stick_newer"


def test_a_sender_that_nobody_admitted_is_refused_until_somebody_does(tmp_path):
    pair = Pair(tmp_path)
    pair.birth()
    text = pair.file()

    assert refused(pair, text) == "stick_sender"
    assert pair.take(text, admit=True).stored == len(pair.post.lines())
    assert pair.take(text).stored == 0


def test_a_file_that_lacks_what_comes_before_is_refused_and_the_whole_one_mends_it(pair):
    copy = pair.hub.save()
    pair.take(pair.file())
    pair.hand_back(pair.receipt())
    pair.birth()
    later = pair.file()
    pair.hub.restore(copy)

    assert refused(pair, later) == "stick_gap"
    assert pair.take(pair.file(everything=True)).stored == len(pair.post.lines())


def test_events_of_a_device_retired_at_the_hub_stay_out_and_are_counted(pair):
    pair.take(pair.file())
    pair.hub.journal.write(lambda store: store.connection.execute(
        "update device set state = 'retired' where device_id = ?", (pair.tablet.device_id,)
    ))
    before = len(pair.tablet.lines)
    pair.birth()
    taken = pair.take(pair.file())

    assert taken.kept_back == len(pair.tablet.lines)
    assert not set(pair.tablet.lines[before:]) & pair.hub.lines()


def test_a_retired_station_is_refused(pair):
    pair.hub.journal.write(lambda store: store.connection.execute(
        "update device set state = 'retired' where device_id = ?", (pair.post.identity.station_id,)
    ))

    assert refused(pair, pair.file(), admit=True) == "device_retired"


def test_a_log_that_another_device_owns_is_refused(pair):
    thief = pair.hub.admit(Tablet())
    thief.log = pair.tablet.log
    thief.note("log_opened", device=thief.device_id, why="first")
    pair.hub.hear(thief)

    assert refused(pair, pair.file()) == "log_foreign"


def test_a_piece_that_would_swell_beyond_its_bound_is_not_opened(pair):
    out, label = io.BytesIO(), stick.new_label(pair.said["hub"])
    stick.write(out, label, pair.said["seal"], [bytes(stick.LARGEST_PIECE + 1)])

    assert refused(pair, out.getvalue()) == "batch_too_big"


def test_a_manifest_that_its_sender_did_not_sign_is_refused(pair):
    own = pair.post.identity
    pair.post.identity = replace(own, private_key=keys.new_private_key())
    text = pair.file()
    pair.post.identity = own
    stolen = keys.public_key_of(own.private_key).encode()
    false = keys.public_key_of(keys.new_private_key()).encode()

    assert refused(pair, resealed(pair, pair.file(), lambda part: part.replace(stolen, false))) == (
        "signature_wrong"
    )
    assert refused(pair, text) == "stick_sender"


def resealed(pair, text: bytes, change) -> bytes:
    """Open the last piece of a file at the hub, change it, and seal it again."""
    source = io.BytesIO(text)
    label = stick.read_label(source)
    opened = list(stick.read(source, label, sealing.private_key(pair.hub.journal.reader)))
    out = io.BytesIO()
    stick.write(out, label, pair.said["seal"], [*opened[:-1], change(opened[-1])])
    return out.getvalue()


def test_invented_births_never_enter_a_hub_of_real_ones(pair):
    assert refused(pair, pair.file(demo=True), admit=True) == "stick_foreign"


def test_a_hub_that_died_halfway_takes_the_file_again(pair, monkeypatch):
    monkeypatch.setattr(stick_export, "AIM_BYTES", 1500)
    for _ in range(4):
        pair.birth()
    text, store, calls = pair.file(), stick_import._store, []

    def dying(*told):
        calls.append(1)
        if len(calls) == 3:
            raise OSError("the power went")
        return store(*told)

    monkeypatch.setattr(stick_import, "_store", dying)
    with pytest.raises(OSError):
        pair.take(text)
    assert 0 < len(pair.hub.lines()) < len(pair.post.lines()) and whole(pair.hub)

    monkeypatch.setattr(stick_import, "_store", store)
    pair.take(text)
    assert pair.hub.lines() == pair.post.lines() and whole(pair.hub)

"""What a text may be used for follows from its rows, and from nothing else."""

import json
from dataclasses import replace

import pytest

from checklist.errors import ChecklistError
from checklist.translation.ledger import Ledger, row_hash
from checklist.translation.source import Entry, src_hash, src_hash_of, tgt_hash, values_hash

STOP = Entry("bed.stop", "bed", "Do not pull.", None, "", 40, True)
TITLE = replace(STOP, id="desk.title", text="Cases", safety=False)
SAID = ["Usivute."]


def through(*acts, entry=STOP, forms=SAID):
    """Add acts (act, by, extras) one after the other; gives the ledger."""
    ledger = Ledger()
    for at, (act, by, *more) in enumerate(acts):
        how = "person" if act in ("written", "back") else ""
        ledger.add(entry, forms, act, by, at, **{"how": how, **(more[0] if more else {})})
    return ledger


WRITTEN = ("written", "Asha")
CHECKED = ("checked", "Ben", {"answers": {}})
BACK = ("back", "Dara", {"text": "Do not pull."})
JUDGED = ("judged", "Chandra", {"same": True})
APPROVED = ("approved", "Chandra")


@pytest.mark.parametrize(
    ("acts", "state"),
    [
        ([], "draft"),
        ([WRITTEN], "draft"),
        ([WRITTEN, CHECKED], "checked"),
        ([WRITTEN, CHECKED, BACK, JUDGED], "checked"),
        ([WRITTEN, CHECKED, BACK, JUDGED, APPROVED], "approved"),
        ([WRITTEN, BACK, JUDGED, CHECKED, APPROVED], "approved"),
        ([WRITTEN, CHECKED, BACK, JUDGED, APPROVED, ("withdrawn", "Asha")], "draft"),
        ([WRITTEN, CHECKED, BACK, JUDGED, APPROVED, ("withdrawn", "Ben"), CHECKED], "checked"),
        ([WRITTEN, CHECKED, BACK, JUDGED, APPROVED, ("withdrawn", "Ben"), CHECKED, APPROVED], "approved"),
        ([WRITTEN, CHECKED, BACK, JUDGED, APPROVED, ("judged", "Ben", {"same": False})], "draft"),
        # A machine's guess is a hint and moves nothing.
        ([WRITTEN, CHECKED, BACK, JUDGED, ("back", "Dan", {"text": "Pull.", "how": "machine"}), APPROVED], "approved"),
        # A checker who writes the same text down is one of its writers from then on.
        ([WRITTEN, CHECKED, BACK, JUDGED, APPROVED, ("written", "Ben")], "draft"),
    ],
)
def test_the_state_of_a_safety_text_is_worked_out_from_its_rows(acts, state):
    assert through(*acts).state(STOP, SAID) == state


def test_a_text_that_hurts_nobody_needs_no_back_translation():
    ledger = through(WRITTEN, CHECKED, APPROVED, entry=TITLE)

    assert ledger.state(TITLE, SAID) == "approved"


@pytest.mark.parametrize(
    ("acts", "why"),
    [
        ([CHECKED], "unwritten"),
        ([WRITTEN, ("checked", "Asha", {"answers": {}})], "writer"),
        ([WRITTEN, ("checked", " aSHA ", {"answers": {}})], "writer"),
        ([("written", "Asha", {"how": "machine"}), CHECKED], "machine"),
        ([WRITTEN, BACK, JUDGED, APPROVED], "unchecked"),
        ([WRITTEN, CHECKED, APPROVED], "unjudged"),
        ([WRITTEN, CHECKED, BACK, APPROVED], "unjudged"),
        ([WRITTEN, CHECKED, BACK, ("judged", "Chandra", {"same": False}), APPROVED], "unchecked"),
        ([WRITTEN, CHECKED, BACK, JUDGED, ("back", "Dan", {"text": "Pull."}), APPROVED], "unjudged"),
        ([WRITTEN, CHECKED, ("back", "Asha", {"text": "Do not pull."})], "writer"),
        ([WRITTEN, CHECKED, JUDGED], "no_back"),
        ([WRITTEN, CHECKED, ("back", "Dan", {"text": "Do not pull.", "how": "machine"}), JUDGED], "no_back"),
        ([WRITTEN, CHECKED, BACK, ("judged", "Dara", {"same": True})], "same_person"),
        # Who says back what a text means knows nothing of its English, before or after.
        ([WRITTEN, CHECKED, ("back", "ben", {"text": "Do not pull."})], "same_person"),
        ([WRITTEN, BACK, ("checked", "dara", {"answers": {}})], "same_person"),
        ([WRITTEN, BACK, JUDGED, ("back", "Chandra", {"text": "Do not pull."})], "same_person"),
        ([WRITTEN, CHECKED, BACK, ("judged", "Chandra", {"same": True, "back": "another row"})], "changed"),
        ([WRITTEN, CHECKED, BACK, ("judged", "Chandra", {"same": 1})], "unknown"),
        ([WRITTEN, CHECKED, BACK, JUDGED, ("approved", "Asha")], "writer"),
        ([("written", "  ")], "nobody"),
        ([("praised", "Ben")], "unknown"),
        ([("written", "Ben", {"how": "hand"})], "unknown"),
        ([WRITTEN, ("recorded", "Dan", {"clip": "c", "values": "v"})], "unconsented"),
        ([WRITTEN, ("heard", "Dan", {"clip": "c", "values": "v"})], "unrecorded"),
        ([WRITTEN, ("recorded", "Dan", {"clip": "c", "values": "v", "consent": True}),
          ("heard", "dan", {"clip": "c", "values": "v"})], "same_person"),
    ],
)
def test_who_may_not_do_a_step_is_refused_and_nothing_is_added(acts, why):
    ledger = through(*acts[:-1])
    before = ledger.rows()

    act, by, *more = acts[-1]
    with pytest.raises(ChecklistError) as refused:
        how = "person" if act in ("written", "back") else ""
        ledger.add(STOP, SAID, act, by, 9, **{"how": how, **(more[0] if more else {})})

    assert refused.value.code == "review_refused" and refused.value.facts["why"] == why
    assert ledger.rows() == before


@pytest.mark.parametrize(
    ("acts", "state"),
    [
        ([("written", "Asha", "machine"), ("checked", "Ben", "")], "draft"),
        ([("written", "Asha", "person"), ("back", "Dara", "person"), ("judged", "Chandra", ""), ("approved", "Chandra", "")], "draft"),
        # Judged only after it was approved: the approval did not rest on it.
        ([("written", "Asha", "person"), ("checked", "Ben", ""), ("approved", "Chandra", ""), ("back", "Dara", "person"),
          ("judged", "Chandra", "")], "checked"),
    ],
)
def test_steps_that_were_left_out_or_came_too_late_do_not_count(acts, state):
    row = through(WRITTEN).rows()[0]
    rows = [dict(row, act=act, by=by, how=how, at=at, same=True) for at, (act, by, how) in enumerate(acts)]

    assert Ledger(rows).state(STOP, SAID) == state


def test_an_edited_machine_text_may_be_checked():
    ledger = through(("written", "Asha", {"how": "machine"}), ("written", "Asha", {"how": "machine+edited"}), CHECKED)

    assert ledger.state(STOP, SAID) == "checked"


def test_rows_that_were_forged_past_the_rules_still_count_for_nothing():
    rows = through(WRITTEN).rows()
    forged = [dict(rows[0], act=act, by="Asha", how="") for act in ("checked", "approved")]

    assert Ledger(rows + forged).state(STOP, SAID) == "draft"
    assert Ledger(forged).state(STOP, SAID) == "draft"
    whole = through(WRITTEN, CHECKED, BACK, JUDGED, APPROVED).rows()
    for act, by, how in (("back", "Asha", "person"), ("back", "Ben", "person"), ("back", "Chandra", "person"), ("back", "Dara", "machine"),
                         ("judged", "Asha", ""), ("judged", "Dara", "")):
        changed = [dict(row, by=by, how=how) if row["act"] == act else row for row in whole]
        assert Ledger(changed).state(STOP, SAID) == "checked", (act, by)


@pytest.mark.parametrize(
    ("entry", "forms"),
    [
        (replace(STOP, text="Pull."), SAID), (replace(STOP, plural="Do not pull, all."), SAID), (replace(STOP, id="bed.go"), SAID),
        (STOP, ["Usivute"]), (STOP, ["Usivute.", ""]),
    ],
)
def test_an_approval_holds_for_exactly_one_english_and_one_translation(entry, forms):
    ledger = through(WRITTEN, CHECKED, BACK, JUDGED, APPROVED)

    assert ledger.state(entry, forms) in ("draft", "missing")
    assert ledger.state(STOP, SAID) == "approved"


def test_a_note_a_length_or_values_may_change_without_a_new_approval():
    ledger = through(WRITTEN, CHECKED, BACK, JUDGED, APPROVED)

    assert ledger.state(replace(STOP, note="new", max=99, values=({"n": 1},)), SAID) == "approved"


def test_a_text_spelt_with_its_marks_apart_is_the_same_text():
    assert tgt_hash(["Arre\u0302tez"]) == tgt_hash(["Arrêtez"])


def test_the_hashes_are_as_agreed():
    # By sha256sum, of ["src","a.b","Stop",null], ["tgt",["Acha"]] and ["values",{"n":1}]: packs rely on them.
    assert src_hash_of("a.b", "Stop", None) == "c55d930bfbb0552c931c"
    assert tgt_hash(["Acha"]) == "5ec1432c5885f8538801"
    assert values_hash({"n": 1}) == "c7ec2a43c2055fb19070"
    assert src_hash(STOP) == src_hash_of("bed.stop", "Do not pull.", None)


def test_what_was_written_down_is_read_back_and_grows_at_its_end(tmp_path):
    path = tmp_path / "review.jsonl"
    ledger = Ledger.read(path)
    ledger.add(STOP, SAID, "written", "Asha", 1, "person")
    first = path.read_bytes()

    Ledger.read(path).add(STOP, SAID, "checked", "Ben", 2, answers={})

    assert path.read_bytes().startswith(first)
    assert Ledger.read(path).state(STOP, SAID) == "checked"
    row = json.loads(first)
    assert list(row) == ["ctx", "src", "tgt", "act", "by", "at", "how", "note"]


def test_a_row_that_was_cut_off_counts_for_nothing_and_is_written_over(tmp_path):
    path = tmp_path / "review.jsonl"
    Ledger.read(path).add(STOP, SAID, "written", "Asha", 1, "person")
    whole = path.read_bytes()
    path.write_bytes(whole + b'{"ctx":"bed.stop","act":"chec')

    Ledger.read(path).add(STOP, SAID, "checked", "Ben", 2, answers={})

    assert [row["act"] for row in Ledger.read(path).rows()] == ["written", "checked"]


@pytest.mark.parametrize("damage", [b"nonsense\n", b"{}\n", b'{"ctx":1}\n', b"[]\n", b"\xff\n"])
def test_a_damaged_row_is_refused_since_it_might_have_withdrawn_something(tmp_path, damage):
    path = tmp_path / "review.jsonl"
    Ledger.read(path).add(STOP, SAID, "written", "Asha", 1, "person")
    path.write_bytes(path.read_bytes() + damage)

    with pytest.raises(ChecklistError) as refused:
        Ledger.read(path)

    assert refused.value.code == "review_damaged" and refused.value.facts["line"] == 2


def test_a_full_disk_leaves_no_half_of_what_was_added_together(tmp_path, monkeypatch):
    path = tmp_path / "review.jsonl"
    ledger = Ledger.read(path)
    ledger.add(STOP, SAID, "written", "Asha", 1, "person")
    whole, rows = path.read_bytes(), through(WRITTEN, CHECKED, BACK).rows()

    def full(_file):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("checklist.translation.ledger.os.fsync", full)
    with pytest.raises(ChecklistError) as refused:
        ledger.add_all(rows)

    assert refused.value.code == "data_unwritable"
    assert path.read_bytes() == whole and len(ledger.rows()) == 1


def test_a_judgement_holds_for_the_back_translation_that_was_read():
    rows = through(WRITTEN, CHECKED, BACK, JUDGED, APPROVED).rows()
    another = dict(rows[2], text="Pull.", by="Dan")

    read = [row | {"back": row_hash(rows[2])} if row["act"] == "judged" else row for row in rows]

    assert Ledger(read).state(STOP, SAID) == "approved"
    assert Ledger([*read[:3], another, *read[3:]]).state(STOP, SAID) == "checked"


def test_a_withdrawal_speaks_of_every_text_of_its_id_that_was_in_use():
    ledger = through(WRITTEN, CHECKED, BACK, JUDGED, APPROVED)
    ledger.add(STOP, ["Msivute."], "written", "Asha", 6, "person")

    rows = ledger.withdrawing(STOP, ["Msivute."], "Ben", 7, "says pull")
    ledger.add_all(rows)

    assert {row["tgt"] for row in rows} == {tgt_hash(SAID), tgt_hash(["Msivute."])}
    assert ledger.state(STOP, SAID) == "draft"
    assert len(ledger.withdrawing(STOP, ["Msivute."], "Ben", 8)) == 1

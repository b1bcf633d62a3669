"""A file that comes back from a translator brings texts, and never approval."""

import pytest

from checklist.errors import ChecklistError
from checklist.translation.workshop import Workshop
from tests.translation.small import SAID, change_english, finish, write


def returned(folder, **said):
    po = folder.export_po().decode()
    for name, text in said.items():
        before = f'msgid "{folder.source[name.replace("_", ".")].text}"\nmsgstr '
        head, _, tail = po.partition(before)
        po = head + before + f'"{text}"' + tail[tail.index("\n"):]
    return po.encode()


def test_a_file_that_comes_back_brings_texts_and_no_approval(folder):
    po = returned(folder, bed_stop="Usivute.")
    claims = b'# approved by Chandra\n#, approved\n#= approved\nmsgctxt "bed.stop"'
    po = po.replace(b'msgctxt "bed.stop"', claims).replace(b"#, fuzzy\n", b"")

    taken = folder.import_po(po, "Dan", 5)

    assert taken.taken == ("bed.stop",)
    assert folder.state("bed.stop") == "draft" and folder.history("bed.stop")[0]["by"] == "Dan"


def test_a_file_that_comes_back_changed_in_an_approved_text_makes_it_a_draft(folder):
    finish(folder)

    folder.import_po(returned(folder, bed_stop="Vuta."), "Dan", 50)

    assert folder.state("bed.stop") == "draft" and folder.state("bed.limit") == "approved"


def test_a_file_that_comes_back_unchanged_changes_nothing(folder):
    finish(folder)
    rows = folder.ledger.rows()

    taken = folder.import_po(folder.export_po(), "Dan", 50)

    assert set(taken.same) == set(SAID) and folder.ledger.rows() == rows
    assert set(folder.states().values()) == {"approved"}


def test_a_file_rests_on_the_text_it_was_taken_from(folder):
    write(folder, "bed.stop")
    po = returned(folder, bed_stop="Msivute.")
    write(folder, "bed.stop", ["Usivute kabisa."], by="Eve", at=3)

    taken = folder.import_po(po, "Dan", 5)

    assert taken.changed == ("bed.stop",) and folder.forms("bed.stop") == ["Usivute kabisa."]
    assert folder.history("bed.stop")[-1]["forms"] == ["Msivute."]


def test_a_file_from_another_english_is_kept_in_the_ledger_alone(folder, workshop):
    po = returned(folder, bed_stop="Usivute.")
    change_english(workshop.shipped, "Do not pull.", "Pull.")
    after = Workshop(workshop.shipped, workshop.own).open("qvv")

    taken = after.import_po(po, "Dan", 5)

    assert taken.stale == ("bed.stop",) and after.state("bed.stop") == "missing"
    assert after.history("bed.stop")[0]["en"] == ["Do not pull."]


def test_a_file_with_an_unknown_id_leaves_it_out_and_says_so(folder):
    po = returned(folder) + b'\nmsgctxt "bed.more"\nmsgid "More"\nmsgstr "Zaidi"\n'

    assert folder.import_po(po, "Dan", 5).unknown == ("bed.more",)


@pytest.mark.parametrize("spoil", [lambda po: po + po, lambda po: po[:-9], lambda po: po.replace(b"Language: qvv", b"Language: sw")])
def test_a_spoilt_file_is_refused_and_nothing_of_it_kept(folder, spoil):
    write(folder, "bed.stop")
    rows = folder.ledger.rows()

    with pytest.raises(ChecklistError, match="catalog_malformed"):
        folder.import_po(spoil(returned(folder, bed_stop="Vuta.")), "Dan", 5)

    folder.refresh()
    assert folder.ledger.rows() == rows and folder.forms("bed.stop") == ["Usivute."]


def test_one_slip_in_a_file_is_named_and_the_others_are_taken(folder):
    blank = 'msgid_plural "{n} pulls"\nmsgstr[0] "Moja ({n})"\nmsgstr[1] ""\n'
    po = returned(folder, bed_stop="Usivute.", bed_limit="Si\u2028zaidi {most} kPa.").decode()
    po = po.replace('msgid_plural "{n} pulls"\nmsgstr[0] ""\nmsgstr[1] ""\n', blank)

    taken = folder.import_po(po.encode(), "Dan", 5)

    assert (taken.taken, taken.control, taken.empty) == (("bed.stop",), ("bed.limit",), ("desk.pulls",))
    assert folder.state("desk.pulls") == folder.state("bed.limit") == "missing"

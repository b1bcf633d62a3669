"""Whatever four people try, nothing gets past the rules of the ledger."""

from hypothesis import given
from hypothesis import strategies as st

from checklist.errors import ChecklistError
from checklist.translation.ledger import Ledger, folded
from checklist.translation.source import Entry

ENTRY = {safety: Entry("bed.stop", "bed", "Do not pull.", None, "", 40, safety) for safety in (True, False)}
TEXTS = (["Usivute."], ["Msivute."])
PEOPLE = ("Asha", "asha ", "Ben", "Chandra", "Dara")
MORE = {
    "written": {"how": "person"}, "checked": {"answers": {}}, "back": {"how": "person", "text": "Do not pull."},
    "judged": {"same": True}, "approved": {}, "withdrawn": {},
}
TRIES = st.lists(st.tuples(st.sampled_from(sorted(MORE)), st.sampled_from(PEOPLE), st.sampled_from(TEXTS)), max_size=25)


def tried(tries, entry, checked=True):
    """Let people try; what is refused is left out, or with checked False is put in all the same."""
    ledger, rows = Ledger(), []
    for at, (act, by, forms) in enumerate(tries):
        try:
            ledger.add(entry, forms, act, by, at, **MORE[act])
        except ChecklistError as error:
            assert error.code == "review_refused"
            if not checked:
                free = Ledger()
                free.refusal = lambda *_: ""
                rows.append(free.made(entry, forms, act, by, at, **MORE[act]))
    return Ledger(sorted([*ledger.rows(), *rows], key=lambda row: row["at"]))


@given(TRIES, st.booleans(), st.booleans())
def test_an_approved_text_has_been_through_other_hands(tries, safety, checked):
    entry = ENTRY[safety]
    ledger = tried(tries, entry, checked)

    for forms in TEXTS:
        rows, writers = ledger.of(entry, forms), ledger.writers(entry, forms)
        others = {act: [row for row in rows if row["act"] == act and folded(row["by"]) not in writers] for act in MORE}
        state = ledger.state(entry, forms)
        if state in ("checked", "approved"):
            assert writers and others["checked"]
        if state == "approved":
            assert others["approved"]
            if safety:
                assert others["back"] and {folded(row["by"]) for row in others["judged"]} - {folded(others["back"][-1]["by"])}
                assert {folded(row["by"]) for row in others["back"]} - {folded(row["by"]) for row in rows if row["act"] in ("checked", "judged")}
        if rows and rows[-1]["act"] == "withdrawn":
            assert state == "draft"


@given(TRIES, st.booleans())
def test_a_state_that_was_asked_for_before_is_worked_out_anew_after_each_row(tries, safety):
    entry, asked = ENTRY[safety], Ledger()

    for row in tried(tries, entry, checked=False).rows():
        asked.add_all([row])
        for each in ENTRY.values():
            assert [asked.state(each, forms) for forms in TEXTS] == [Ledger(asked.rows()).state(each, forms) for forms in TEXTS]

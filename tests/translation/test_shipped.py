"""The languages that come with the program can be read, hold no fault, and pass for no more than they are."""

import pytest

from checklist.errors import ChecklistError
from checklist.tables import TRANSLATIONS
from checklist.translation.checks import SCRIPTS, blocks, check
from checklist.translation.ledger import Ledger, line
from checklist.translation.workshop import Workshop

TAGS = [one.tag for one in Workshop(TRANSLATIONS, TRANSLATIONS).languages()]


@pytest.fixture(scope="module", params=TAGS)
def shipped(request, tmp_path_factory):
    """Give each shipped language in turn, with nothing of one's own before it."""
    return Workshop(TRANSLATIONS, tmp_path_factory.mktemp("own") / "none").open(request.param)


def test_no_text_holds_a_fault(shipped):
    found = {name: blocks(shipped.findings(name)) for name in shipped.source if shipped.forms(name)}

    assert {name: told for name, told in found.items() if told} == {}


def test_of_every_text_it_is_known_who_wrote_it(shipped):
    unknown = [name for name in shipped.source if shipped.forms(name) and not shipped.before(name)
               and not shipped.ledger.writers(shipped.source[name], shipped.forms(name))]

    assert unknown == []


def test_what_a_program_wrote_is_a_draft_whatever_was_done_since(shipped):
    for name, state in shipped.states().items():
        rows = shipped.ledger.of(shipped.source[name], shipped.forms(name))
        if all(row["how"] == "machine" for row in rows if row["act"] == "written"):
            assert state in ("missing", "draft")


def test_a_list_that_is_not_ready_is_in_no_pack(shipped):
    if not any(one.ready for one in shipped.readiness().values()):
        with pytest.raises(ChecklistError, match="words_unready"):
            shipped.pack("Chandra", 1)


def test_its_ledger_is_written_as_the_program_writes_it(shipped):
    text = (TRANSLATIONS / shipped.tag / "review.jsonl").read_text(encoding="utf-8")

    assert text == "".join(line(row) + "\n" for row in Ledger.read(TRANSLATIONS / shipped.tag / "review.jsonl").rows())


def test_its_sample_is_of_its_own_script(shipped):
    found = check("samples", shipped.language.sample, script=SCRIPTS[shipped.language.script])

    assert shipped.language.sample and "script" not in [finding.code for finding in found]

"""The invented language of the demonstration shows approval, withdrawal and fallback."""

import json

import pytest

from checklist.demo.velindi import APPROVED, CHECKER, LEAD, READER, TAG, WITHDRAWN, WRITER, english, invented_language, velindi
from checklist.tables import TRANSLATIONS
from checklist.translation.checks import blocks
from checklist.translation.workshop import Workshop

NOW = 1_800_000_000_000


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    """Give a folder with the invented language in it."""
    folder = tmp_path_factory.mktemp("own")
    assert invented_language(folder, NOW)
    return folder


@pytest.fixture(scope="module")
def folder(filled):
    """Give the invented language, opened."""
    return Workshop(TRANSLATIONS, filled).open(TAG)


def test_the_rule_can_be_turned_back(folder):
    assert velindi("Stop at {n} kPa") == "Stup et {n} kPa"
    for entry in folder.source.values():
        assert english(velindi(entry.text)) == entry.text


def test_one_list_is_approved_but_for_the_line_that_was_withdrawn(folder):
    ready = folder.readiness()

    assert ready[APPROVED].missing == (WITHDRAWN,)
    assert folder.state(WITHDRAWN) == "draft" and folder.source[WITHDRAWN].safety
    assert "practice" not in [name for name, one in ready.items() if one.ready]


def test_the_pack_offers_that_list_and_leaves_others_to_fall_back(folder):
    made = folder.pack(LEAD, NOW)
    pack = json.loads(made.body)

    assert pack["withdrawn"] == [WITHDRAWN]
    assert {"practice", "record", "settings", "station", "kit"} <= {one.list for one in made.left_out}
    assert "pull.pull" in pack["m"] and "debrief.title" not in pack["m"]


def test_no_text_of_it_holds_a_fault(folder):
    found = {name: blocks(folder.findings(name)) for name in folder.source if folder.forms(name)}

    assert {name: told for name, told in found.items() if told} == {}


def test_its_people_are_the_four_invented_ones_and_each_did_their_part(folder):
    acts = {(row["act"], row["by"]) for row in folder.ledger.rows()}

    assert acts == {
        ("written", WRITER), ("checked", CHECKER), ("back", READER), ("judged", LEAD), ("approved", LEAD), ("approved", CHECKER), ("withdrawn", LEAD),
    }
    assert all(row["at"] <= NOW for row in folder.ledger.rows())


def test_it_is_filled_once_and_what_was_worked_on_since_stays(filled, folder):
    before = (filled / TAG / "review.jsonl").read_bytes()

    assert not invented_language(filled, NOW + 5)
    assert (filled / TAG / "review.jsonl").read_bytes() == before


def test_a_folder_that_was_cut_off_is_begun_anew(tmp_path):
    (tmp_path / TAG).mkdir()
    (tmp_path / TAG / "review.jsonl").write_text("torn")

    assert invented_language(tmp_path, NOW)
    assert Workshop(TRANSLATIONS, tmp_path).open(TAG).state("pull.pull") == "approved"


def test_it_is_not_among_the_languages_that_are_shipped():
    assert not (TRANSLATIONS / TAG).exists()

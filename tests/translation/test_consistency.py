"""One English said in two ways is shown, and so are two Englishes said in one."""

from checklist.tables import TRANSLATIONS
from checklist.translation.checks import word_of
from checklist.translation.consistency import inconsistent
from checklist.translation.source import Entry, read_source


def source(**texts):
    return {name: Entry(name, "a", text, None, "", 30, True) for name, text in texts.items()}


ENGLISH = source(a="Pull", b="Pull", c="Push", d="Stop")


def test_what_goes_together_is_not_told():
    assert inconsistent(ENGLISH, {"a": ["Vuta"], "b": ["vuta"], "c": ["Sukuma"], "d": ["Acha"]}) == {}


def test_one_english_in_two_ways_is_told_on_both_sides():
    found = inconsistent(ENGLISH, {"a": ["Vuta"], "b": ["Kokota"], "c": ["Sukuma"]})

    assert {name: [(each.code, each.detail) for each in told] for name, told in found.items()} == {
        "a": [("said-in-two-ways", "b")], "b": [("said-in-two-ways", "a")],
    }


def test_two_englishes_in_one_way_are_told_on_both_sides():
    found = inconsistent(ENGLISH, {"a": ["Vuta"], "b": ["Vuta"], "c": ["Vuta"], "d": [""], "gone": ["Vuta"]})

    assert {name: [(each.code, each.detail) for each in told] for name, told in found.items()} == {
        "a": [("said-alike", "c")], "b": [("said-alike", "c")], "c": [("said-alike", "a, b")],
    }


def test_its_findings_have_their_words():
    assert {word_of("said-alike"), word_of("said-in-two-ways")} <= set(read_source(TRANSLATIONS / "en"))

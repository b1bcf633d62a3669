"""The English is plain, in every row."""

import pytest

from checklist.tables import TRANSLATIONS
from checklist.translation.checks import BLOCK, word_of
from checklist.translation.lint import TOLD_WHY, lint
from checklist.translation.source import Entry, read_source

SOURCE = read_source(TRANSLATIONS / "en")


def found(text, level=None, safety=True, name="a.b", plural=None):
    told = lint(Entry(name, "a", text, plural, "", 300, safety))
    return {finding.code for finding in told if level is None or finding.level == level}


@pytest.mark.parametrize("name", SOURCE)
def test_no_english_sentence_holds_what_blocks(name):
    assert [finding for finding in lint(SOURCE[name]) if finding.level == BLOCK] == []


@pytest.mark.parametrize("name", TOLD_WHY)
def test_every_exception_is_still_needed_and_says_why(name):
    assert len(TOLD_WHY[name].split()) >= 4
    assert SOURCE[name].safety
    assert "listed-word" in {finding.code for finding in lint(SOURCE[name])}


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (" ".join(["word"] * 21) + ".", "long-sentence"),
        ("Pull. " + " ".join(["word"] * 21), "long-sentence"),
        ("Wait <b>now</b>.", "markup"), ("Wait&nbsp;now.", "markup"),
        ("Do not pull unless she pushes.", "listed-word"), ("Pull until it is born.", "listed-word"),
        ("Ensure suction.", "listed-word"), ("Hold the medicine.", "listed-word"), ("You should pull.", "listed-word"),
        ("Give as needed.", "listed-word"),
    ],
)
def test_what_would_be_translated_into_something_dangerous_blocks(text, code):
    assert code in found(text, BLOCK)
    assert code in found("Pull.", BLOCK, plural=text)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (" ".join(["word"] * 13) + ".", "long-sentence"),
        ("Never pull without a contraction.", "double-negative"),
        ("The cup is to be cleaned.", "passive"), ("Call the CEO.", "abbreviation"), ("Give 1000 mL.", "large-number"),
        ("Give 1,500 mL.", "large-number"),
        ("From 10 to 15.", "two-numbers"), ("Above ≥ it.", "sign-turns"), ("At -80 of it.", "sign-turns"),
    ],
)
def test_what_the_author_is_to_weigh_is_told(text, code):
    assert code in found(text) and code not in found(text, BLOCK)


def test_a_listed_word_in_a_text_that_hurts_nobody_is_told_only():
    assert found("Not until tomorrow.", BLOCK, safety=False) == set()
    assert "listed-word" in found("Not until tomorrow.", safety=False)


def test_a_plain_sentence_passes():
    assert found("Stop. Let the suction go.") == set()


def test_every_finding_has_its_words():
    codes = found("You should < not never 5 1000 QQQ is to be " + "word " * 20)

    assert {word_of(code) for code in codes} <= set(SOURCE) and len(codes) >= 6

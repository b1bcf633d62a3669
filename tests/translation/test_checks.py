"""Every fault of a translation is caught, at its level."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checklist.translation.checks import (
    ASK, BLOCK, asks, blocks, can_be_drawn, check, check_entry, check_plural, unanswered, word_of,
)
from checklist.translation.glossary import Term, concerning, opposites
from checklist.translation.quantities import without_fields
from checklist.translation.source import Entry, read_source
from checklist.translation.start import new_table
from checklist.tables import TRANSLATIONS

GLOSSARY = (
    Term("start", ("anza",)), Term("stop", ("acha", "simam")), Term("left", ("kushoto",)), Term("right", ("kulia",)),
)
UP, OVERRIDE, JOINER = "\u2067", "\u202e", "\u200c"


def codes(level, *told, **how):
    return [finding.code for finding in check(*told, **how) if finding.level == level]


def entry(text, plural=None, most=90, safety=True):
    return Entry("a.b", "a", text, plural, "", most, safety)


@pytest.mark.parametrize(
    ("fault", "src", "dst", "code"),
    [
        ("units swapped", "Stop at 80 kPa (600 mmHg)", "Arrêtez à 80 mmHg (600 kPa)", "unit"),
        ("one unit for another", "Up to {most} kPa", "Jusqu'à {most} mmHg", "unit"),
        ("units swapped at fields", "{a} kPa ({b} mmHg)", "{a} mmHg ({b} kPa)", "unit"),
        ("digits swapped", "Call at 140", "Appelez à 104", "number"),
        ("a decimal moved", "Give 1.5 mL", "Donnez 15 mL", "number"),
        ("a field lost", "Call at {limit}", "Appelez", "placeholder"),
        ("a field renamed", "Call at {limit}", "Appelez à {limite}", "placeholder"),
        ("a field told twice", "Call at {limit}", "Appelez {limit} à {limit}", "placeholder"),
        ("a field half open", "Call at {limit}", "Appelez à {limit", "placeholder"),
        ("a field dressed up", "Call at {limit}", "Appelez à {limit!r}", "placeholder"),
        ("a field by number", "Call at {limit}", "Appelez à {0}", "placeholder"),
        ("nothing", "Stop now", "", "empty"),
        ("only blanks", "Stop now", " \u00a0 ", "empty"),
        ("an isolate", "Call at {n}", f"Appelez à {UP}{{n}}", "bidi-control"),
        ("an override", "Stop now", f"Arrêtez{OVERRIDE} vite", "bidi-control"),
        ("a mark of direction", "Stop now", "Arrêtez\u200f vite", "bidi-control"),
        ("a control character", "Stop now", "Arrêtez\x07 vite", "control"),
        ("a byte order mark", "Stop now", "\ufeffArrêtez", "control"),
        ("a soft hyphen", "Stop now", "Arrê\u00adtez", "control"),
        ("a private letter", "Stop now", "Arrêtez \ue000", "control"),
        ("a zero width space", "Stop now", "Arrêtez\u200b vite", "format-char"),
        ("a tag", "Stop now", "<b>Arrêtez</b> vite", "markup"),
        ("a tag left open", "Stop now", "<img onerror=x", "markup"),
        ("an entity", "Stop now", "Arrêtez&nbsp;vite", "markup"),
        ("a percent sign", "Stop now", "Arrêtez à 100 %", "percent"),
        ("other digits", "Call at 140", "اتصل عند ١٤٠", "digits"),
        ("two blanks", "Stop now", "Arrêtez  vite", "space"),
        ("a blank at the end", "Stop now", "Arrêtez vite ", "space"),
        ("a line more", "Stop now", "Arrêtez\nvite", "lines"),
        ("marks apart from letters", "Stop now", "Arre\u0302tez vite", "not-nfc"),
    ],
)
def test_what_is_surely_wrong_blocks(fault, src, dst, code):
    assert code in codes(BLOCK, src, dst)


def test_a_key_that_is_too_long_blocks_by_what_it_shows():
    assert codes(BLOCK, "Pull", "Tirez maintenant", max_len=15) == ["too-long"]
    assert codes(BLOCK, "Pull", "Tirez maintenant", max_len=16) == []
    assert codes(BLOCK, "Pull", "तान्नुहोस्", max_len=9) == []


@pytest.mark.parametrize(
    ("fault", "src", "dst", "code"),
    [
        ("start for stop", "Stop the pump", "Anza pampu", "opposite:start"),
        ("stop for start", "Start the pump", "Acha pampu", "opposite:stop"),
        ("left for right", "Lie on the right side", "Lala upande wa kushoto", "opposite:left"),
        ("a term left out", "Stop the pump", "Zima pampu", "term:stop"),
        ("a lost not", "Do not pull", "Vuta", "meaning-word"),
        ("a lost never", "Never pull alone", "Vuta peke yako", "meaning-word"),
        ("a lost n't", "Don't pull", "Vuta", "meaning-word"),
        ("before for after", "Before the pull", "Baada ya kuvuta", "meaning-word"),
        ("twice for three times", "Check twice", "Angalia mara tatu", "number-word"),
        ("the English itself", "Pull gently", "Pull gently", "same-as-source"),
        ("much too short", "Look at the scalp again", "Tazama", "length"),
        ("much too long", "Pull gently", "Vuta polepole sana sana sana na tena na tena", "length"),
        ("hours for minutes", "Every {n} min", "Kila {n} h", "unit"),
        ("a question made a statement", "Is the baby pink?", "Mtoto ni pinki.", "end-mark"),
    ],
)
def test_what_may_be_wrong_is_asked(fault, src, dst, code):
    assert code in codes(ASK, src, dst, glossary=GLOSSARY)
    assert codes(BLOCK, src, dst, glossary=GLOSSARY) == []


def test_letters_of_another_script_are_asked_about():
    assert "script" in codes(ASK, "Pull gently", "Vuta polepole", script="ARABIC")


@pytest.mark.parametrize(
    ("src", "dst", "how"),
    [
        ("At 18.6 kPa", "À 18,6 kPa", {}),
        ("Is she warm?", "هل هي دافئة؟", {"script": "ARABIC"}),
        ("Pull now.", "अब तान्नुहोस्।", {}),
        ("Pull now.", f"می{JOINER}کشید اینک.", {}),
        ("It came off", "L'extraction s'arrête", {}),
        ("{n} h", "{n} h", {"same_ok": True}),
        ("At 80 kPa", "Kwa kPa 80", {"order": "un"}),
        ("{n} cm deep", "kwa kina cha cm {n}", {"order": "un"}),
        ("At 1 kgf/cm²", "Kwa 1 kgf/cm²", {}),
        ("{n} °C", "{n} °C", {"order": "un", "same_ok": True}),
        ("{n} mmol/L", "mmol/L {n}", {"order": "un"}),
        ("Penicillin: {allergy}", "Penisilini: {allergy}", {"glossary": (Term("allergy", ("mzio",)),)}),
        ("5 IU", "5 IU", {"same_ok": True, "script": "ARABIC"}),
    ],
)
def test_what_is_right_passes(src, dst, how):
    assert check(src, dst, **how) == []


@given(st.text(max_size=40) | st.sampled_from(["{n}", "{", "}}", "5 kPa {n}"]), st.sampled_from(["Pull {n}.", "At 5 kPa", "x"]))
def test_whatever_is_typed_a_check_answers_and_right_words_stay_right(dst, src):
    found = check(src, dst, glossary=GLOSSARY, script="LATIN", max_len=30)

    assert {finding.level for finding in found} <= {BLOCK, ASK}
    assert codes(BLOCK, src, src) == []


def test_a_pair_of_opposites_that_the_english_uses_is_no_fault():
    assert opposites("Start again after the stop", GLOSSARY) == []


WORDS = st.lists(st.sampled_from(["start", "Stops", "left", "{n}", "right", "first", "pull", "up", "on"]), min_size=1, max_size=5)
TERMS = st.lists(st.sampled_from(["start", "Stop", "stop", "left", "right", "first pull", "pull", "push", "up", "down", "on", "off"]))


@given(WORDS.map(" ".join), WORDS.map(" ".join), TERMS)
def test_the_terms_of_a_text_find_in_it_what_the_whole_glossary_finds(src, dst, names):
    glossary = [Term(name, (name.casefold(),)) for name in names]

    assert check(src, dst, glossary=concerning(without_fields(src), glossary)) == check(src, dst, glossary=glossary)


def test_the_terms_of_a_text_are_those_it_uses_and_their_opposites():
    assert [term.en for term in concerning("Stopped on the left", GLOSSARY)] == ["left", "right"]
    assert [term.en for term in concerning("It stops", GLOSSARY)] == ["start", "stop"]
    assert concerning("Nothing of it", GLOSSARY) == ()


def test_an_ask_needs_an_answer_in_words():
    found = check("Do not pull", "Usivute")

    assert [each.code for each in asks(found)] == ["meaning-word"] and blocks(found) == []
    assert unanswered(found, {"meaning-word": " "}) == unanswered(found, None) == found
    assert unanswered(found, {"meaning-word": "usi- is not"}) == []


ARABIC = new_table("ar", {})
ARABIC_FORMS = ["لا سحبات", "سحبة واحدة", "سحبتان", "{n} سحبات", "{n} سحبة", "{n} سحبة"]


def arabic(forms):
    return [finding.code for finding in blocks(check_entry(entry("{n} pull", "{n} pulls"), forms, ARABIC))]


def test_only_a_form_for_one_number_may_leave_the_number_out():
    assert arabic(ARABIC_FORMS) == []
    assert arabic([*ARABIC_FORMS[:3], "سحبات", *ARABIC_FORMS[4:]]) == ["placeholder[3]"]
    assert arabic([*ARABIC_FORMS[:2], "2 سحبات", *ARABIC_FORMS[3:]]) == []
    assert arabic([*ARABIC_FORMS[:2], "3 سحبات", *ARABIC_FORMS[3:]]) == ["number[2]"]


def test_an_empty_form_and_a_wrong_count_of_forms_block():
    assert arabic([*ARABIC_FORMS[:5], ""]) == ["empty[5]"]
    assert arabic(ARABIC_FORMS[:2]) == ["plural-count"]
    assert [f.code for f in check_entry(entry("Pull"), ["Vuta", "Vuta"], ARABIC)] == ["plural-count"]
    assert check_plural("{n} pull", "{n} pulls", ["{n} jalar", "jalar"], 2, [1, None])[0][:2] == (BLOCK, "placeholder[1]")


def test_a_draft_that_no_screen_could_fill_is_told():
    table = new_table("sw", {})

    assert can_be_drawn(entry("At {n}"), ["Kwa {n}"], table)
    assert can_be_drawn(entry("At 140"), ["Kwa 104"], table)
    assert not can_be_drawn(entry("At {n}"), ["Kwa {m}"], table)
    assert not can_be_drawn(entry("At {n}"), [], table)


@pytest.mark.parametrize(
    ("fault", "src", "dst", "rows"),
    [
        ("a sign said in a word", "At 5 kPa", "Kwa kizio 5", ("unit.kpa",)),
        ("two signs said in words", "At 5 kPa (38 mmHg)", "Kwa kizio 5 (milimita 38)", ("unit.mmhg", "unit.kpa")),
        ("a time said in a word", "At 5 min", "Kwa dakika 5", ("unit.min",)),
        ("a sign for another", "At 5 kPa", "Kwa mmHg 5", ()),
        ("a sign too many", "At 5", "Kwa kPa 5", ()),
        ("signs swapped", "{a} kPa ({b} mmHg)", "{a} mmHg ({b} kPa)", ()),
        ("other digits", "At 140", "Kwa ١٤٠", ("digits",)),
        ("other letters", "Stop now", "अब रोक्नुहोस्", ("script",)),
    ],
)
def test_a_finding_names_the_rows_of_the_table_that_may_be_wrong_instead(fault, src, dst, rows):
    found = check_entry(entry(src), [dst], replace(new_table("sw", {"min": "min"}), units={}))

    assert tuple(row for one in found for row in one.rows) == rows


def test_a_form_without_its_number_may_be_right_by_another_plural_rule():
    def rows(form):
        found = check_entry(entry("{n} pull in {m}", "{n} pulls in {m}"), ["{n} vuta {m}", form], new_table("en", {}))
        return [one.rows for one in found if one.code == "placeholder[1]"]

    assert rows("vuta {m}") == [("plural_forms",)] and rows("vuta {n}") == rows("vuta") == [()]


def test_a_finding_names_the_term_that_may_be_wrong_instead():
    assert [one.term for one in check("Start now", "Simama sasa", glossary=GLOSSARY) if one.term] == ["start", "stop"]


def test_every_finding_of_a_check_has_its_words():
    words = read_source(TRANSLATIONS / "en")

    assert word_of("placeholder[3]") == "flaw.placeholder" and word_of("term:cord around[0]") == "flaw.term"
    found = check("Start 5 <b> {n} {m", "\ufeff Acha\u202e %\n", glossary=GLOSSARY, script="ARABIC", max_len=3)
    assert {word_of(finding.code) for finding in found} <= set(words)

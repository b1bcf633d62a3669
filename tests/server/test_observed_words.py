"""What was seen of mother, baby and cup is said at the station in words, with the tablet's units."""

import pytest

from checklist.language import SOURCE, load
from checklist.tables import TRANSLATIONS
from checklist.web.event_words import event_detail
from checklist.web.observed_words import UNITS
from tests.halves import modules_page

__all__ = ["modules_page"]
PACK = load(TRANSLATIONS, SOURCE)
STEPS = "async () => (await import('/ui/after_steps.js')).STEPS"


def detail(kind, **facts):
    return event_detail(PACK, {"kind": kind, "facts": facts}, {}).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("kind", "facts", "said"),
    [
        ("baby_observed", {"what": "heart", "value": 142}, "Heart rate: 142 /min"),
        ("baby_observed", {"what": "temperature", "value": 368}, "Temperature: 36.8 °C"),
        ("baby_observed", {"what": "glucose", "value": 26}, "Blood sugar: 2.6 mmol/L"),
        ("baby_observed", {"what": "scalp", "answer": "flat"}, "Scalp: Flat"),
        ("baby_observed", {"what": "fits", "answer": "no"}, "Fits: No"),
        ("baby_observed", {"what": "head", "answer": "unsure"}, "Head: Not measured"),
        ("mother_observed", {"what": "void", "value": 300}, "Urine: 300 mL"),
        ("mother_observed", {"what": "swabs_after", "value": 5}, "Swabs after: 5"),
        ("rim_swept", {"clear": "yes"}, "Clear"),
        ("rim_swept", {"clear": "no"}, "Not clear"),
        ("rim_swept", {"clear": "unsure"}, "Not sure"),
        ("blood_loss_measured", {"ml": 350, "how": "estimated"}, "350 mL, Estimated"),
        ("apgar_scored", {"minute": 5, "heart": 2, "breathing": 2, "tone": 1, "reflex": 2, "colour": 1}, "5 min: 8 of 10"),
        ("medicine_given", {"to": "mother", "medicine": "oxytocin", "dose": 10000, "unit": "iu", "route": "im"}, "Oxytocin, 10 IU, into the muscle"),
    ],
)
def test_it_says_what_was_seen(kind, facts, said):
    assert detail(kind, **facts) == said


def test_parts_of_a_medicine_are_told_one_after_the_other_as_the_language_does():
    arabic = load(TRANSLATIONS, "ar", ready=True)
    told = event_detail(arabic, {"kind": "medicine_given", "facts": {"to": "mother", "medicine": "oxytocin", "dose": 10000, "unit": "iu", "route": "im"}}, {})

    assert told.count("\u060c ") == 2 and ", " not in told


def test_every_question_of_the_tablet_is_said_without_a_bare_id(modules_page):
    told = 0
    for lane, steps in modules_page.evaluate(STEPS).items():
        for what, row in steps.items():
            if row.get("unit"):
                assert UNITS[lane][what] == (row["unit"], row.get("decimals", 0)), what
            elif what != "signs":
                for answer in row["answers"]:
                    said = detail(f"{lane}_observed", what=what, answer=answer)
                    name, found = said.split(": ")
                    assert f"{lane}.name.{what}" in PACK and f"{lane}.{what}.{answer}" in PACK, said
                    assert name and found and "_" not in said
                    told += 1
    assert told > 50
    assert {lane: set(rows) - {"void"} for lane, rows in UNITS.items()} == {
        lane: {what for what, row in steps.items() if row.get("unit")}
        for lane, steps in modules_page.evaluate(STEPS).items()
    }

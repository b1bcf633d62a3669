"""Make up the hours after a birth by chance: care given, things seen, numbers told.

Taps as in ``births``. Most is as it would be told; some is nonsense that a tired hand types.
"""

from random import Random

from checklist.core.apgar import PARTS
from checklist.core.newborn import NUMBERS, SIGNS

Tap = tuple[str, dict, float]

ROLES = ("midwife", "senior", "doctor", "assistant", "other")
# Usual figures, and some on both sides of a bound; units as the core reads them.
USUAL = {
    "heart": (99, 100, 120, 140, 160, 161),
    "breaths": (40, 59, 60, 61),
    "refill": (2, 3, 4),
    "temperature": (359, 360, 368, 375, 376),
    "glucose": (25, 26, 30, 45),
    "weight": (2_400, 3_200, 4_000, 4_001),
    "head": (338, 340, 345, 349, 350, 351, 360),
}
NONSENSE = (-1_000, -1, 0, 1, 34, 99_999, 100_000)
MOTHER = ("round", "void", "tone", "pulse", "antibiotic_allergy", "pain")
MEDICINES = ("oxytocin", "antibiotic", "other_antibiotic", "vitamin_k", "paracetamol")
WAITS = (1, 20, 60, 300, 599, 600, 601, 900, 1_800, 3_600, 10_800, 21_600)


def hours_after(rng: Random) -> list[Tap]:
    """Make up what is told of mother and baby after the birth, in any order."""
    return [_tap(rng) for _ in range(rng.choice((0, 2, 5, 10, 20, 40)))]


def _tap(rng: Random) -> Tap:
    tell = rng.choices((_seen, _counted, _round, _given, _done, _mother, _lowered), (6, 4, 5, 2, 3, 2, 1))[0]
    kind, facts = tell(rng)
    return kind, facts, rng.choice(WAITS)


def _seen(rng: Random) -> tuple[str, dict]:
    """Answer about one sign: mostly as it should be, sometimes a red flag."""
    what, bad, good = SIGNS[rng.choice(list(SIGNS))]
    answers = good if rng.random() < 0.75 else (*bad, "unsure", "no such answer")
    return "baby_observed", {"what": what, "answer": rng.choice(answers)}


def _counted(rng: Random) -> tuple[str, dict]:
    """Tell a number, an odd one now and then, or none where one belongs."""
    what = rng.choice(("head", "head", *NUMBERS.values()))
    value = rng.choice(NONSENSE if rng.random() < 0.1 else USUAL[what])
    facts = {"what": what, "value": value}
    return "baby_observed", facts if rng.random() < 0.95 else {"what": what, "answer": "unsure"}


def _round(rng: Random) -> tuple[str, dict]:
    return rng.choice(("baby_observed", "mother_observed")), {"what": "round"}


def _given(rng: Random) -> tuple[str, dict]:
    medicine = rng.choice(MEDICINES)
    facts = {"to": "baby" if medicine == "vitamin_k" else "mother", "medicine": medicine}
    if rng.random() < 0.5:
        facts |= {"dose": 1_000, "unit": "mg", "route": rng.choice(("im", "iv", "oral"))}
    return "medicine_given", facts


def _done(rng: Random) -> tuple[str, dict]:
    told: list[tuple[str, dict]] = [
        ("apgar_scored", _apgar(rng)),
        ("apgar_scored", _apgar(rng)),
        ("tear_graded", {"grade": rng.choice(("none", "1", "2", "3a", "3b", "3c", "4", "buttonhole", "unsure"))}),
        ("placenta_delivered", {"complete": rng.choice(("yes", "yes", "no", "unsure"))}),
        ("blood_loss_measured", {"ml": rng.choice((0, 200, 500, 1_200)), "how": rng.choice(("measured", "estimated"))}),
        ("newborn_team_told", {"who": rng.choice(ROLES)}),
        ("handover_given", {"who": rng.choice(ROLES), "place": "District hospital"}),
        ("episiotomy_done", {"why": "perineum_tight", "angle": 60}),
    ]
    return rng.choice(told)


def _apgar(rng: Random) -> dict:
    facts: dict = {"minute": rng.choice((1, 5, 5, 10))}
    if rng.random() < 0.4:
        facts["score"] = rng.choice((0, 3, 6, 7, 8, 9, 10))
    if rng.random() < 0.6:
        missing = rng.choice((*PARTS, None, None, None))
        facts |= {part: rng.choice((0, 1, 2, 2, 2)) for part in PARTS if part != missing}
    return facts


def _mother(rng: Random) -> tuple[str, dict]:
    facts: dict = {"what": rng.choice(MOTHER)}
    if rng.random() < 0.7:
        facts["answer"] = rng.choice(("yes", "no", "unsure", "firm", "none"))
    if rng.random() < 0.3:
        facts["value"] = rng.choice((*NONSENSE, 80, 350))
    return "mother_observed", facts


def _lowered(rng: Random) -> tuple[str, dict]:
    return "tier_lowered", {"tier": rng.choice((1, 2)), "by": rng.choice(ROLES), "reason": "looks well"}

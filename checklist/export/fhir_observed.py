"""What was read, counted and given as FHIR: one resource for each entry that stands.

Pure. Answers that are no number are codes of our own; "not sure" is an answer too. What
was asked and not told carries the reason unknown.
"""

from collections import Counter
from collections.abc import Callable, Iterator

from checklist.core.apgar import PARTS, apgar_score
from checklist.export.codes import EXTENSION_ABSENT, OBSERVED, UNITS, own, own_codes, quantity, unknown, with_own
from checklist.export.csv_files import moment
from checklist.export.fhir_people import Telling
from checklist.export.rows import NAME

MINUTES = (1, 5, 10)
Content = dict | None


def observations(told: Telling) -> Iterator[dict]:
    """Give an observation for each entry that holds one, those taken back left out."""
    for row, place in _standing(told):
        make = _MAKERS.get(row["kind"])
        content = make(row["facts"]) if make else None
        if content:
            yield _observation(told, row, place, content)


def medicines(told: Telling) -> Iterator[dict]:
    """Give each medicine that was given; a name that was typed is not passed on."""
    for row, place in _standing(told):
        facts = row["facts"]
        if row["kind"] != "medicine_given" or not facts.get("to"):
            continue
        name = f"medicine.{facts.get('medicine')}"
        at = moment(row["at"])
        timed = {"effectiveDateTime": at} if at else _untimed()
        yield {
            "resourceType": "MedicationAdministration", "id": told.id("MedicationAdministration", place),
            "status": "completed", "medicationCodeableConcept": own(name if name in own_codes() else "other"),
            "subject": told.baby if facts["to"] == "baby" else told.mother,
            "context": told.ref("Encounter"), **timed, **_dosage(facts),
        }


def _untimed() -> dict:
    return {"_effectiveDateTime": {"extension": [{"url": EXTENSION_ABSENT, "valueCode": "unknown"}]}}


def _dosage(facts: dict) -> dict:
    dosage = {}
    if facts.get("route"):
        dosage["route"] = own(f"medicine_given.route.{facts['route']}")
    if facts.get("dose") and facts.get("unit") in UNITS:
        dosage["dose"] = quantity(facts["dose"] / 1000, facts["unit"])
    # FHIR wants an amount in a dosage, so a route alone is left out.
    return {"dosage": dosage} if "dose" in dosage else {}


def _observation(told: Telling, row: dict, place: str, content: dict) -> dict:
    about = content.pop("about", "mother")
    subject = told.baby if about == "baby" else told.mother
    if about == "fetus" and told.has_baby:
        content["focus"] = [told.baby]
    at = moment(row["at"])
    return {
        "resourceType": "Observation", "id": told.id("Observation", place),
        "status": "amended" if row["amended"] else "final", "subject": subject,
        "encounter": told.ref("Encounter"), **({"effectiveDateTime": at} if at else {}), **content,
    }


def _standing(told: Telling) -> Iterator[tuple[dict, str]]:
    """Give each entry that was not taken back, and what names it in its case."""
    seen: Counter[str] = Counter()
    for row in told.case["timeline"]:
        place = f"{row['log']}/{row['seq']}"
        seen[place] += 1
        if not row["void"]:
            # A forked log tells two things under one number.
            yield row, place if seen[place] == 1 else f"{place}/{seen[place]}"


def _answer(code: str | None) -> dict:
    return {"valueCodeableConcept": own(code)} if code else {"dataAbsentReason": unknown()}


def _choice(kind: str, fact: str, about: str = "mother") -> Callable[[dict], Content]:
    """Make the maker for a kind whose one fact is a choice."""

    def make(facts: dict) -> Content:
        given = facts.get(fact)
        return {"code": own(kind), "about": about, **_answer(given and f"{kind}.{fact}.{given}")}

    return make


def _apgar(facts: dict) -> Content:
    minute = facts.get("minute")
    if minute is None:
        return None
    code = with_own(f"apgar_{minute}", "apgar_scored") if minute in MINUTES else own("apgar_scored")
    # As it was told; where only its parts were, built from them.
    score = facts.get("score", apgar_score(facts))
    value = {"dataAbsentReason": unknown()} if score is None else {"valueQuantity": quantity(score, "points")}
    parts = [{"code": own("apgar_scored.minute"), "valueQuantity": quantity(minute, "min")}]
    for sign in PARTS:
        if facts.get(sign) is not None:
            points = quantity(facts[sign], "points")
            parts.append({"code": own(f"apgar_scored.{sign}"), "valueQuantity": points})
    return {"code": code, "about": "baby", **value, "component": parts}


def _heart(facts: dict) -> Content:
    code = with_own("fetal_heart", "fetal_heart_counted")
    if facts.get("bpm") is not None:
        value = {"valueQuantity": quantity(facts["bpm"], "beats/min")}
    else:
        heard = facts.get("heard")
        value = _answer(heard and f"fetal_heart.heard.{heard}")
    return {"code": code, "about": "fetus", **value}


def _asked(facts: dict) -> Content:
    """Of the questions before a start only the count of the fetal heart is a measurement."""
    if facts.get("item") != "fetal_heart":
        return None
    heard = {"value": "yes", "not_heard": "no"}.get(facts.get("answer"), "unsure")
    return _heart({"heard": heard, "bpm": facts.get("value")})


def _suction(facts: dict) -> Content:
    stage, pa = facts.get("stage"), facts.get("pa")
    value = {"dataAbsentReason": unknown()} if pa is None else {"valueQuantity": quantity(pa / 1000, "kPa")}
    parts = [{"code": own("suction_set.stage"), **_answer(stage and f"suction_set.stage.{stage}")}]
    return {"code": own("suction_set"), **value, "component": parts}


def _cup(facts: dict) -> Content:
    parts = [
        {"code": own(f"cup_applied.{fact}"), **_answer(facts.get(fact) and f"cup_applied.{fact}.{facts[fact]}")}
        for fact in ("cup", "placement")
    ]
    if facts.get("mm") is not None:
        parts.append({"code": own("cup_applied.mm"), "valueQuantity": quantity(facts["mm"], "mm")})
    return {"code": own("cup_applied"), "component": parts}


def _blood(facts: dict) -> Content:
    if facts.get("ml") is None:
        return None
    content = {"code": own("blood_loss"), "valueQuantity": quantity(facts["ml"], "mL")}
    if facts.get("how"):
        content["method"] = own(f"blood_loss_measured.how.{facts['how']}")
    return content


def _observed(about: str) -> Callable[[dict], Content]:
    """Make the maker for what was seen of mother or baby; what has no known name is left out."""

    def make(facts: dict) -> Content:
        what, value, answer = facts.get("what"), facts.get("value"), facts.get("answer")
        if value is not None and what in OBSERVED:
            unit, per = OBSERVED[what]
            number = value if per == 1 else value / per
            code = with_own(what, f"observed.{what}") if what in ("weight", "head") else own(f"observed.{what}")
            return {"code": code, "about": about, "valueQuantity": quantity(number, unit)}
        if not what or not answer or not NAME.fullmatch(what) or not NAME.fullmatch(answer):
            return None
        said = answer.replace("_", " ")
        return {"code": {"text": what.replace("_", " ")}, "about": about, "valueCodeableConcept": {"text": said}}

    return make


_MAKERS: dict[str, Callable[[dict], Content]] = {
    "apgar_scored": _apgar,
    "baby_observed": _observed("baby"),
    "blood_loss_measured": _blood,
    "check_answered": _asked,
    "cup_applied": _cup,
    "cup_detached": _choice("cup_detached", "cause"),
    "fetal_heart_counted": _heart,
    "mother_observed": _observed("mother"),
    "placenta_delivered": _choice("placenta_delivered", "complete"),
    "scalp_checked": _choice("scalp_checked", "finding", "baby"),
    "suction_set": _suction,
    "tear_graded": _choice("tear_graded", "grade"),
}

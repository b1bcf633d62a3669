"""The FHIR export, held against the R4 structures and required value sets.

Structure: fhir.resources 8.3.0, R4B (R4 is gone from it; the resources used here are the
same in both). It looks at no value set, no unit and no reference, so these are looked at
here. Source of the value sets: hl7.org/fhir/R4, from memory where not said.
"""

import copy
import json
from collections import Counter

import pytest
from fhir.resources.R4B.bundle import Bundle
from pydantic import ValidationError

from checklist.export import fhir
from checklist.export.codes import CODES, ICD10, LOINC, NOTICE, OWN, UCUM, UNITS, own_codes
from checklist.export.pseudonym import Pseudonyms
from tests.crowd import told, worst_days
from tests.stories import a_case, ready_to_pull

CASES = 400
MADE_AT = 1_790_000_000_000
NAMES = Pseudonyms(b"k" * 32)
ABSENT = object()
# Required bindings; encounter-status was read at hl7.org, the others are from memory.
STATUS = {
    "Observation": {"registered", "preliminary", "final", "amended", "corrected", "cancelled", "entered-in-error", "unknown"},
    "Procedure": {"preparation", "in-progress", "not-done", "on-hold", "stopped", "completed", "entered-in-error", "unknown"},
    "Encounter": {"planned", "arrived", "triaged", "in-progress", "onleave", "finished", "cancelled", "entered-in-error", "unknown"},
    "MedicationAdministration": {"in-progress", "not-done", "on-hold", "completed", "entered-in-error", "stopped", "unknown"},
    "CodeSystem": {"draft", "active", "retired", "unknown"},
}
GENDERS = {"male", "female", "other", "unknown"}
ROLES = {"derivation", "revision", "quotation", "source", "removal"}
SYSTEMS = {code.system for code in CODES.values()} | {OWN, UCUM, "http://terminology.hl7.org/CodeSystem/data-absent-reason"}


def bundle_of(crowd) -> dict:
    """Export a crowd as one Bundle."""
    return json.loads("".join(text for text, _ in fhir.bundle_text(crowd, NAMES, MADE_AT)))


def resources(bundle, kind=None):
    """List the resources of a bundle, or those of one type."""
    found = [entry["resource"] for entry in bundle["entry"]]
    return [one for one in found if kind in (None, one["resourceType"])]


def walk(value, name=""):
    """Give every (name, value) in a tree."""
    yield name, value
    children = value.items() if isinstance(value, dict) else []
    if isinstance(value, list):
        children = [(name, one) for one in value]
    for child, one in children:
        yield from walk(one, child)


def faults(bundle) -> set[str]:
    """Look at what the structures do not: value sets, systems, units, references."""
    found = set()
    urls = Counter(entry["fullUrl"] for entry in bundle["entry"])
    found |= {f"told twice: {url}" for url, times in urls.items() if times > 1}
    for one in resources(bundle):
        kind = one["resourceType"]
        if kind in STATUS and one.get("status") not in STATUS[kind]:
            found.add(f"status of {kind}: {one.get('status')}")
        if kind == "Patient" and one.get("gender", "unknown") not in GENDERS:
            found.add(f"gender: {one['gender']}")
        if kind == "Provenance" and not {e["role"] for e in one["entity"]} <= ROLES:
            found.add("role of an entity")
        for name, value in walk(one):
            if name == "reference" and value not in urls:
                found.add(f"dangling: {value}")
            if isinstance(value, dict) and "system" in value and "code" in value:
                found |= _coding(value)
    return found


def _coding(value: dict) -> set[str]:
    system, code = value["system"], value["code"]
    if system not in SYSTEMS:
        return {f"system: {system}"}
    if system == UCUM and code not in UNITS.values():
        return {f"unit: {code}"}
    if system == OWN and code not in own_codes():
        return {f"own code: {code}"}
    if system in (LOINC, ICD10) and code not in {known.code for known in CODES.values()}:
        return {f"code: {code}"}
    return set()


@pytest.fixture(scope="module")
def crowd():
    return worst_days(range(CASES))


@pytest.fixture(scope="module")
def worst(crowd):
    return bundle_of(crowd)


def test_hundreds_of_worst_days_have_the_structure_of_r4(worst):
    read = Bundle.model_validate(worst)

    assert len(read.entry) == len(worst["entry"]) > 2000


def test_their_value_sets_units_and_references_hold(worst):
    assert faults(worst) == set()


def test_practice_is_not_among_them(crowd, worst):
    real = sum(1 for _ in crowd.cases())

    assert 0 < real < crowd.count
    assert len(resources(worst, "Encounter")) == len(resources(worst, "Provenance")) == real


def test_every_resource_of_a_case_has_its_provenance(worst):
    targets = {ref["reference"] for one in resources(worst, "Provenance") for ref in one["target"]}
    about = ("Encounter", "Procedure", "Observation", "Condition", "MedicationAdministration")

    wanted = {f"urn:uuid:{one['id']}" for kind in about for one in resources(worst, kind)}

    assert wanted == targets


@pytest.mark.parametrize(
    ("kind", "change", "fault"),
    [
        ("Observation", {"status": "done"}, "status of Observation: done"),
        ("Observation", {"valueQuantity": {"value": 1, "system": UCUM, "code": "mmHg"}}, "unit: mmHg"),
        ("Encounter", {"subject": {"reference": "urn:uuid:0"}}, "dangling: urn:uuid:0"),
        ("Procedure", {"code": {"coding": [{"system": ICD10, "code": "O99.9"}]}}, "code: O99.9"),
        ("Procedure", {"code": {"coding": [{"system": "http://snomed.info/sct", "code": "1"}]}}, "system: http://snomed.info/sct"),
        ("Procedure", {"code": {"coding": [{"system": OWN, "code": "nothing"}]}}, "own code: nothing"),
    ],
)
def test_a_meaning_broken_on_purpose_is_found(worst, kind, change, fault):
    broken = copy.deepcopy(worst)
    resources(broken, kind)[0].update(change)

    assert faults(broken) == {fault}


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        ("Observation", {"code": ABSENT}),
        ("Procedure", {"subject": ABSENT}),
        ("Encounter", {"bed": 3}),
        ("Patient", {"birthDate": "yesterday"}),
        ("Observation", {"valueString": "a", "valueInteger": 1}),
    ],
)
def test_a_structure_broken_on_purpose_is_found(worst, kind, change):
    broken = copy.deepcopy(worst)
    broken["entry"] = [e for e in broken["entry"] if e["resource"]["resourceType"] == kind][:1]
    one = broken["entry"][0]["resource"]
    one.update(change)
    broken["entry"][0]["resource"] = {name: value for name, value in one.items() if value is not ABSENT}

    with pytest.raises(ValidationError):
        Bundle.model_validate(broken)


def test_a_birth_is_told_in_the_codes_of_the_world():
    story = ready_to_pull().pull(descent="yes").after(60).begins().after(40).head_out().after(20).born()
    story = story.cup_off().after(60).tells("apgar_scored", minute=1, score=8, heart=2)
    story = story.tells("baby_observed", what="weight", value=3120)
    story = story.tells("baby_observed", what="head", value=345).closed()
    bundle = bundle_of(told(story))

    quantities = {
        coding["code"]: (one["valueQuantity"]["value"], one["valueQuantity"]["code"])
        for one in resources(bundle, "Observation") if "valueQuantity" in one
        for coding in one["code"]["coding"] if coding["system"] == LOINC
    }
    (done,) = resources(bundle, "Procedure")

    assert quantities == {
        "9272-6": (8, "{score}"), "8339-4": (3120, "g"), "9843-4": (34.5, "cm"), "55283-6": (140, "/min"),
    }
    assert done["status"] == "completed" and done["code"]["coding"][0]["code"] == "O81.4"
    assert [patient["gender"] for patient in resources(bundle, "Patient")] == ["female", "female"]


def test_a_stopped_vacuum_is_no_vacuum_birth():
    story = ready_to_pull().pull(descent="no").pull(descent="no").stopped("no_descent").cup_off("stop")

    (done,) = resources(bundle_of(told(story)), "Procedure")

    assert done["status"] == "stopped" and done["code"]["coding"][0]["code"] == "O66.5"
    assert done["statusReason"]["coding"][0]["code"] == "vacuum_stopped.why.no_descent"


def test_what_was_not_recorded_is_absent_or_unknown_and_never_no():
    story = ready_to_pull().pull().tells("apgar_scored", minute=5).tells("baby_born")
    bundle = bundle_of(told(story))

    text = json.dumps(bundle["entry"][1:])
    babies = [one for one in resources(bundle, "Patient") if "birthDate" in one]
    apgar = next(o for o in resources(bundle, "Observation") if o["code"]["coding"][0]["code"] == "9274-2")

    assert "false" not in text and ".no\"" not in text
    assert len(babies) == 1 and "gender" not in babies[0]
    assert apgar["dataAbsentReason"]["coding"][0]["code"] == "unknown"
    assert resources(bundle, "Encounter")[0]["status"] == "unknown"


def test_nobody_is_named():
    story = a_case().opened(label="MaryS", post="Hill post").answered("bed", "maryb").cup_on()
    story = story.tells("note_added", text="Mary cried").tells("medicine_given", to="mother", medicine="marys_drops")
    crowd = told(story)

    text = json.dumps(bundle_of(crowd))

    assert "mary" not in text.lower() and "Hill post" in text
    assert not any(real in text for real in (*crowd.lines, story.log, "d" * 32))


def test_notices_of_loinc_and_ucum_travel_along(worst):
    (system,) = resources(worst, "CodeSystem")

    assert system["copyright"] == NOTICE
    assert "LOINC" in NOTICE and "UCUM" in NOTICE


def test_every_code_says_how_it_is_known():
    assert all(code.known.startswith(("read: ", "from memory")) for code in CODES.values())


def test_an_apgar_told_by_its_parts_has_their_sum():
    story = ready_to_pull().pull().tells("baby_born").apgar(5, heart=2, breathing=1, tone=1, reflex=2, colour=1)
    bundle = bundle_of(told(story))

    apgar = next(o for o in resources(bundle, "Observation") if o["code"]["coding"][0]["code"] == "9274-2")

    assert apgar["valueQuantity"]["value"] == 7 and len(apgar["component"]) == 6

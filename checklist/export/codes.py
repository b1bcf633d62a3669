"""The codes that a FHIR export carries, each with how sure we are of it.

Only systems that may be used freely: LOINC (with its notice), UCUM (with its notice),
single ICD-10 codes without their table, HL7's own. For all else a code system of our
own, made from the table of kinds and the protocol in force. "from memory": the
publisher's page was not read.
"""

from functools import cache
from typing import NamedTuple

from checklist.tables import kinds, protocol_in_force

LOINC = "http://loinc.org"
UCUM = "http://unitsofmeasure.org"
ICD10 = "http://hl7.org/fhir/sid/icd-10"
OWN = "urn:checklist:fhir:codes"
ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
EXTENSION_ABSENT = "http://hl7.org/fhir/StructureDefinition/data-absent-reason"
BIRTH_TIME = "http://hl7.org/fhir/StructureDefinition/patient-birthTime"

NOTICE = (
    "This material contains content from LOINC (http://loinc.org). LOINC is copyright Regenstrief"
    " Institute, Inc. and the LOINC Committee and is available at no cost under the license at"
    " http://loinc.org/license. Units are from UCUM, copyright Regenstrief Institute, Inc., available"
    " at no cost under its terms of use (http://unitsofmeasure.org). ICD-10 codes are carried without"
    " their classification, which is published by the World Health Organization."
)


class Code(NamedTuple):
    """One code of somebody else's system, how it reads there, and how it is known."""

    system: str
    code: str
    display: str
    known: str


_HL7_EXAMPLE = "read: HL7's own example of an Apgar score"
_HL7_GUIDE = "read: HL7 guide on birth records, and its examples"
_COPY = "read: a national copy of ICD-10; the publisher's page not read"
_CM = "read: copies of the US modification; the publisher's page not read"

CODES = {
    "apgar_1": Code(LOINC, "9272-6", "1 minute Apgar Score", _HL7_EXAMPLE),
    "apgar_5": Code(LOINC, "9274-2", "5 minute Apgar Score", _HL7_GUIDE),
    "apgar_10": Code(LOINC, "9271-8", "10 minute Apgar Score", _HL7_GUIDE),
    "weight": Code(LOINC, "8339-4", "Birth weight Measured", _HL7_GUIDE),
    "fetal_heart": Code(LOINC, "55283-6", "Fetal Heart rate", "from memory"),
    "head": Code(LOINC, "9843-4", "Head Occipital-frontal circumference", "from memory"),
    "vacuum_born": Code(ICD10, "O81.4", "Vacuum extractor delivery", _COPY),
    "vacuum_failed": Code(ICD10, "O66.5", "Failed application of vacuum extractor and forceps, unspecified", "from memory; the number read in a national copy of ICD-10"),
    "scalp_bruised": Code(ICD10, "P12.3", "Bruising of scalp due to birth injury", _CM),
    "scalp_cut": Code(ICD10, "P12.8", "Other birth injuries to scalp", _CM),
    "scalp_skin_lost": Code(ICD10, "P12.8", "Other birth injuries to scalp", _CM),
    # Which swelling it is a look cannot tell, so no code claims it.
    "scalp_swelling": Code(ICD10, "P12.9", "Birth injury to scalp, unspecified", _CM),
    "encounter": Code("http://terminology.hl7.org/CodeSystem/v3-ActCode", "IMP", "inpatient encounter", "from memory"),
    "mother": Code("http://terminology.hl7.org/CodeSystem/v3-RoleCode", "MTH", "mother", "from memory"),
    "author": Code("http://terminology.hl7.org/CodeSystem/provenance-participant-type", "author", "Author", "from memory"),
    "provisional": Code("http://terminology.hl7.org/CodeSystem/condition-ver-status", "provisional", "Provisional", "from memory"),
    "active": Code("http://terminology.hl7.org/CodeSystem/condition-clinical", "active", "Active", "from memory"),
}

# UCUM, all from memory but {score} and g, which stand in the examples above.
UNITS = {
    "points": "{score}", "g": "g", "cm": "cm", "mm": "mm", "s": "s", "min": "min", "kPa": "kPa",
    "beats/min": "/min", "mL": "mL", "count": "1", "Cel": "Cel", "mmol/L": "mmol/L", "mmHg": "mm[Hg]",
    "iu": "[iU]", "mg": "mg", "ml": "mL", "ug": "ug", "degrees": "deg", "days": "d", "Pa": "Pa",
}

# What is observed as a number: unit, and how many of what is told make one of it.
OBSERVED = {
    "weight": ("g", 1), "head": ("cm", 10), "heart": ("beats/min", 1), "breaths": ("beats/min", 1),
    "pulse": ("beats/min", 1), "refill": ("s", 1), "temperature": ("Cel", 10),
    "glucose": ("mmol/L", 10), "systolic": ("mmHg", 1), "diastolic": ("mmHg", 1), "void": ("mL", 1),
}
# What stands in no table: ids that this module's callers use.
_MORE = {
    "vacuum_birth": "Vacuum-assisted birth", "pull": "Pull: all traction in one contraction",
    "pull_number": "Number of the pull", "pull_phase": "Phase of the pull",
    "pull_phase.descent": "Before the head was on the perineum",
    "pull_phase.perineal": "With the head on the perineum", "pull_traction": "Traction in the pull",
    "pull_suction": "Suction last read before the pull", "pull_came_off": "The cup came off in it",
    "outcome.born": "Born with the cup", "outcome.stopped": "Vacuum stopped",
    "fetal_heart.heard.yes": "Heard", "fetal_heart.heard.no": "Not heard",
    "fetal_heart.heard.unsure": "Not sure whether heard", "other": "Other, typed in",
    "blood_loss": "Blood loss",
}


def own(code: str) -> dict:
    """Give a concept of our own system, or only its text when the system has no such code."""
    display = own_codes().get(code)
    if display is None:
        return {"text": code}
    return {"coding": [{"system": OWN, "code": code, "display": display}], "text": display}


def coded(name: str) -> dict:
    """Give one coding of somebody else's system."""
    code = CODES[name]
    return {"system": code.system, "code": code.code, "display": code.display}


def with_own(name: str, own_code: str) -> dict:
    """Give a concept with a public code first and ours beside it."""
    concept = own(own_code)
    return {**concept, "coding": [coded(name), *concept.get("coding", [])]}


def quantity(value: float, unit: str) -> dict:
    """Give a number with its UCUM unit."""
    return {"value": value, "unit": unit, "system": UCUM, "code": UNITS[unit]}


def unknown() -> dict:
    """Say that a value is absent because nobody recorded it."""
    return {"coding": [{"system": ABSENT, "code": "unknown", "display": "Unknown"}]}


@cache
def own_codes() -> dict[str, str]:
    """Give our own code system: {code: how it reads}."""
    found = dict(_MORE)
    for kind, row in kinds().items():
        found[kind] = kind.replace("_", " ")
        for fact, spec in row["facts"].items():
            found[f"{kind}.{fact}"] = f"{kind}, {fact}".replace("_", " ")
            for choice in spec.get("choices", ()):
                found[f"{kind}.{fact}.{choice}"] = f"{fact}: {choice}".replace("_", " ")
    for row in protocol_in_force()[1]["questions"]:
        found[f"before.{row['id']}"] = f"before a start, {row['id']}".replace("_", " ")
        for answer in row["answers"]:
            found[f"before.{row['id']}.{answer['id']}"] = answer["id"].replace("_", " ")
    for row in protocol_in_force()[1]["medicines"]:
        found[f"medicine.{row['id']}"] = row["id"].replace("_", " ")
    found |= {f"observed.{what}": what for what in OBSERVED}
    return found


def code_system(made_at: str) -> dict:
    """Give our own code system as the resource that explains it."""
    return {
        "resourceType": "CodeSystem", "id": "checklist-codes", "url": OWN, "status": "draft",
        "name": "ChecklistCodes", "title": "Codes of the vacuum birth checklist", "date": made_at,
        "content": "complete", "caseSensitive": True, "copyright": NOTICE,
        "concept": [{"code": code, "display": display} for code, display in own_codes().items()],
    }

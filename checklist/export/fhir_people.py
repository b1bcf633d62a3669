"""Whom and what a FHIR export speaks of: post, tablet, mother, baby, their stay.

Pure: a Telling goes in, resources with references of the form "Type/id" come out.
Mother and baby have no name; the mother's identifier is the case's pseudonym.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from checklist.export.codes import BIRTH_TIME, coded, own
from checklist.export.csv_files import moment
from checklist.export.pseudonym import Pseudonyms

# How the vocabulary's answers read in HL7's AdministrativeGender.
GENDER = {"girl": "female", "boy": "male", "unsure": "unknown"}


@dataclass(frozen=True)
class Telling:
    """One folded case on its way into resources, with the names that stand for it."""

    case: dict
    case_id: str
    device: str
    names: Pseudonyms

    def id(self, kind: str, part: str = "") -> str:
        """Name a resource of this case."""
        return self.names.uuid(kind, f"{self.case_id}/{part}")

    def ref(self, kind: str, part: str = "") -> dict:
        """Point to a resource of this case."""
        return {"reference": f"{kind}/{self.id(kind, part)}"}

    @property
    def mother(self) -> dict:
        """Point to the mother."""
        return self.ref("Patient", "mother")

    @property
    def has_baby(self) -> bool:
        """Tell whether anything is recorded of a baby that is born."""
        return self.case["baby_born"] is not None or any(map(_is_of_baby, self.case["care"]))

    @property
    def baby(self) -> dict:
        """Point to the baby, or to the mother while none is recorded as born."""
        return self.ref("Patient", "baby") if self.has_baby else self.mother

    def wall(self, ms: int) -> int:
        """Give the tablet's wall time of a moment of the case, by the entry before it."""
        row = next((row for row in reversed(self.case["timeline"]) if row["ms"] <= ms), self.case["timeline"][0])
        return row["at"] + ms - row["ms"]


def _is_of_baby(item: dict) -> bool:
    return item["kind"] in ("apgar_scored", "baby_observed") or item["facts"].get("to") == "baby"


def organization(told: Telling) -> dict | None:
    """Give the post, or None when the case names none."""
    if not told.case["post"]:
        return None
    return {
        "resourceType": "Organization", "id": told.names.uuid("Organization", told.case["post"]),
        "name": told.case["post"],
    }


def device(told: Telling) -> dict:
    """Give the tablet that wrote the record."""
    name = told.names.name("device", told.device)
    return {
        "resourceType": "Device", "id": told.names.uuid("Device", told.device),
        "identifier": [{"system": "urn:checklist:device", "value": name}],
        "type": {"text": "Tablet with the vacuum birth checklist"},
    }


def people(told: Telling) -> Iterator[dict]:
    """Give mother and baby, and that they are such."""
    name = {"system": "urn:checklist:case", "value": told.names.name("case", told.case_id)}
    yield {
        "resourceType": "Patient", "id": told.id("Patient", "mother"), "identifier": [name],
        "gender": "female",
    }
    if not told.has_baby:
        return
    yield {"resourceType": "Patient", "id": told.id("Patient", "baby"), **_birth(told)}
    yield {
        "resourceType": "RelatedPerson", "id": told.id("RelatedPerson"), "identifier": [name],
        "patient": told.baby, "relationship": [{"coding": [coded("mother")]}],
    }


def _birth(told: Telling) -> dict:
    born = told.case["baby_born"] or {}
    found = {}
    if born.get("sex"):
        found["gender"] = GENDER[born["sex"]]
    at = moment(born.get("at"))
    if at:
        # The day by UTC: where the post lies east or west the calendar may say another.
        found["birthDate"] = at[:10]
        found["_birthDate"] = {"extension": [{"url": BIRTH_TIME, "valueDateTime": at}]}
    return found


def encounter(told: Telling) -> dict:
    """Give the stay at the post; without a closing entry nobody can tell whether it is over."""
    closed = told.case["closed"]
    found = {
        "resourceType": "Encounter", "id": told.id("Encounter"),
        "status": "finished" if closed else "unknown", "class": coded("encounter"),
        "subject": told.mother,
        "period": period(told.case["opened_at"], closed["at"] if closed else None),
    }
    post = organization(told)
    if post:
        found["serviceProvider"] = {"reference": f"Organization/{post['id']}"}
    if closed and closed["why"] == "transferred":
        found["hospitalization"] = {"dischargeDisposition": own("case_closed.why.transferred")}
    return {name: value for name, value in found.items() if value}


def period(start: int | None, end: int | None) -> dict:
    """Give a period of what is known of it; an end before its start is left out."""
    told = {"start": moment(start)}
    if end is not None and (start is None or end >= start):
        told["end"] = moment(end)
    return {name: at for name, at in told.items() if at}

"""One case as FHIR R4 resources, many as a Bundle or as lines, written piece by piece.

R4 (4.0.1). The station's signature covers lines of a log and not these resources, so it
does not stand as a signature of the Provenance: the log's range does, under a pseudonym,
and ``checklist export`` gives the signed lines themselves.
"""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TextIO

from checklist.export.chosen import Held, Reader
from checklist.export.codes import code_system, coded
from checklist.export.csv_files import moment
from checklist.export.fhir_birth import condition, procedure, pulls
from checklist.export.fhir_observed import medicines, observations
from checklist.export.fhir_people import Telling, device, encounter, organization, people
from checklist.export.pseudonym import Pseudonyms
from checklist.whole_files import WholeFiles

TYPES = {
    "CodeSystem", "Condition", "Device", "Encounter", "MedicationAdministration", "Observation",
    "Organization", "Patient", "Procedure", "Provenance", "RelatedPerson",
}


def resources(held: Held, names: Pseudonyms, made_at: int) -> list[dict]:
    """Give all resources of one case; post and tablet among them, as in every of their cases.

    made_at: wall ms at which the export is made.
    """
    told = Telling(held.case, held.case_id, held.device, names)
    about = [resource for resource in (encounter(told), procedure(told), condition(told)) if resource]
    about += [*pulls(told), *observations(told), *medicines(told)]
    shared = [resource for resource in (organization(told), device(told)) if resource]
    return [*shared, *people(told), *about, _provenance(told, held, about, made_at)]


def _provenance(told: Telling, held: Held, about: list[dict], made_at: int) -> dict:
    targets = [{"reference": f"{one['resourceType']}/{one['id']}"} for one in about]
    return {
        "resourceType": "Provenance", "id": told.id("Provenance"), "target": targets,
        "recorded": moment(made_at),
        "agent": [
            {
                "type": {"coding": [coded("author")]},
                "who": {"reference": f"Device/{told.names.uuid('Device', told.device)}"},
            }
        ],
        "entity": [
            {"role": "source", "what": {"identifier": {"system": "urn:checklist:log", "value": value}}}
            for value in _ranges(held, told.names)
        ],
    }


def _ranges(held: Held, names: Pseudonyms) -> list[str]:
    """Name each log that tells of the case, with the first and last number in it."""
    ends: dict[str, tuple[int, int]] = {}
    for event in held.events:
        first, last = ends.get(event["log"], (event["seq"], event["seq"]))
        ends[event["log"]] = (min(first, event["seq"]), max(last, event["seq"]))
    return [f"{names.name('log', log)}/{first}-{last}" for log, (first, last) in sorted(ends.items())]


def all_resources(reader: Reader, names: Pseudonyms, made_at: int) -> Iterator[tuple[list[dict], int]]:
    """Give resources case by case, with 1 for each case; each post and tablet only once.

    The code system that explains our own codes comes first.
    """
    yield [code_system(moment(made_at))], 0
    seen: set[str] = set()
    for held in reader.cases():
        found = []
        for resource in resources(held, names, made_at):
            if resource["resourceType"] in ("Organization", "Device"):
                if resource["id"] in seen:
                    continue
                seen.add(resource["id"])
            found.append(resource)
        yield found, 1


def bundle_text(reader: Reader, names: Pseudonyms, made_at: int) -> Iterator[tuple[str, int]]:
    """Give a Bundle of type collection as text, case by case; all references are within it."""
    head = {"resourceType": "Bundle", "type": "collection", "timestamp": moment(made_at)}
    yield json.dumps(head)[:-1] + ', "entry": [', 0
    separator = ""
    for found, cases in all_resources(reader, names, made_at):
        entries = [_entry(resource) for resource in found]
        yield separator + ",\n".join(json.dumps(entry, ensure_ascii=False) for entry in entries), cases
        separator = ",\n"
    yield "]}\n", 0


def _entry(resource: dict) -> dict:
    return {"fullUrl": _url(resource["id"]), "resource": _within(resource)}


def _url(name: str) -> str:
    return f"urn:uuid:{name}" if "checklist" not in name else f"urn:checklist:fhir:{name}"


def _within(value: object) -> object:
    """Write every reference as the fullUrl of its entry."""
    if isinstance(value, list):
        return [_within(one) for one in value]
    if not isinstance(value, dict):
        return value
    return {
        name: _url(one.partition("/")[2]) if name == "reference" else _within(one)
        for name, one in value.items()
    }


def write_bundle(
    reader: Reader, names: Pseudonyms, made_at: int, target: Path, told: Callable[[int], None]
) -> int:
    """Write a Bundle; the file appears only when complete. Gives the number of cases."""
    written = 0
    with WholeFiles() as files:
        out = files.open(target, "w", encoding="utf-8")
        for text, cases in bundle_text(reader, names, made_at):
            out.write(text)
            written += cases
            told(cases)
    return written


def write_bulk(
    reader: Reader, names: Pseudonyms, made_at: int, folder: Path, told: Callable[[int], None]
) -> int:
    """Write one NDJSON file a resource type, as bulk data has it. Gives the number of cases."""
    folder.mkdir(parents=True, exist_ok=True)
    outs: dict[str, TextIO] = {}
    written = 0
    with WholeFiles() as files:
        for found, cases in all_resources(reader, names, made_at):
            for resource in found:
                kind = resource["resourceType"]
                if kind not in outs:
                    outs[kind] = files.open(folder / f"{kind}.ndjson", "w", encoding="utf-8")
                outs[kind].write(json.dumps(resource, ensure_ascii=False) + "\n")
            written += cases
            told(cases)
    # What an earlier export left here would be read along with this one.
    for kind in TYPES - outs.keys():
        (folder / f"{kind}.ndjson").unlink(missing_ok=True)
    return written

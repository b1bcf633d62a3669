"""The vacuum birth itself as FHIR: the procedure, the cup, each pull, what came of it.

Pure. A flag that nobody set and a value that nobody told are left out, never said as no.
"""

from collections.abc import Iterator

from checklist.core.measures import measures, used_cup
from checklist.export.codes import CODES, coded, own, quantity, unknown, with_own
from checklist.export.csv_files import moment
from checklist.export.fhir_people import Telling, period
from checklist.export.rows import traction_s


def procedure(told: Telling) -> dict | None:
    """Give the vacuum birth, or that it was decided against; None when neither is recorded."""
    case = told.case
    attempted = used_cup(case)
    decision = (case["decision"] or {}).get("decision")
    if not attempted and decision != "refer":
        return None
    found = {
        "resourceType": "Procedure", "id": told.id("Procedure"),
        "status": _status(case) if attempted else "not-done",
        "code": _code(case, attempted), "subject": told.mother, "encounter": told.ref("Encounter"),
        "reasonCode": _reason(case),
    }
    if attempted:
        found |= {
            "performedPeriod": _performed(told), "outcome": _outcome(case),
            "complication": [own("cup_detached")] if case["detachments"] else [],
            "usedCode": [own(f"cup_applied.cup.{kind}") for kind in _cups(case)],
        }
    else:
        found["statusReason"] = own("decision_made.decision.refer")
    if attempted and case["stopped"] and case["stopped"]["why"]:
        found["statusReason"] = own(f"vacuum_stopped.why.{case['stopped']['why']}")
    return {name: value for name, value in found.items() if value}


def _status(case: dict) -> str:
    if case["stopped"]:
        return "stopped"
    return "completed" if case["baby_born"] else "unknown"


def _code(case: dict, attempted: bool) -> dict:
    if attempted and case["stopped"]:
        return with_own("vacuum_failed", "vacuum_birth")
    if attempted and case["baby_born"]:
        return with_own("vacuum_born", "vacuum_birth")
    return own("vacuum_birth")


def _outcome(case: dict) -> dict | None:
    if case["stopped"]:
        return own("outcome.stopped")
    return own("outcome.born") if case["baby_born"] else None


def _reason(case: dict) -> list[dict]:
    given = (case["answers"].get("reason") or {}).get("answer")
    # What somebody did not know, or said there was none of, is no reason.
    return [own(f"before.reason.{given}")] if given not in (None, "unsure", "none") else []


def _cups(case: dict) -> list[str]:
    told = [one["cup"] for one in case["applications"] if one["cup"] and one["cup"] != "unsure"]
    return list(dict.fromkeys(told))


def _performed(told: Telling) -> dict:
    case = told.case
    starts = [one["ms"] for one in case["applications"]] + [one["began_ms"] for one in case["pulls"]]
    starts += [one["ms"] for one in case["suctions"] if one["stage"] != "released"]
    start = min(starts)
    measured = measures(case, case["clock"])
    end = None if measured["cup_running"] else told.wall(start) + measured["cup_ms"]
    return period(told.wall(start), end)


def pulls(told: Telling) -> Iterator[dict]:
    """Give one observation a pull, with what is known of it as components."""
    for pull in told.case["pulls"]:
        number = pull["number"]
        end = None if pull["ended_ms"] is None else told.wall(pull["ended_ms"])
        parts = [
            {"code": own("pull_number"), "valueInteger": number},
            {"code": own("pull_phase"), "valueCodeableConcept": own(f"pull_phase.{pull['phase']}")},
            _judged(pull),
        ]
        seconds = traction_s(pull)
        if seconds is not None:
            parts.append({"code": own("pull_traction"), "valueQuantity": quantity(seconds, "s")})
        if pull["pa"] is not None:
            kpa = quantity(pull["pa"] / 1000, "kPa")
            parts.append({"code": own("pull_suction"), "valueQuantity": kpa})
        if pull["detached"]:
            parts.append({"code": own("pull_came_off"), "valueBoolean": True})
        yield {
            "resourceType": "Observation", "id": told.id("Observation", f"pull/{number}"),
            "status": "final", "code": own("pull"), "subject": told.mother,
            "encounter": told.ref("Encounter"), "partOf": [told.ref("Procedure")],
            "effectivePeriod": period(told.wall(pull["began_ms"]), end), "component": parts,
        }


def _judged(pull: dict) -> dict:
    asked = {"code": own("descent_judged.descent")}
    if pull["descent"] is None:
        return asked | {"dataAbsentReason": unknown()}
    return asked | {"valueCodeableConcept": own(f"descent_judged.descent.{pull['descent']}")}


def condition(told: Telling) -> dict | None:
    """Give what the last look at the baby's scalp found; provisional, for no doctor said it."""
    scalp = told.case["scalp"] or {}
    name = f"scalp_{scalp.get('finding')}"
    if not told.has_baby or name not in CODES:
        return None
    found = {
        "resourceType": "Condition", "id": told.id("Condition"),
        "clinicalStatus": {"coding": [coded("active")]},
        "verificationStatus": {"coding": [coded("provisional")]},
        "code": with_own(name, f"scalp_checked.finding.{scalp['finding']}"),
        "subject": told.baby, "encounter": told.ref("Encounter"),
        "recordedDate": moment(told.wall(scalp["ms"])),
    }
    return {key: value for key, value in found.items() if value}

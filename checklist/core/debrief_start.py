"""What a debrief finds before the cup: what was asked, skipped, late or told otherwise."""

from checklist.core.checks import RANK, verdict

SENIORS = ("senior", "doctor")
# What is not met by going on: the rest is a start that the answers allow.
AGAINST = ("ask", "not_yet", "refer")


def fault(code: str, ms: int | None, item: str | None = None, n: int | None = None) -> dict:
    """Make one finding of a debrief: {code, item, n, ms}, ms on the case's clock."""
    return {"code": code, "item": item, "n": n, "ms": ms}


def start_faults(case: dict, steps: list[dict], protocol: dict, script: dict | None) -> list[dict]:
    """Judge the answers and the decision of a folded case."""
    begun = begun_ms(case)
    rows = [row for row in protocol["questions"] if not row.get("optional")]
    told = {row["id"]: _answered(case, row) for row in rows}
    found = []
    if begun is not None:
        found += [fault("skipped", begun, name) for name, ms in told.items() if ms is None]
        late = [(name, ms) for name, ms in told.items() if ms is not None and ms > begun]
        found += [fault("answered_late", ms, name) for name, ms in late]
        found += [fault("unsure", ms, name) for name, ms in told.items() if _is_unsure(case, name)]
    if script is not None:
        found += [fault("answered_otherwise", told[row["id"]], row["id"]) for row in rows if _differs(case, row, script)]
    return found + _decided(case, steps, protocol, script)


def verdicts(case: dict, steps: list[dict], protocol: dict, script: dict | None) -> dict:
    """Give {answers, truth, decision}: what the answers allowed, what was so, what was done."""
    at = next((step["before"] for step in steps if step["event"]["kind"] == "decision_made"), case)
    truth = None
    if script is not None:
        truth = verdict({"answers": _whole(script["answers"]), "plan": _plan(script)}, protocol)["verdict"]
    decision = case["decision"]["decision"] if case["decision"] else None
    return {"answers": verdict(at, protocol)["verdict"], "truth": truth, "decision": decision}


def begun_ms(case: dict) -> int | None:
    """Give the moment of going ahead: the decision, or the first cup or pull without one."""
    times = [
        row["ms"]
        for row in case["timeline"]
        if not row["void"]
        and (row["kind"] in ("cup_applied", "pull_began") or _proceeds(row))
    ]
    return min(times) if times else None


def _proceeds(row: dict) -> bool:
    return row["kind"] == "decision_made" and row["facts"].get("decision") == "proceed"


def _answered(case: dict, row: dict) -> int | None:
    """Give the moment of the first answer to a question, or None."""
    for told in case["timeline"]:
        if told["void"]:
            continue
        is_plan = row.get("form") == "plan" and told["kind"] == "plan_agreed"
        if is_plan or (told["kind"] == "check_answered" and told["facts"].get("item") == row["id"]):
            return told["ms"]
    return None


def _is_unsure(case: dict, name: str) -> bool:
    given = case["answers"].get(name)
    return given is not None and given["answer"] == "unsure"


def _differs(case: dict, row: dict, script: dict) -> bool:
    if row.get("form") == "plan":
        plan, truth = case["plan"], script["plan"]
        return plan is not None and any(plan.get(name) != truth[name] for name in truth)
    given, truth = case["answers"].get(row["id"]), script["answers"].get(row["id"])
    if given is None or truth is None or given["answer"] == "unsure":
        return False
    return given["answer"] != truth["answer"] or given["value"] != truth.get("value")


def _whole(answers: dict) -> dict:
    return {name: {"value": None, **answer} for name, answer in answers.items()}


def _plan(script: dict) -> dict:
    return {"next": None, "minutes": None, **script["plan"]}


def _decided(case: dict, steps: list[dict], protocol: dict, script: dict | None) -> list[dict]:
    decision = case["decision"]
    if decision is None:
        begun = begun_ms(case)
        return [] if begun is None else [fault("undecided", begun)]
    known = verdicts(case, steps, protocol, script)
    worst = max([known["answers"], known["truth"] or "go"], key=lambda name: RANK[name])
    if decision["decision"] == "proceed":
        is_agreed = worst == "ask" and decision["role"] in SENIORS
        return [fault("started_against", decision["ms"], worst)] if worst in AGAINST and not is_agreed else []
    if decision["decision"] == "refer" and script is not None and worst == "go":
        return [fault("not_started", decision["ms"])]
    return []

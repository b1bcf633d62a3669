"""Weigh the answers given before a start.

Five verdicts in order: go, ask (a senior first), unknown (not all is known yet),
not_yet (something to do first), refer (do not start here). The worst answer decides and
every reason is named. A question without an answer keeps the verdict at unknown or worse.
"""

RANK = {"go": 0, "ask": 1, "unknown": 2, "not_yet": 3, "refer": 4}


def verdict(case: dict, protocol: dict) -> dict:
    """Weigh a folded case against the questions of its protocol.

    Gives {verdict, reasons, open}: reasons are {question, answer, verdict, message},
    worst first; open lists the questions that nobody answered.
    """
    asked = [row for row in protocol["questions"] if not row.get("optional")]
    found = [_weigh(row, case) for row in asked]
    open_ones = [row["id"] for row, weighed in zip(asked, found, strict=True) if weighed is None]
    reasons = [weighed for weighed in found if weighed and weighed["verdict"] != "go"]
    reasons += [row for row in (_together(rule, case) for rule in protocol["together"]) if row]
    # Sorting keeps the order of the questions within a verdict.
    reasons.sort(key=lambda reason: -RANK[reason["verdict"]])
    worst = reasons[0]["verdict"] if reasons else "go"
    if open_ones and RANK[worst] < RANK["unknown"]:
        worst = "unknown"
    return {"verdict": worst, "reasons": reasons, "open": open_ones}


def _weigh(row: dict, case: dict) -> dict | None:
    if row.get("form") == "plan":
        return _weigh_plan(row, case)
    given = case["answers"].get(row["id"])
    if given is None or given["answer"] is None:
        return None
    if given["answer"] == "value":
        return _weigh_value(row, given["value"])
    for answer in row["answers"]:
        if answer["id"] == given["answer"]:
            return _reason(row["id"], answer["id"], answer["verdict"])
    # An answer that this protocol does not know cannot be called a go.
    return _reason(row["id"], "unsure", "unknown")


def _weigh_value(row: dict, value: int | None) -> dict:
    if value is not None:
        for band in row.get("bands", ()):
            if "below" not in band or value < band["below"]:
                return _reason(row["id"], band["id"], band["verdict"])
    return _reason(row["id"], "unsure", "unknown")


def _weigh_plan(row: dict, case: dict) -> dict | None:
    if case["plan"] is None:
        return None
    for place in row["places"]:
        if place["id"] == case["plan"]["next"]:
            return _reason(row["id"], place["id"], place["verdict"])
    return _reason(row["id"], "unsure", "unknown")


def _together(rule: dict, case: dict) -> dict | None:
    """Weigh answers that are grave only together; an unknown distance counts as far."""
    met = any(
        case["answers"].get(part["question"], {}).get("answer") in part["answers"]
        for part in rule["any"]
    )
    if not met or case["plan"] is None or case["plan"]["next"] == "theatre_here":
        return None
    minutes = case["plan"]["minutes"]
    # A senior who comes brings no theatre along.
    reaches = case["plan"]["next"] == "transfer"
    if reaches and minutes is not None and minutes <= rule["plan_minutes_above"]:
        return None
    return _reason(rule["id"], "far", rule["verdict"])


def _reason(question: str, answer: str, found: str) -> dict:
    return {
        "question": question,
        "answer": answer,
        "verdict": found,
        "message": f"before.{question}.{answer}.why",
    }

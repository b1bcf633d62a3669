"""Tell a practice birth: what is said when, as the trainee taps.

A script is a table of data. Each row is told so long after something was tapped, so that
what was told follows from the events alone and a restarted tablet goes on at the same
place. Shorter waits shorten the script's waits only; no stamp of the log is touched.
"""

import json

from checklist.core.refusals import check_choice, check_whole, refuse, rows_of

PACES = (1, 4)
# What ends a pull or a birth also ends what was still to be told of it.
ENDS = ("cup_detached", "head_born", "baby_born", "vacuum_stopped")
LONGEST_S = 3600
_TABLES = ("post", "answers", "plan")
_DESCENTS = ("yes", "no", "unsure")


def read_script(text: str) -> dict:
    """Read a script from its JSON; raises protocol_malformed with where and why."""
    try:
        script = json.loads(text)
    except ValueError:
        refuse("practice", "not JSON")
    if not isinstance(script, dict):
        refuse("practice", "not an object")
    if not isinstance(script.get("id"), str) or not script["id"]:
        refuse("practice", "id missing")
    where = f"practice.{script['id']}"
    check_whole(where, "order", script.get("order"))
    for name in _TABLES:
        if not isinstance(script.get(name), dict):
            refuse(where, f"{name} missing")
    if not isinstance(script.get("pulls"), list):
        refuse(where, "pulls missing")
    for descent in script["pulls"]:
        check_choice(where, "pulls", descent, _DESCENTS)
    seen: set[str] = set()
    for row in rows_of(where, script.get("rows")):
        _check_row(f"{where}.{row['id']}", row)
        if row["id"] in seen:
            refuse(f"{where}.{row['id']}", "told twice")
        seen.add(row["id"])
    return script


def _check_row(where: str, row: dict) -> None:
    if not isinstance(row.get("say"), str) or not row["say"]:
        refuse(where, "say missing")
    after = row.get("after")
    if not isinstance(after, dict) or not isinstance(after.get("event"), str):
        refuse(where, "after missing")
    check_whole(where, "wait_s", row.get("wait_s"))
    if not 0 <= row["wait_s"] <= LONGEST_S:
        refuse(where, "wait_s out of range")
    if "nth" in after:
        check_whole(where, "nth", after["nth"])
    if "expect" in row:
        _check_expect(where, row["expect"])


def _check_expect(where: str, expect: object) -> None:
    if not isinstance(expect, dict) or not isinstance(expect.get("kinds"), list) or not expect["kinds"]:
        refuse(where, "expect missing")
    check_whole(where, "within_s", expect.get("within_s"))


def script_of(case: dict) -> dict | None:
    """Name the script that a practice case plays: {id, pace}; None for any other case."""
    opening = next((row for row in case["timeline"] if row["kind"] == "case_opened"), None)
    if case["mode"] != "practice" or opening is None or "script" not in opening["facts"]:
        return None
    return {"id": opening["facts"]["script"], "pace": opening["facts"].get("pace", 1)}


def told_rows(script: dict, case: dict, now_ms: int, pace: int) -> list[dict]:
    """List what was told by a moment, in order: {row, say, nth, from_ms, ms, contraction, expect}.

    from_ms is the moment of what was tapped, ms the moment of telling, both on the case's
    clock; nth says which of its kind was tapped.
    """
    ends = [ms for kind in ENDS for ms in _times(case, kind, {})]
    ends += _times(case, "decision_made", {"decision": "refer"})
    told = []
    for row in script["rows"]:
        after = row["after"]
        times = _times(case, after["event"], after.get("facts", {}))
        first = after.get("nth", 1)
        last = len(times) if after.get("each", False) else min(first, len(times))
        # What happens in a pull is not told once that pull is over.
        cuts = ends + (_times(case, "pull_ended", {}) if after["event"] == "pull_began" else [])
        for nth in range(first, last + 1):
            found = _telling(row, nth, times[nth - 1], pace)
            cut = any(found["from_ms"] < end < found["ms"] for end in cuts)
            if found["ms"] <= now_ms and not cut:
                told.append(found)
    return sorted(told, key=lambda one: one["ms"])


def _telling(row: dict, nth: int, from_ms: int, pace: int) -> dict:
    return {
        "row": row["id"],
        "say": row["say"],
        "nth": nth,
        "from_ms": from_ms,
        "ms": from_ms + row["wait_s"] * 1000 // pace,
        "contraction": row.get("contraction", False),
        "expect": row.get("expect"),
    }


def _times(case: dict, kind: str, facts: dict) -> list[int]:
    # Traction taken up again in the same contraction is no new pull to tell of.
    if kind == "pull_began":
        return [pull["began_ms"] for pull in case["pulls"]]
    if kind == "pull_ended":
        return [pull["ended_ms"] for pull in case["pulls"] if pull["ended_ms"] is not None]
    return [
        row["ms"]
        for row in case["timeline"]
        if row["kind"] == kind and not row["void"] and is_like(row["facts"], facts)
    ]


def is_like(facts: dict, wanted: dict) -> bool:
    """Tell whether facts say all that is wanted."""
    return all(facts.get(name) == value for name, value in wanted.items())

"""Tell which critical steps of a birth were recorded at the time, late, or not at all.

A step without a record may have been done: nothing here says that it was not. Knows
no store.
"""

from itertools import pairwise

AT_THE_TIME, LATE, OPEN = "time", "late", "open"
# Once told, these end what is asked of one application of the cup.
_STAGES = ("first", "working")


def critical_steps(case: dict, protocol: dict) -> list[dict]:
    """List the critical steps of a folded case: [{step, n, state}].

    step is a question's id or one of the names below, n counts applications and
    detachments from 1 and is None elsewhere, state is "time", "late" or "open".
    """
    rows = [row for row in case["timeline"] if not row["void"]]
    return [*_before(case, rows, protocol), *_on_the_cup(rows), *_after_coming_off(rows)]


def told_unclear(case: dict) -> bool:
    """Tell whether a pull began although the rim was told not to be clear."""
    unclear = False
    for row in case["timeline"]:
        if row["void"]:
            continue
        if row["kind"] == "rim_swept":
            unclear = row["facts"].get("clear") == "no"
        elif row["kind"] in ("cup_applied", "cup_detached", "cup_removed"):
            unclear = False
        elif row["kind"] == "pull_began" and unclear:
            return True
    return False


def _before(case: dict, rows: list[dict], protocol: dict) -> list[dict]:
    """What is asked before the start counts as late once a pull has begun."""
    start = case["pulls"][0]["began_ms"] if case["pulls"] else None
    told: dict[str, list[dict]] = {}
    for row in rows:
        name = row["facts"].get("item") if row["kind"] == "check_answered" else row["kind"]
        told.setdefault(name, []).append(row)
    asked = [row for row in protocol["questions"] if not row.get("optional")]
    names = {row["id"]: "plan_agreed" if row.get("form") == "plan" else row["id"] for row in asked}
    names["decision"] = "decision_made"
    return [_step(step, None, told.get(name, []), start) for step, name in names.items()]


def _on_the_cup(rows: list[dict]) -> list[dict]:
    """Placement, both stages of suction, and the rim swept after each, each time it went on."""
    starts = [index for index, row in enumerate(rows) if row["kind"] == "cup_applied"]
    found = []
    for n, (start, until) in enumerate(pairwise([*starts, len(rows)]), 1):
        within = rows[start:until]
        placed = [row for row in within[:1] if row["facts"].get("placement") is not None]
        found.append(_step("placement", n, placed))
        for stage in _STAGES:
            set_ = [index for index, row in enumerate(within) if _sets(row, stage)]
            read = [within[index] for index in set_ if "reading" in within[index]["facts"]]
            found.append(_step(f"{stage}_suction", n, read))
            swept = within[set_[0] + 1 :] if set_ else []
            found.append(_step(f"rim_{stage}", n, _sweeps(swept, stage)))
    return found


def _sets(row: dict, stage: str) -> bool:
    return row["kind"] == "suction_set" and row["facts"].get("stage") == stage


def _sweeps(rows: list[dict], stage: str) -> list[dict]:
    """The sweep after the first stage comes before the second one is set."""
    found = []
    for row in rows:
        if stage == "first" and _sets(row, "working"):
            break
        if row["kind"] == "rim_swept":
            found.append(row)
    return found


def _after_coming_off(rows: list[dict]) -> list[dict]:
    offs = [index for index, row in enumerate(rows) if row["kind"] == "cup_detached"]
    return [
        _step("scalp", n, [row for row in rows[off:until] if row["kind"] == "scalp_checked"])
        for n, (off, until) in enumerate(pairwise([*offs, len(rows)]), 1)
    ]


def _step(name: str, n: int | None, told: list[dict], start: int | None = None) -> dict:
    on_time = any(
        not row["estimated"] and (start is None or row["ms"] <= start) for row in told
    )
    return {"step": name, "n": n, "state": AT_THE_TIME if on_time else LATE if told else OPEN}

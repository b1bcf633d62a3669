"""Check single rows of a protocol: numbers, limits, questions, rules.

A row that would be judged wrongly, or not at all, must not come into use.
"""

from checklist.core.refusals import check_choice, check_flag, check_whole, refuse, rows_of, texts_of

LEVELS = ("unknown", "caution", "stop")
SOUNDS = ("none", "pulling", "medium", "high")
VERDICTS = ("go", "unknown", "ask", "not_yet", "refer")
PHASES = ("descent", "perineal")
STAGES = ("first", "working")
UNITS = ("kpa", "mmhg", "kgf_cm2", "bar", "inhg")
# What each way of judging can compare.
MEASURES = {
    "count": (
        "descent_pulls",
        "descent_pulls_ended",
        "perineal_pulls",
        "perineal_pulls_ended",
        "pulls",
        "pulls_ended",
        "poor_pulls",
        "detachments",
        "applications",
    ),
    "time": ("cup_ms", "traction_ms"),
    "suction": ("suction",),
    "rate": ("fetal_heart_bpm",),
    "done": ("deflexing", "rim_unswept", "scalp_unchecked", "scalp_cut", "scalp_swelling", "hissing"),
    "doubt": ("clock_doubt",),
}


def check_number(where: str, row: object) -> None:
    """Check a named number; it stays within its outer bound."""
    if not isinstance(row, dict):
        refuse(where, "not an object")
    check_whole(where, "value", row.get("value"))
    if row["value"] < 0:
        refuse(where, "value is less than 0")
    if not isinstance(row.get("unit"), str):
        refuse(where, "unit missing")
    outer = row.get("outer")
    if outer is None:
        return
    check_whole(where, "outer", outer)
    if row["value"] > outer:
        refuse(where, f"{row['value']} is looser than the outer bound {outer}")


def check_limit(where: str, row: dict) -> None:
    """Check a limit; no stop is looser than its outer bound."""
    check_choice(where, "judge", row["judge"], tuple(MEASURES))
    if "phase" in row:
        check_choice(where, "phase", row["phase"], PHASES)
    if row.get("outer") is not None:
        check_whole(where, "outer", row["outer"])
    if not isinstance(row["levels"], list) or not row["levels"]:
        refuse(where, "levels missing")
    for level in row["levels"]:
        _check_level(where, row, level)
    ranks = [LEVELS.index(level["level"]) for level in row["levels"]]
    if ranks != sorted(ranks):
        refuse(where, "levels are not from mild to grave")
    if row["judge"] == "suction":
        _check_suction(where, row)
    if row["judge"] == "rate":
        check_whole(where, "low", row.get("low"))
        check_whole(where, "high", row.get("high"))


def check_question(where: str, row: dict) -> None:
    """Check a question; each answer has its verdict."""
    _check_verdicts(where, row["answers"], least=0)
    if "optional" in row:
        check_flag(where, "optional", row["optional"])
    if "bands" in row:
        _check_verdicts(where, row["bands"])
        *bands, last = row["bands"]
        for band in (*bands, *([last] if "below" in last else [])):
            check_whole(where, "below", band.get("below"))
    if row.get("form") == "plan":
        _check_verdicts(where, row.get("places"))
    elif not row.get("optional") and not row["answers"]:
        refuse(where, "answers missing")


def check_rule(where: str, row: dict) -> None:
    """Check a rule on answers that are grave only together."""
    check_choice(where, "verdict", row["verdict"], VERDICTS)
    check_whole(where, "plan_minutes_above", row.get("plan_minutes_above"))
    if not isinstance(row["any"], list) or not row["any"]:
        refuse(where, "any missing")
    for part in row["any"]:
        if not isinstance(part, dict) or not isinstance(part.get("question"), str):
            refuse(where, "question missing")
        texts_of(where, "answers", part.get("answers"))


def _check_level(where: str, row: dict, level: object) -> None:
    if not isinstance(level, dict):
        refuse(where, "level unknown")
    check_choice(where, "level", level.get("level"), LEVELS)
    if not isinstance(level.get("message"), str) or not level["message"]:
        refuse(where, "message missing")
    check_choice(where, "sound", level.get("sound"), SOUNDS)
    check_choice(where, "measure", level.get("measure"), MEASURES[row["judge"]])
    if not isinstance(level.get("at"), int) or isinstance(level["at"], bool):
        refuse(where, "bound is not a whole number")
    outer = row.get("outer")
    if level["level"] == "stop" and outer is not None and level["at"] > outer:
        refuse(where, f"stop {level['at']} is looser than the outer bound {outer}")


def _check_suction(where: str, row: dict) -> None:
    check_choice(where, "stage", row.get("stage"), STAGES)
    for edge in ("floor", "ceiling", *(("weak",) if "weak" in row else ())):
        marks = row.get(edge)
        if not isinstance(marks, dict):
            refuse(where, f"{edge} missing")
        for unit in UNITS:
            check_whole(where, f"{edge}.{unit}", marks.get(unit))
    if any(level["level"] == "stop" for level in row["levels"]):
        # A post may lower the stop, down to the caution and no further.
        if not any(level["level"] == "caution" for level in row["levels"]):
            refuse(where, "caution missing")
        check_whole(where, "ceiling_pa", row.get("ceiling_pa"))
        # The outer bound of suction is in kPa.
        if row.get("outer") is not None and row["ceiling_pa"] > row["outer"] * 1000:
            refuse(where, f"stop {row['ceiling_pa']} is looser than the outer bound {row['outer']}")


def _check_verdicts(where: str, value: object, least: int = 1) -> None:
    for row in rows_of(where, value, least):
        check_choice(where, "verdict", row.get("verdict"), VERDICTS)

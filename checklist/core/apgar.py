"""Build an Apgar score from its five parts, each 0 to 2 points.

Heart, breathing, tone, reflex, colour: Apgar 1953 (from memory).
"""

PARTS = ("heart", "breathing", "tone", "reflex", "colour")


def apgar_score(facts: dict) -> int | None:
    """Give the score of one telling, 0 to 10, or None when it cannot be told.

    The sum of the five parts; with some of them missing there is no score, whatever sum was
    told beside them. A score that was told whole counts when no part was told.
    """
    told = [facts[part] for part in PARTS if part in facts]
    if not told:
        return facts.get("score")
    return sum(told) if len(told) == len(PARTS) else None


def apgar_at(case: dict, minute: int) -> int | None:
    """Give the score told last for a minute, or None when there is none."""
    told = _last(case, minute)
    return apgar_score(told["facts"]) if told else None


def apgars_at(case: dict, minute: int) -> list[dict]:
    """Give the score told last for a minute with its moments: [{value, ms, told_ms}], empty when there is none."""
    value = apgar_at(case, minute)
    if value is None:
        return []
    told = _last(case, minute)
    return [{"value": value, "ms": told["ms"], "told_ms": told["told_ms"]}]


def _last(case: dict, minute: int) -> dict | None:
    told = [
        item
        for item in case["care"]
        if item["kind"] == "apgar_scored" and item["facts"].get("minute") == minute
    ]
    return told[-1] if told else None

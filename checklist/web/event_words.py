"""Say one event in words, as the tablet's record does.

A fact that is not what the table of kinds says, and a kind that this version does
not know, are shown as they came.
"""

from collections.abc import Callable

from checklist.core.gestation import weeks_days
from checklist.core.kinds import fact_problems, is_whole, kind_of
from checklist.language import Pack
from checklist.web.observed_words import apgar, medicine, observed

Say = Callable[[Pack, dict], str]
CORRECTIONS = ("withdrawn", "amended")


def event_text(pack: Pack, row: dict, case: dict) -> str:
    """Say what happened: "Pull 2 began"."""
    name = f"kind.{row['kind']}"
    if name not in pack:
        return pack.text("kind.unknown", kind=row["kind"])
    return pack.text(name, n=_pull_number(row, case))


def event_detail(pack: Pack, row: dict, case: dict) -> str:
    """Say the facts that belong to it: "20 kPa", or nothing."""
    if kind_of(row["kind"]) is None or fact_problems(row["kind"], row["facts"]):
        return pack.listed(f"{name}: {fact}" for name, fact in row["facts"].items())
    if row["kind"] in CORRECTIONS:
        return _correction(pack, row["facts"], case)
    say = _DETAILS.get(row["kind"])
    return say(pack, row["facts"]) if say else ""


def _correction(pack: Pack, facts: dict, case: dict) -> str:
    """Name the entry that a correction is about, and what it was changed to."""
    place = (facts["target_log"], facts["target_seq"])
    target = next((row for row in case["timeline"] if (row["log"], row["seq"]) == place), None)
    if target is None or target["kind"] in CORRECTIONS:
        return ""
    told = [event_text(pack, target, case)]
    changes = {name[4:]: fact for name, fact in facts.items() if name.startswith("set_")}
    ago = changes.pop("ago", None)
    if changes:
        changed = {**target, "facts": target["facts"] | changes}
        told.append(event_detail(pack, changed, case))
    if is_whole(ago):
        told.append(pack.text("log.earlier", n=round(ago / 60)))
    return pack.listed(told)


def _pull_number(row: dict, case: dict) -> int:
    for pull in case["pulls"]:
        if any(piece["began_ms"] == row["ms"] for piece in pull["pieces"]):
            return pull["number"]
    return max(len(case["pulls"]), 1)


def _word(pack: Pack, name: str, fact: object) -> str:
    if name in pack:
        return pack.text(name)
    if fact == "unsure":
        return pack.text("app.not_sure")
    return "" if fact is None else str(fact)


def _choice(prefix: str, fact: str) -> Say:
    return lambda pack, facts: _word(pack, f"{prefix}.{facts.get(fact)}", facts.get(fact))


def _three_ways(fact: str, yes: str = "app.yes", no: str = "app.no") -> Say:
    words = {"yes": yes, "no": no}
    return lambda pack, facts: pack.text(words.get(facts[fact], "app.not_sure"))


def _joined(*parts: Say) -> Say:
    return lambda pack, facts: pack.listed(part(pack, facts) for part in parts)


def _quantity(fact: str, unit: str) -> Say:
    return lambda pack, facts: pack.quantity(facts[fact], unit) if fact in facts else ""


def _plain(fact: str) -> Say:
    return lambda pack, facts: str(facts.get(fact, ""))


def _suction(pack: Pack, facts: dict) -> str:
    stage = _choice("stage", "stage")(pack, facts)
    if "reading" not in facts or "unit" not in facts:
        return stage
    return f"{stage}: {pack.reading(facts['unit'], facts['reading'])}"


def _heart(pack: Pack, facts: dict) -> str:
    if "bpm" in facts:
        return pack.quantity(facts["bpm"], "bpm")
    return pack.text("pull.not_heard" if facts["heard"] == "no" else "app.not_sure")


def _answer(pack: Pack, facts: dict) -> str:
    item, answer = facts["item"], facts["answer"]
    asked = _word(pack, f"before.{item}.short", item)
    if item in _CUP:
        return _CUP[item](pack, facts)
    if item.startswith("step_"):
        step = item.removeprefix("step_")
        return f"{_word(pack, f'cup.step.{step}', step)}: {_word(pack, f'cup.{answer}', answer)}"
    if answer == "value":
        return f"{asked}: {_value(pack, item, facts.get('value', ''))}"
    return f"{asked}: {_word(pack, f'before.{item}.{answer}', answer)}"


def _value(pack: Pack, item: str, value: object) -> str:
    if item == "weeks" and isinstance(value, int):
        weeks, days = weeks_days(value)
        return pack.text("before.weeks_days", w=weeks, d=days)
    return pack.quantity(value, "bpm") if item == "fetal_heart" else str(value)


# The choice of a cup is asked and answered like a question.
_CUP = {"cup_kind": _choice("cup.kind", "answer"), "cup_mm": _quantity("value", "mm")}


def _advice(pack: Pack, facts: dict) -> str:
    level = _choice("level", "level")(pack, facts)
    said = facts["message"]
    if said in pack:
        said = pack.text(said, n=facts.get("value", ""), value=facts.get("value", ""))
    return f"{level}: {said}"


_DETAILS: dict[str, Say] = {
    "case_opened": _plain("label"),
    "case_closed": _choice("why_closed", "why"),
    "note_added": _plain("text"),
    "check_answered": _answer,
    "plan_agreed": _joined(_choice("stop.next", "next"), _plain("place")),
    "decision_made": _joined(
        _choice("decision", "decision"), _choice("role", "role"), _choice("before.why", "reason")
    ),
    "help_called": _joined(_choice("help", "what"), _choice("role", "who")),
    "cup_applied": _joined(
        _choice("cup.kind", "cup"), _quantity("mm", "mm"), _choice("cup.placement", "placement")
    ),
    "suction_set": _suction,
    # The rim was swept either way: a bare no would read as not swept.
    "rim_swept": _three_ways("clear", "cup.clear", "cup.unclear"),
    "descent_judged": _three_ways("descent"),
    "scalp_checked": _choice("pull.scalp", "finding"),
    "fetal_heart_counted": _heart,
    "vacuum_stopped": _choice("why_stopped", "why"),
    "transfer_left": _plain("place"),
    "transfer_arrived": _joined(_plain("place"), _choice("role", "who")),
    "apgar_scored": apgar,
    "medicine_given": medicine,
    "baby_born": _choice("after", "sex"),
    "mother_observed": observed("mother"),
    "baby_observed": observed("baby"),
    "tear_graded": _choice("mother.tear", "grade"),
    "tier_lowered": _joined(_choice("after.tier", "tier"), _choice("role", "by")),
    "handover_given": _joined(_choice("role", "who"), _plain("place")),
    "newborn_team_told": _joined(_choice("role", "who"), _plain("place")),
    "placenta_delivered": _choice("after.placenta", "complete"),
    "blood_loss_measured": _joined(_quantity("ml", "ml"), _choice("mother.blood", "how")),
    "advice_shown": _advice,
    "advice_answered": _choice("advice_choice", "choice"),
    "remark_made": _plain("text"),
    "remark_answered": _plain("text"),
}

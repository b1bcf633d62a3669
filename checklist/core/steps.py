"""What each kind of event does to a case.

One small function a kind, gathered in ``STEPS``. A step gets the case and one row of
the timeline {kind, ms, at, facts, …}, changes the case, and gives the codes of what
is odd about it. Nothing is refused: what happened happened.
"""

from checklist.core.cup import (
    apply_cup,
    check_scalp,
    detach_cup,
    hear_hiss,
    moment_of,
    remove_cup,
    set_suction,
    sweep_rim,
    take_off,
)
from checklist.core.kinds import NAME
from checklist.core.pulls import begin_pull, close_pull, end_pull, pull_at

# What is done for mother and baby and only kept in order.
CARE_KINDS = (
    "episiotomy_done",
    "apgar_scored",
    "baby_observed",
    "mother_observed",
    "medicine_given",
    "tear_graded",
    "placenta_delivered",
    "blood_loss_measured",
    "newborn_team_told",
    "handover_given",
    "tier_lowered",
)
# What an answer about the fetal heart says; every other one says that nobody can tell.
HEARD = {"value": "yes", "not_heard": "no"}


def _opened(case: dict, row: dict) -> list[str]:
    facts = row["facts"]
    if case["opened_at"] is not None:
        return ["opened_twice"]
    case["opened_at"] = row["at"]
    case["mode"] = facts.get("mode")
    for name in ("label", "post", "altitude_m", "gauge_unit", "same_contraction_s"):
        if name in facts:
            case[name] = facts[name]
    return []


def _closed(case: dict, row: dict) -> None:
    case["closed"] = {"ms": row["ms"], "at": row["at"], "why": row["facts"].get("why")}


def _answered(case: dict, row: dict) -> list[str]:
    facts = row["facts"]
    item = facts.get("item", "")
    if not NAME.fullmatch(item):
        # No protocol asks by such a name, and the halves would order it differently.
        return ["item_unknown"]
    answer = {"answer": facts.get("answer"), "value": facts.get("value"), "ms": row["ms"]}
    case["answers"][item] = answer
    if item == "bed":
        case["label"] = facts.get("answer", "")
    if item == "fetal_heart":
        _heart(case, row["ms"], HEARD.get(answer["answer"], "unsure"), answer["value"])
    return []


def _plan(case: dict, row: dict) -> None:
    facts = row["facts"]
    case["plan"] = {
        "next": facts.get("next"),
        "place": facts.get("place", ""),
        "who": facts.get("who"),
        "minutes": facts.get("minutes"),
        "ms": row["ms"],
        "at": row["at"],
    }


def _decision(case: dict, row: dict) -> None:
    facts = row["facts"]
    case["decision"] = {
        "decision": facts.get("decision"),
        "verdict": facts.get("verdict"),
        "override": facts.get("override", False),
        "role": facts.get("role"),
        "reason": facts.get("reason", ""),
        "ms": row["ms"],
    }


def _called(case: dict, row: dict) -> None:
    facts = row["facts"]
    case["calls"].append(
        {"what": facts.get("what"), "who": facts.get("who"), "ms": row["ms"], "at": row["at"]}
    )


def _judged(case: dict, row: dict) -> list[str]:
    pull = pull_at(case, row["ms"])
    if pull is None:
        return ["judged_without_pull"]
    pull["descent"] = row["facts"].get("descent", pull["descent"])
    return []


def _perineum(case: dict, row: dict) -> None:
    case["phase"] = "perineal"
    if case["perineum"] is None or row["ms"] < case["perineum"]["ms"]:
        case["perineum"] = {"ms": row["ms"], "at": row["at"]}
    for pull in case["pulls"]:
        # Told late, it was already so when these pulls began.
        if pull["began_ms"] >= row["ms"]:
            pull["phase"] = "perineal"


def _heart_counted(case: dict, row: dict) -> None:
    facts = row["facts"]
    _heart(case, row["ms"], facts.get("heard"), facts.get("bpm"))


def _heart(case: dict, ms: int, heard: str | None, bpm: int | None) -> None:
    case["fetal_heart"].append({"ms": ms, "heard": heard, "bpm": bpm})


def _head_born(case: dict, row: dict) -> None:
    close_pull(case, row)
    case["head_born"] = {**moment_of(row), "at": row["at"]}


def _baby_born(case: dict, row: dict) -> None:
    close_pull(case, row)
    case["baby_born"] = {**moment_of(row), "at": row["at"], "sex": row["facts"].get("sex")}
    take_off(case, row)


def _stopped(case: dict, row: dict) -> None:
    close_pull(case, row)
    facts = row["facts"]
    case["stopped"] = {
        **moment_of(row),
        "at": row["at"],
        "why": facts.get("why"),
        "next": facts.get("next"),
    }


def _left(case: dict, row: dict) -> None:
    case["transfer_left"] = {"ms": row["ms"], "at": row["at"]}


def _arrived(case: dict, row: dict) -> None:
    case["transfer_arrived"] = {"ms": row["ms"], "at": row["at"]}


def _care(case: dict, row: dict) -> None:
    case["care"].append(
        {
            "kind": row["kind"],
            "ms": row["ms"],
            "told_ms": row["ms"] + row["ago"] * 1000,
            "at": row["at"],
            "facts": row["facts"],
        }
    )


def _advice_shown(case: dict, row: dict) -> None:
    facts = row["facts"]
    case["advice"].append(
        {
            "limit": facts.get("limit"),
            "level": facts.get("level"),
            "message": facts.get("message"),
            "ms": row["ms"],
            "pulls": len(case["pulls"]),
            "choice": None,
            "answered_ms": None,
        }
    )


def _advice_answered(case: dict, row: dict) -> list[str]:
    facts = row["facts"]
    shown = [item for item in case["advice"] if item["limit"] == facts.get("limit")]
    if not shown:
        return ["answer_without_advice"]
    shown[-1]["choice"] = facts.get("choice")
    shown[-1]["answered_ms"] = row["ms"]
    return []


STEPS = {
    "case_opened": _opened,
    "case_closed": _closed,
    "check_answered": _answered,
    "plan_agreed": _plan,
    "decision_made": _decision,
    "help_called": _called,
    "cup_applied": apply_cup,
    "suction_set": set_suction,
    "rim_swept": sweep_rim,
    "cup_removed": remove_cup,
    "pull_began": begin_pull,
    "pull_ended": end_pull,
    "descent_judged": _judged,
    "perineum_reached": _perineum,
    "hiss_heard": hear_hiss,
    "cup_detached": detach_cup,
    "scalp_checked": check_scalp,
    "fetal_heart_counted": _heart_counted,
    "head_born": _head_born,
    "baby_born": _baby_born,
    "vacuum_stopped": _stopped,
    "transfer_left": _left,
    "transfer_arrived": _arrived,
    "advice_shown": _advice_shown,
    "advice_answered": _advice_answered,
    **{kind: _care for kind in CARE_KINDS},
}

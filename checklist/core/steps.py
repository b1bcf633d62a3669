"""What each kind of event does to a case.

One small function a kind, gathered in ``STEPS``. A step gets the case and one row of
the timeline {kind, ms, at, facts, …}, changes the case, and gives the codes of what
is odd about it. Nothing is refused: what happened happened.
"""

from checklist.core.pulls import begin_pull, end_pull, last_pull, open_pull


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


def _answered(case: dict, row: dict) -> None:
    facts = row["facts"]
    item = facts.get("item", "")
    answer = {"answer": facts.get("answer"), "value": facts.get("value"), "ms": row["ms"]}
    case["answers"][item] = answer
    if item == "bed":
        case["label"] = facts.get("answer", "")
    if item == "fetal_heart" and answer["answer"] != "unsure":
        heard = "yes" if answer["answer"] == "value" else "no"
        _heart(case, row["ms"], heard, answer["value"])


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


def _applied(case: dict, row: dict) -> list[str]:
    facts = row["facts"]
    odd = ["applied_unchecked"] if case["scalp_unchecked"] else []
    if case["cup_on"]:
        odd.append("applied_twice")
    if case["baby_born"] is not None:
        odd.append("after_birth")
    case["applications"].append(
        {
            "cup": facts.get("cup"),
            "mm": facts.get("mm"),
            "placement": facts.get("placement"),
            "ms": row["ms"],
            "floor_ms": row["floor_ms"],
            "doubts": row["doubts"],
        }
    )
    case["cup_on"] = True
    case["suction"] = None
    case["rim_unswept"] = False
    return odd


def _suction(case: dict, row: dict) -> list[str]:
    facts = row["facts"]
    suction = {
        "stage": facts.get("stage"),
        "pa": facts.get("pa"),
        "unit": facts.get("unit"),
        "reading": facts.get("reading"),
        "ms": row["ms"],
        "floor_ms": row["floor_ms"],
        "doubts": row["doubts"],
    }
    case["suctions"].append(suction)
    released = suction["stage"] == "released"
    case["suction"] = None if released else suction
    case["rim_unswept"] = not released
    case["hissing"] = False
    return [] if case["cup_on"] or released else ["suction_without_cup"]


def _swept(case: dict, row: dict) -> list[str]:
    if case["suction"] and row["ms"] < case["suction"]["ms"]:
        return ["swept_before_suction"]
    case["rim_unswept"] = row["facts"].get("clear") != "yes"
    return []


def _removed(case: dict, row: dict) -> None:
    end_pull(case, row)
    case["cup_removed"].append({"ms": row["ms"], "why": row["facts"].get("why")})
    _cup_off(case)


def _cup_off(case: dict) -> None:
    case["cup_on"] = False
    case["suction"] = None
    case["rim_unswept"] = False
    case["hissing"] = False


def _judged(case: dict, row: dict) -> list[str]:
    pull = last_pull(case)
    if pull is None:
        return ["judged_without_pull"]
    pull["descent"] = row["facts"].get("descent")
    return []


def _perineum(case: dict, row: dict) -> None:
    case["phase"] = "perineal"


def _hiss(case: dict, row: dict) -> None:
    case["hissing"] = True
    case["rim_unswept"] = True


def _detached(case: dict, row: dict) -> list[str]:
    odd = [] if case["cup_on"] else ["detached_without_cup"]
    pull = open_pull(case)
    end_pull(case, row)
    if pull is not None:
        pull["detached"] = True
    case["detachments"].append(
        {"ms": row["ms"], "cause": row["facts"].get("cause"), "pull": len(case["pulls"])}
    )
    _cup_off(case)
    case["scalp_unchecked"] = True
    return odd


def _scalp(case: dict, row: dict) -> list[str]:
    if case["detachments"] and row["ms"] < case["detachments"][-1]["ms"]:
        return ["scalp_before_detachment"]
    finding = row["facts"].get("finding")
    case["scalp"] = {"finding": finding, "ms": row["ms"]}
    case["scalp_unchecked"] = finding == "unsure"
    return []


def _heart_counted(case: dict, row: dict) -> None:
    facts = row["facts"]
    _heart(case, row["ms"], facts.get("heard"), facts.get("bpm"))


def _heart(case: dict, ms: int, heard: str | None, bpm: int | None) -> None:
    case["fetal_heart"].append({"ms": ms, "heard": heard, "bpm": bpm})


def _head_born(case: dict, row: dict) -> None:
    end_pull(case, row)
    case["head_born"] = {"ms": row["ms"], "at": row["at"]}


def _baby_born(case: dict, row: dict) -> None:
    end_pull(case, row)
    case["baby_born"] = {"ms": row["ms"], "at": row["at"], "sex": row["facts"].get("sex")}
    _cup_off(case)


def _stopped(case: dict, row: dict) -> None:
    end_pull(case, row)
    facts = row["facts"]
    case["stopped"] = {
        "why": facts.get("why"),
        "next": facts.get("next"),
        "ms": row["ms"],
        "at": row["at"],
    }


def _left(case: dict, row: dict) -> None:
    case["transfer_left"] = {"ms": row["ms"], "at": row["at"]}


def _care(case: dict, row: dict) -> None:
    case["care"].append(
        {"kind": row["kind"], "ms": row["ms"], "at": row["at"], "facts": row["facts"]}
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
    "cup_applied": _applied,
    "suction_set": _suction,
    "rim_swept": _swept,
    "cup_removed": _removed,
    "pull_began": begin_pull,
    "pull_ended": end_pull,
    "descent_judged": _judged,
    "perineum_reached": _perineum,
    "hiss_heard": _hiss,
    "cup_detached": _detached,
    "scalp_checked": _scalp,
    "fetal_heart_counted": _heart_counted,
    "head_born": _head_born,
    "baby_born": _baby_born,
    "vacuum_stopped": _stopped,
    "transfer_left": _left,
    "advice_shown": _advice_shown,
    "advice_answered": _advice_answered,
    **{
        kind: _care
        for kind in (
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
        )
    },
}

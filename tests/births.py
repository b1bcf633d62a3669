"""Make up births by chance, as taps in the order in which they happened.

A tap is (kind, facts, seconds since the tap before). Most births go as births go:
questions, cup, pulls, an end; how they are told is the business of ``logs``.
"""

from random import Random

from checklist.core.units import UNITS, pascals
from checklist.tables import protocol_in_force
from tests.afters import ROLES, Tap, hours_after

PLACEMENTS = ("flexing_median", "flexing_median", "flexing_paramedian", "deflexing_median", "unsure")


def birth(rng: Random) -> list[Tap]:
    """Make up one birth from its opening to some end."""
    taps = _opening(rng)
    if rng.random() < 0.7:
        taps += _before(rng)
    taps += _cup(rng)
    for _ in range(rng.choice((0, 1, 2, 3, 3, 4, 5, 6, 7, 9))):
        taps += _pull(rng)
        taps += _between(rng)
    return taps + _end(rng)


def _opening(rng: Random) -> list[Tap]:
    facts: dict = {"mode": rng.choice(("real", "practice"))}
    if rng.random() < 0.7:
        facts["altitude_m"] = rng.choice((-430, 0, 1600, 2400, 4500, 6000))
    if rng.random() < 0.4:
        facts["gauge_unit"] = rng.choice(UNITS)
    if rng.random() < 0.4:
        facts["same_contraction_s"] = rng.choice((0, 10, 20, 30))
    return [("case_opened", facts, 0)]


def _before(rng: Random) -> list[Tap]:
    rows = protocol_in_force()[1]["questions"]
    whole, good = rng.random() < 0.6, rng.choice((0.5, 0.98, 1.0))
    taps = [_answer(rng, row, good) for row in rows if whole or rng.random() < 0.5]
    decision = rng.choice(("proceed", "proceed", "ask", "refer"))
    verdict = rng.choice(("go", "unknown", "ask", "not_yet", "refer"))
    facts = {"decision": decision, "verdict": verdict, "override": rng.random() < 0.2}
    return [*taps, ("decision_made", facts, rng.uniform(1, 60))]


def _answer(rng: Random, row: dict, good: float) -> Tap:
    """Answer one question, well with the given chance."""
    wait = rng.uniform(0.5, 15)
    if rng.random() < good:
        return _good_answer(row, wait)
    if row.get("form") == "plan":
        facts: dict = {"next": rng.choice([place["id"] for place in row["places"]])}
        if rng.random() < 0.7:
            facts["minutes"] = rng.choice((0, 29, 30, 31, 240))
        return ("plan_agreed", facts, wait)
    if "bands" in row and rng.random() < 0.8:
        around = 140 if row["form"] == "bpm" else 259
        value = around + rng.randint(-60, 60)
        return ("check_answered", {"item": row["id"], "answer": "value", "value": value}, wait)
    known = [answer["id"] for answer in row["answers"]] or ["bed 4"]
    answer = rng.choice([*known, "unsure", "value"])
    return ("check_answered", {"item": row["id"], "answer": answer}, wait)


def _good_answer(row: dict, wait: float) -> Tap:
    if row.get("form") == "plan":
        return ("plan_agreed", {"next": "theatre_here"}, wait)
    if "bands" in row:
        value = 140 if row["form"] == "bpm" else 280
        return ("check_answered", {"item": row["id"], "answer": "value", "value": value}, wait)
    good = [answer["id"] for answer in row["answers"] if answer["verdict"] == "go"] or ["4"]
    return ("check_answered", {"item": row["id"], "answer": good[0]}, wait)


def _cup(rng: Random) -> list[Tap]:
    facts: dict = {"cup": rng.choice(("soft", "rigid_anterior", "rigid_posterior", "unsure"))}
    if rng.random() < 0.7:
        facts |= {"mm": rng.choice((40, 50, 60)), "placement": rng.choice(PLACEMENTS)}
    taps = [("cup_applied", facts, rng.uniform(5, 300)), _suction(rng, "first"), _sweep(rng)]
    taps += [_suction(rng, "working"), _sweep(rng)]
    return [tap for tap in taps if rng.random() < 0.9]


def _suction(rng: Random, stage: str) -> Tap:
    unit = rng.choice(UNITS)
    kpa = rng.choice((13, 20, 21)) if stage == "first" else rng.choice((50, 60, 75, 80, 82, 100))
    reading = {"kpa": 1000, "mmhg": 7500, "kgf_cm2": 10, "bar": 10, "inhg": 295}[unit] * kpa
    facts: dict = {"stage": stage, "pa": pascals(unit, reading), "unit": unit, "reading": reading}
    for name in ("pa", "unit", "reading"):
        if rng.random() < 0.05:
            del facts[name]
    return ("suction_set", facts, rng.uniform(2, 40))


def _sweep(rng: Random) -> Tap:
    return ("rim_swept", {"clear": rng.choice(("yes", "yes", "yes", "no", "unsure"))}, 8)


def _pull(rng: Random) -> list[Tap]:
    taps = [("pull_began", {"source": rng.choice(("key", "foot"))}, rng.uniform(60, 200))]
    if rng.random() < 0.15:
        taps.append(("perineum_reached", {}, rng.uniform(1, 30)))
    if rng.random() < 0.1:
        taps.append(("hiss_heard", {}, rng.uniform(1, 20)))
    if rng.random() < 0.12:
        return [*taps, *_came_off(rng)]
    taps.append(("pull_ended", {}, rng.choice((5, 20, 40, 60, 90, 400))))
    if rng.random() < 0.2:
        wait = rng.choice((2, 9.999, 10, 20, 29.999, 30, 30.001))
        taps += [("pull_began", {}, wait), ("pull_ended", {}, rng.uniform(1, 40))]
    if rng.random() < 0.8:
        answer = rng.choice(("yes", "yes", "yes", "no", "unsure"))
        taps.append(("descent_judged", {"descent": answer}, rng.choice((2, 9, 15))))
    return taps


def _came_off(rng: Random) -> list[Tap]:
    cause = rng.choice(("leak", "direction", "tissue", "caput", "unsure"))
    taps: list[Tap] = [("cup_detached", {"cause": cause}, rng.uniform(1, 40))]
    if rng.random() < 0.8:
        finding = rng.choice(("whole", "whole", "bruised", "cut", "swelling", "unsure"))
        taps.append(("scalp_checked", {"finding": finding}, rng.uniform(3, 40)))
    return taps + (_cup(rng) if rng.random() < 0.8 else [])


def _between(rng: Random) -> list[Tap]:
    taps: list[Tap] = []
    if rng.random() < 0.4:
        facts = {"heard": rng.choice(("yes", "yes", "yes", "no", "unsure"))}
        bpm = {"bpm": rng.choice((100, 109, 110, 140, 160, 161))} if rng.random() < 0.9 else {}
        taps.append(("fetal_heart_counted", facts | bpm, rng.uniform(5, 60)))
    if rng.random() < 0.5:
        taps += _advice(rng)
    if rng.random() < 0.1:
        facts = {"who": rng.choice(ROLES), "what": rng.choice(("senior", "transfer", "newborn"))}
        taps.append(("help_called", facts, rng.uniform(1, 20)))
    if rng.random() < 0.05:
        taps.append(("vacuum_stopped", {"why": "choice"}, rng.uniform(1, 30)))
    if rng.random() < 0.05:
        taps.append(("cup_removed", {"why": rng.choice(("stop", "reposition"))}, 5))
    return taps


def _advice(rng: Random) -> list[Tap]:
    limit = rng.choice(protocol_in_force()[1]["limits"])
    level = rng.choice(limit["levels"])
    shown = {"limit": limit["id"], "level": level["level"], "message": level["message"]}
    taps: list[Tap] = [("advice_shown", shown, 0.2)]
    if rng.random() < 0.6:
        choice = rng.choice(("stopped", "continued", "quiet"))
        taps.append(("advice_answered", {"limit": limit["id"], "choice": choice}, 4))
    return taps


def _end(rng: Random) -> list[Tap]:
    ends: list[list[Tap]] = [
        [("head_born", {}, 20), ("baby_born", {"sex": "girl"}, 60)],
        [("head_born", {}, 20), ("cup_removed", {"why": "birth"}, 5), ("baby_born", {}, 60)],
        [("vacuum_stopped", {"why": "pulls", "next": "transfer"}, 20), ("cup_removed", {}, 20)],
        [("vacuum_stopped", {"why": "minutes"}, 20), ("transfer_left", {}, 900), ("transfer_arrived", {}, 4_000)],
        [],
    ]
    taps = rng.choice(ends)
    if rng.random() < 0.7:
        taps = [*taps, *hours_after(rng)]
    if rng.random() < 0.3:
        taps = [*taps, ("case_closed", {"why": "complete"}, 3600)]
    return taps

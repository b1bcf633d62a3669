"""What was found and done, for the third part of a hand-over: cup, mother, baby."""

from checklist.core.apgar import apgar_at
from checklist.core.bleeding import lost_ml
from checklist.core.handover_values import (
    beside, chosen, clock, counted, name_of, number, quantity, rows_of, seen, together,
    word,
)
from checklist.core.measures import end_of, has_ended, used_cup
from checklist.core.newborn import NUMBERS, SIGNS
from checklist.core.observed import hidden_blood_ml, hidden_share

APGAR_MINUTES = (1, 5, 10)
# What the examination before the start found, told while the baby is not born.
EXAMINED = ("fifths", "head_station", "position", "moulding", "contractions")
# Told on lines of their own.
APART = ("round", "antibiotic_allergy", "head", "weight", "breathing_help", "travel")
# What is looked at in a round; what nobody looked at yet is named.
LOOKED_AT = tuple(
    what
    for what in dict.fromkeys([*(sign[0] for sign in SIGNS.values()), *NUMBERS.values()])
    if what not in (*APART, "worry")
)
LAST_COUNTS = 4


def answered(case: dict, item: str) -> dict:
    """Give an answer of the time before with the short name of its question."""
    given = case["answers"].get(item)
    answer = _answer(item, given) if given else None
    return {"name": word(f"before.{item}.short", item), "answer": answer}


def _answer(item: str, given: dict) -> dict | None:
    if given["answer"] == "value" and given["value"] is not None:
        return {"days": given["value"]} if item == "weeks" else quantity(given["value"], "bpm")
    return chosen(f"before.{item}", given["answer"])


def unborn(case: dict) -> list[tuple]:
    """What is known of the head and the heart while the baby is not born."""
    if case["baby_born"]:
        return []
    found = [("answer", answered(case, item)) for item in EXAMINED]
    counts = rows_of(case, "fetal_heart_counted")[-LAST_COUNTS:]
    told = [beside(_heart(row["facts"]), clock(row["at"])) for row in counts]
    first = answered(case, "fetal_heart")["answer"]
    return [*found, ("heart", {"counts": together(told) or first})]


def _heart(facts: dict) -> dict:
    if facts.get("bpm") is not None:
        return quantity(facts["bpm"], "bpm")
    return word("pull.not_heard" if facts.get("heard") == "no" else "app.not_sure")


def cup(case: dict, measured: dict) -> list[tuple]:
    """Cup, suction, pulls, minutes, and how it ended."""
    if not used_cup(case):
        return []
    cups = rows_of(case, "cup_applied")
    found = [("cup", _applied(row)) for row in cups]
    if not cups:
        found.append(("cup_untold", {"cup": None}))
    read = [one for one in case["suctions"] if one["pa"] is not None]
    poor = sum(pull["descent"] == "no" for pull in case["pulls"])
    pulls = {"all": number(measured["pulls"]), "perineal": number(measured["perineal_pulls"])}
    spans = {name: {"length": measured[f"{name}_ms"]} for name in ("cup", "traction")}
    found += [
        ("suction", {"most": _reading(max(read, key=lambda one: one["pa"], default=None))}),
        ("pulls", pulls),
        ("without_descent", {"n": number(poor), "open": number(_untold(case))}),
        ("off", {"n": number(measured["detachments"])}),
        ("minutes", spans),
    ]
    if measured["cup_running"]:
        found.append(("cup_running", {}))
    if case["detachments"]:
        finding = case["scalp"]["finding"] if case["scalp"] else None
        found.append(("scalp", {"finding": chosen("pull.scalp", finding)}))
    return found + [("cut", {"time": clock(row["at"])}) for row in rows_of(case, "episiotomy_done")]


def _untold(case: dict) -> int:
    """Count the ended pulls of which nobody could say whether the head came down, or nobody said though it was asked."""
    unjudged = [pull for pull in case["pulls"] if has_ended(pull) and pull["descent"] not in ("yes", "no")]
    return sum(pull["descent"] is not None or end_of(case, pull) is None for pull in unjudged)


def _applied(row: dict) -> dict:
    facts = row["facts"]
    kind = chosen("cup.kind", facts.get("cup"))
    return {
        "cup": together([one for one in (kind, quantity(facts.get("mm"), "mm")) if one]),
        "placement": chosen("cup.placement", facts.get("placement")),
        "time": clock(row["at"]),
    }


def _reading(set_: dict | None) -> dict | None:
    if set_ is None:
        return None
    if set_["unit"] is None or set_["reading"] is None:
        return {"reading": set_["pa"], "unit": "kpa"}
    return {"reading": set_["reading"], "unit": set_["unit"]}


def mother(case: dict) -> list[tuple]:
    """What was seen of her last; once she has given birth, bleeding and tear as well."""
    found = []
    if case["baby_born"]:
        losses = [_loss(row) for row in rows_of(case, "blood_loss_measured")]
        whole = _last(case, "placenta_delivered", "complete")
        found = [
            ("placenta", {"whole": chosen("after.placenta", whole)}),
            ("loss", {"total": _total(case), "amounts": together(losses)}),
            ("tear", {"grade": chosen("handover.tear", _last(case, "tear_graded", "grade"))}),
        ]
    return [*found, *_last_seen(case, "mother")]


def _total(case: dict) -> dict | None:
    lost = lost_ml(case)
    return None if lost is None else quantity(lost, "ml")


def _loss(row: dict) -> dict:
    facts = row["facts"]
    how = chosen("handover.how", facts.get("how"))
    return beside(quantity(facts.get("ml"), "ml"), how, clock(row["at"]))


def _last(case: dict, kind: str, fact: str) -> str | None:
    rows = rows_of(case, kind)
    return rows[-1]["facts"].get(fact) if rows else None


def _last_seen(case: dict, lane: str) -> list[tuple]:
    """Each sign with what was found of it last, in the order in which they were first told."""
    latest: dict[str, dict] = {}
    for row in rows_of(case, f"{lane}_observed"):
        what = row["facts"].get("what")
        if what is not None and what not in APART and seen(lane, row["facts"]) is not None:
            latest[what] = row
    return [("seen", _seen(lane, what, row)) for what, row in latest.items()]


def _seen(lane: str, what: str, row: dict) -> dict:
    found = seen(lane, row["facts"])
    return {"name": name_of(lane, what), "found": found, "time": clock(row["at"])}


def baby(case: dict) -> list[tuple]:
    """Apgar, weight, head, and every sign as it was seen last; what nobody looked at is named."""
    if case["baby_born"] is None:
        return []
    observed = rows_of(case, "baby_observed")
    told = {row["facts"].get("what") for row in observed if seen("baby", row["facts"]) is not None}
    helped = [seen("baby", row["facts"]) for row in _of(observed, "breathing_help")]
    weights = _numbers(observed, "weight")
    heads = [beside(size, clock(row["at"])) for row, size in _numbers(observed, "head")]
    minutes = [quantity(minute, "min") for minute in APGAR_MINUTES]
    scores = [_score(case, minute) for minute in APGAR_MINUTES]
    found = [
        ("sex", {"sex": chosen("after", case["baby_born"]["sex"])}),
        ("apgar", {"minutes": together(minutes), "scores": together(scores)}),
        ("helped", {"how": helped[-1] if helped else None}),
        ("weight", {"weight": weights[-1][1] if weights else None}),
        ("head", {"sizes": together(heads)}),
        *_hidden(case),
        *_last_seen(case, "baby"),
    ]
    missing = [name_of("baby", what) for what in LOOKED_AT if what not in told]
    return found + ([("not_seen", {"names": together(missing)})] if missing else [])


def _of(observed: list[dict], what: str) -> list[dict]:
    return [row for row in observed if row["facts"].get("what") == what]


def _numbers(observed: list[dict], what: str) -> list[tuple[dict, dict]]:
    """Give each number told of one thing with its entry: [(entry, value)]."""
    rows = [row for row in _of(observed, what) if row["facts"].get("value") is not None]
    return [(row, counted(what, row["facts"]["value"])) for row in rows]


def _score(case: dict, minute: int) -> dict | None:
    score = apgar_at(case, minute)
    return None if score is None else number(score)


def _hidden(case: dict) -> list[tuple]:
    blood, share = hidden_blood_ml(case), hidden_share(case)
    if not blood:
        return []
    told = None if share is None else quantity(share, "%")
    return [("hidden", {"blood": quantity(blood, "ml"), "share": told})]

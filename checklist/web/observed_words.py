"""Say what was seen of mother and baby after the birth, as the tablet does.

Units and decimals of the numbers are those of the tablet's questions; a test holds the
two tables together.
"""

from collections.abc import Callable

from checklist.core.apgar import apgar_score
from checklist.language import Pack

# What is told as a number: its unit, and how many decimals the whole number holds.
UNITS: dict[str, dict[str, tuple[str, int]]] = {
    "baby": {
        "heart": ("bpm", 0), "breaths": ("bpm", 0), "refill": ("s", 0), "temperature": ("c", 1),
        "head": ("mm", 0), "glucose": ("mmol", 1), "weight": ("g", 0),
    },
    "mother": {
        "pulse": ("bpm", 0), "systolic": ("mmhg", 0), "diastolic": ("mmhg", 0),
        "temperature": ("c", 1), "swabs_before": ("count", 0), "needles_before": ("count", 0),
        "swabs_after": ("count", 0), "needles_after": ("count", 0), "void": ("ml", 0),
    },
}
# A sentence of the words says where these stand: °C behind its number also where a language puts other units first.
_OWN = ("c", "g", "mmol")
MOST_POINTS = 10


def observed(lane: str) -> Callable[[Pack, dict], str]:
    """Give what says an entry about the mother or the baby whole: "Heart rate: 142 /min"."""

    def say(pack: Pack, facts: dict) -> str:
        name = f"{lane}.name.{facts['what']}"
        found = _found(pack, lane, facts)
        return ": ".join(filter(None, (pack.text(name) if name in pack else str(facts["what"]), found)))

    return say


def apgar(pack: Pack, facts: dict) -> str:
    """Say a score with its minute, built from its parts where those were told."""
    score = apgar_score(facts)
    told = pack.text("after.apgar_unsure") if score is None else pack.text("after.apgar_score", n=score, all=MOST_POINTS)
    return f"{pack.quantity(facts['minute'], 'min')}: {told}"


def medicine(pack: Pack, facts: dict) -> str:
    """Say a medicine with its dose in thousandths of the unit, its way and the allergy told."""
    parts = [_word(pack, f"after.{facts.get('medicine')}", facts.get("medicine"))]
    if isinstance(facts.get("dose"), int) and f"after.amount.{facts.get('unit')}" in pack:
        number = f"{facts['dose'] / 1000:g}".replace(".", pack.decimal)
        parts.append(pack.whole(f"after.amount.{facts['unit']}", n=number))
    parts += [_word(pack, f"after.route.{facts['route']}", facts["route"])] if "route" in facts else []
    parts += [_word(pack, f"after.allergy.{facts['allergy']}", facts["allergy"])] if "allergy" in facts else []
    return pack.listed(parts)


def _found(pack: Pack, lane: str, facts: dict) -> str:
    what = facts["what"]
    if "value" in facts:
        return _number(pack, UNITS[lane].get(what), facts["value"])
    answer = facts.get("answer")
    if answer is None:
        return ""
    if answer == "unsure":
        return pack.text("after.not_measured" if what in UNITS[lane] else "app.not_sure")
    name = f"after.allergy.{answer}" if what == "antibiotic_allergy" else f"{lane}.{what}.{answer}"
    plain = {"yes": "app.yes", "no": "app.no"}.get(answer)
    return pack.text(plain) if plain and name not in pack else _word(pack, name, answer)


def _number(pack: Pack, row: tuple[str, int] | None, value: object) -> str:
    if row is None or not isinstance(value, int):
        return str(value)
    unit, decimals = row
    number = f"{value / 10**decimals:.{decimals}f}".replace(".", pack.decimal)
    if unit == "count":
        return number
    return pack.whole(f"after.amount.{unit}", n=number) if unit in _OWN else pack.quantity(number, unit)


def _word(pack: Pack, name: str, fact: object) -> str:
    return pack.text(name) if name in pack else str(fact or "")

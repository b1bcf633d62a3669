"""Hold the units of a translation against those of its English."""

from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from checklist.translation.quantities import TIMES, UNITS, in_usual_signs, pairs, strays, unit_id, units


class Difference(NamedTuple):
    """How the units of a text differ from those of its English.

    is_sure: no reading of the text makes it right; rows: the rows of the table that may be wrong instead.
    """

    is_sure: bool
    detail: str
    rows: tuple[str, ...] = ()


def units_differ(src: str, dst: str, own: Mapping[str, str], order: str) -> Difference | None:
    """Tell how the units of a translation differ; own: the signs that its language writes in its own way, by the usual ones."""
    # A time that is said in a word is bent as the sentence asks, and cannot be counted.
    kept = [unit for unit in UNITS if unit not in TIMES or unit not in own]
    own = {unit: sign for unit, sign in own.items() if unit in kept}
    stray, dst = strays(dst, own), in_usual_signs(dst, own)
    wanted, given = units(src, kept), units(dst, kept)
    told = {unit for unit in wanted | given if wanted[unit] != given[unit]}
    if not told and not stray:
        # The same signs at the wrong numbers are as wrong as another sign.
        wanted, other = pairs(src, kept, "nu"), pairs(dst, kept, "nu" if order == "un" else "un")
        given = pairs(dst, kept, order)
        return None if wanted in (given, other) else Difference(True, differ(_shown(wanted, own), _shown(given, own)))
    missing = wanted - given
    # A sign that is missing with no other in its place may be said in a word, or by its usual sign, and the table has to name that then.
    rows = () if given - wanted or stray - missing else tuple(f"unit.{unit_id(unit)}" for unit in wanted if unit in told)
    return Difference(bool(stray) or not told <= set(TIMES), differ(_shown(wanted, own), _shown(given, own) + stray), rows)


def differ(wanted: Counter, given: Counter) -> str:
    """Write what is missing and what is extra."""
    gone, new = (", ".join(map(str, many.elements())) for many in (wanted - given, given - wanted))
    return "; ".join(told for told in (f"missing {gone}" if gone else "", f"extra {new}" if new else "") if told)


def _shown(many: Counter, own: Mapping[str, str]) -> Counter:
    """Name units, or numbers with their units, by the signs of the language."""
    return Counter({_named(thing if isinstance(thing, tuple) else (thing,), own): count for thing, count in many.items()})


def _named(parts: tuple[str, ...], own: Mapping[str, str]) -> str:
    return " ".join(own.get(part, part) for part in parts)

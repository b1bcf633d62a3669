"""Hold the units of a translation against those of its English."""

import re
from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from checklist.translation.quantities import SIGNS, TIMES, beside, in_usual_signs, pairs, strays, unit_id, units

# An English that says a time in a word may stand for the sign of a translation.
_IN_WORDS = {"min": r"\bminutes?\b", "s": r"\bseconds?\b", "h": r"\bhours?\b"}


class Difference(NamedTuple):
    """How the units of a text differ from those of its English.

    is_sure: no reading of the text makes it right; rows: the rows of the table that may be wrong instead.
    """

    is_sure: bool
    detail: str
    rows: tuple[str, ...] = ()


def units_differ(src: str, dst: str, own: Mapping[str, str], order: str) -> Difference | None:
    """Tell how the units of a translation differ; own: the signs that its language writes in its own way, by the usual ones."""
    stray, dst = strays(dst, own), in_usual_signs(dst, own)
    wanted, given = units(src), units(dst)
    for time in (each for each in TIMES if each in own):
        given[time], stray[time] = _time(time, src, wanted[time], given[time], stray[time])
    told = {unit for unit in wanted | given if wanted[unit] != given[unit]}
    stray = +stray
    # An own sign may be a word too, as the Russian one for cm is "see".
    words = {unit for unit in told if unit in own and not wanted[unit] and not stray[unit] and not beside(dst, unit)}
    is_sure = not {*told, *stray} <= {*TIMES, *words}
    if not is_sure:
        # The same signs at the wrong numbers are as wrong as another sign.
        same, turned = [unit for unit in SIGNS if unit not in told], "nu" if order == "un" else "un"
        at, other, shown = pairs(src, same), pairs(dst, same, turned), pairs(dst, same, order)
        if at not in (shown, other):
            return Difference(True, differ(_shown(at, own), _shown(shown, own)))
    if not told and not stray:
        return None
    # A sign that is missing with no other in its place may be said in a word, or by its usual sign, and the table has to name that then.
    is_alone = not (given - wanted or stray - (wanted - given))
    rows = tuple(f"unit.{unit_id(unit)}" for unit in wanted if unit in told) if is_alone else ()
    return Difference(is_sure, differ(_shown(wanted, own), _shown(given, own) + stray), rows)


def differ(wanted: Counter, given: Counter) -> str:
    """Write what is missing and what is extra."""
    gone, new = (", ".join(map(str, many.elements())) for many in (wanted - given, given - wanted))
    return "; ".join(told for told in (f"missing {gone}" if gone else "", f"extra {new}" if new else "") if told)


def _time(time: str, src: str, wanted: int, given: int, stray: int) -> tuple[int, int]:
    """Give how often a time is to count by its own sign and by its usual one.

    What is said in a word is bent as the sentence asks, so that one is missing tells nothing; one too many may be another time.
    """
    extra = 0 if re.search(_IN_WORDS[time], src, re.IGNORECASE) else max(given + stray - wanted, 0)
    by_usual = min(stray, extra)
    return wanted + extra - by_usual, by_usual


def _shown(many: Counter, own: Mapping[str, str]) -> Counter:
    """Name units, or numbers with their units, by the signs of the language."""
    return Counter({_named(thing if isinstance(thing, tuple) else (thing,), own): count for thing, count in many.items()})


def _named(parts: tuple[str, ...], own: Mapping[str, str]) -> str:
    return " ".join(own.get(part, part) for part in parts)

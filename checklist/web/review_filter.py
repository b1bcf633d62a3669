"""Read which births a page of the review is about: post, protocol, and which months."""

from dataclasses import dataclass
from datetime import UTC, datetime

from flask import request

from checklist.errors import ChecklistError
from checklist.review import Scope
from checklist.web.parts import parts

SPANS = (3, 6, 12, 24, 36)
USUAL_SPAN = 12
LONGEST = 60
YEARS = range(2020, 2100)
MONTHS_A_YEAR = 12


@dataclass(frozen=True)
class Chosen:
    """What was chosen, as the form shows it and as the questions need it."""

    scope: Scope
    months: int
    until: int

    @property
    def earlier(self) -> Scope:
        """Give the months just before, as many."""
        last = shifted(self.scope.first_month, -1)
        first = shifted(last, 1 - self.months)
        return Scope(first, last, self.scope.post, self.scope.protocol)

    @property
    def everywhere(self) -> Scope:
        """Give the same months at all posts."""
        return Scope(self.scope.first_month, self.scope.last_month, None, self.scope.protocol)

    def args(self, **other: object) -> dict:
        """Give the arguments of a link that keeps what was chosen; what is usual is left out."""
        usual = {"months": USUAL_SPAN, "until": month_now()}
        named = {"months": self.months, "until": self.until}
        told = {name: value for name, value in named.items() if value != usual[name]}
        if "until" in told:
            told["until"] = month_text(self.until)
        kept = {"post": self.scope.post, "protocol": self.scope.protocol, **told, **other}
        return {name: value for name, value in kept.items() if value is not None}


def chosen() -> Chosen:
    """Read the filter of the request; raises filter_wrong."""
    span = _number("months", USUAL_SPAN)
    until = _month(request.args.get("until", ""))
    if span not in SPANS:
        raise ChecklistError("filter_wrong", months=span)
    post, protocol = (_text(name) for name in ("post", "protocol"))
    return Chosen(Scope(shifted(until, 1 - span), until, post, protocol), span, until)


def place() -> tuple[int, str] | None:
    """Read where the page before ended: (wall ms, case); raises filter_wrong."""
    at = request.args.get("at")
    return None if at is None else (_number("at", 0), _text("case") or "")


def number(name: str, usual: int) -> int:
    """Read a whole number that is not below 0; raises filter_wrong."""
    told = _number(name, usual)
    if told < 0:
        raise ChecklistError("filter_wrong", **{name: told})
    return told


def shifted(month: int, by: int) -> int:
    """Give the month so many later: 202612 and 1 give 202701."""
    count = month // 100 * MONTHS_A_YEAR + month % 100 - 1 + by
    return count // MONTHS_A_YEAR * 100 + count % MONTHS_A_YEAR + 1


def month_now() -> int:
    """Give the month of this machine's clock, in UTC as the rows have it."""
    now = datetime.fromtimestamp(parts().now() / 1000, UTC)
    return now.year * 100 + now.month


def month_text(month: int) -> str:
    """Write a month as every language reads it: 2026-11."""
    return f"{month // 100:04d}-{month % 100:02d}"


def _month(told: str) -> int:
    if not told:
        return month_now()
    year, dash, month = told.partition("-")
    is_number = len(told) == 7 and dash and year.isascii() and month.isascii()
    if is_number and year.isdigit() and month.isdigit():
        if int(year) in YEARS and 1 <= int(month) <= MONTHS_A_YEAR:
            return int(year) * 100 + int(month)
    raise ChecklistError("filter_wrong", until=told[:LONGEST])


def _number(name: str, usual: int) -> int:
    told = request.args.get(name)
    if told is None:
        return usual
    digits = told.removeprefix("-")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 16):
        raise ChecklistError("filter_wrong", **{name: told[:LONGEST]})
    return int(told)


def _text(name: str) -> str | None:
    """An empty choice in the form means all; a post without a name cannot be chosen alone."""
    told = request.args.get(name, "")
    if len(told) > LONGEST:
        raise ChecklistError("filter_wrong", **{name: told[:LONGEST]})
    return told or None

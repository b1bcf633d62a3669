"""Count how far on a pregnancy is, by the calendar.

Both halves count days by the same few lines of arithmetic, so that neither
depends on what its language accepts as a date or on a time zone.
"""

import re

from checklist.errors import ChecklistError

# 40 weeks from the last menstrual period to the due date, by convention.
DUE_DAYS = 280
# Below 34+0 every source but one advises against vacuum; from 34+0 to 36+6 a
# senior decides; 37+0 is term. Sources, read: CRICO OB Guideline 18 (34 weeks)
# and WHO Managing Complications in Pregnancy and Childbirth, 1st ed. (term).
# The RCOG's 2020 guideline draws its line at 32+0 (from memory).
PRETERM_DAYS = 34 * 7
TERM_DAYS = 37 * 7

_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def gestation_days(lmp_iso: str, on_iso: str) -> int:
    """Count the days from the last menstrual period to a day, both "2025-12-05".

    Negative when the day comes first. Raises date_malformed.
    """
    return _day(on_iso) - _day(lmp_iso)


def gestation_from_due(due_iso: str, on_iso: str) -> int:
    """Count the days of pregnancy on a day from the due date, both "2025-12-05".

    Raises date_malformed.
    """
    return DUE_DAYS - (_day(due_iso) - _day(on_iso))


def weeks_days(days: int) -> list[int]:
    """Split days of pregnancy into full weeks and days: 258 is [36, 6]."""
    return list(divmod(days, 7))


def band(days: int) -> str:
    """Place days of pregnancy: "below_34", "34_to_36" (to 36+6) or "term"."""
    if days < PRETERM_DAYS:
        return "below_34"
    return "34_to_36" if days < TERM_DAYS else "term"


def _day(iso: str) -> int:
    """Number a day of the Gregorian calendar, one more each day."""
    found = _DATE.fullmatch(iso)
    if not found:
        raise ChecklistError("date_malformed")
    year, month, day = (int(part) for part in found.groups())
    if year < 1 or not 1 <= month <= 12 or not 1 <= day <= _month_days(year, month):
        raise ChecklistError("date_malformed")
    before = year - 1
    leap_days = before // 4 - before // 100 + before // 400
    months = sum(_month_days(year, earlier) for earlier in range(1, month))
    return before * 365 + leap_days + months + day


def _month_days(year: int, month: int) -> int:
    is_leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 29 if month == 2 and is_leap else _MONTH_DAYS[month - 1]

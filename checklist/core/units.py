"""Turn what a gauge shows into pascals of suction, and back.

A reading is a whole number of thousandths of its unit: 600 mmHg is 600000 and
0.8 kgf/cm2 is 800. Suction is how far the pressure is below the air outside.
"""

from checklist.errors import ChecklistError

# What a thousandth of each unit is, in units of 1e-12 Pa.
# The constants are exact (NIST Special Publication 811, appendix B): standard
# gravity is 9.80665 m/s2 and mercury weighs 13.5951 g/cm3 by convention.
_PASCAL = 10**12
_THOUSANDTH = {
    "kpa": 1 * _PASCAL,
    "mmhg": 133_322_387_415,
    "kgf_cm2": 98_066_500_000_000,
    "bar": 100 * _PASCAL,
    "inhg": 3_386_388_640_341,
}
_DECIMALS = {"kpa": 0, "mmhg": 0, "kgf_cm2": 2, "bar": 2, "inhg": 1}

UNITS = tuple(_THOUSANDTH)


def pascals(unit: str, reading: int) -> int:
    """Turn a reading (thousandths of the unit) into whole Pa, halves upwards.

    Raises event_malformed for a unit that is none of UNITS.
    """
    return _divide(_size(reading) * _thousandth(unit), _PASCAL)


def reading_from_pascals(unit: str, pa: int) -> int:
    """Turn Pa into a reading in thousandths of the unit, halves upwards.

    Raises event_malformed for a unit that is none of UNITS.
    """
    return _divide(_size(pa) * _PASCAL, _thousandth(unit))


def shown_decimals(unit: str) -> int:
    """Tell how many decimals a gauge in this unit is read to.

    Raises event_malformed for a unit that is none of UNITS.
    """
    _thousandth(unit)
    return _DECIMALS[unit]


def format_reading(unit: str, reading: int) -> str:
    """Write a reading with the unit's decimals and a point: "600", "0.80".

    Digits only; the unit's name and the decimal sign belong to the language.
    Raises event_malformed for a unit that is none of UNITS.
    """
    decimals = shown_decimals(unit)
    rounded = _divide(_size(reading) * 10**decimals, 1000)
    digits = str(rounded).zfill(decimals + 1)
    return f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits


def _thousandth(unit: str) -> int:
    if unit not in _THOUSANDTH:
        raise ChecklistError("event_malformed", why="unit")
    return _THOUSANDTH[unit]


def _size(value: int) -> int:
    # Some gauges print suction with a minus sign; it is the same suction.
    return abs(value)


def _divide(value: int, by: int) -> int:
    return (2 * value + by) // (2 * by)

"""Hold the gauge units against the published constants and two unit libraries."""

from fractions import Fraction

import pint
import pytest
import scipy.constants

# NIST Special Publication 811 (2008), appendix B.8, as printed, in Pa; read as
# quoted in public notes. Bold there, and so exact: kgf/cm2 and bar.
NIST_SP_811 = {
    "kpa": Fraction(1000),
    "mmhg": Fraction("133.3224"),
    "kgf_cm2": Fraction(98066.5),
    "bar": Fraction(100000),
    "inhg": Fraction("3386.389"),
}
PINT = {"kpa": "kPa", "mmhg": "mmHg", "kgf_cm2": "kgf/cm**2", "bar": "bar", "inhg": "inHg"}
# Readings in thousandths, up to a little over what any pump can draw.
READINGS = {
    "kpa": range(0, 105001, 500),
    "mmhg": range(0, 780001, 1000),
    "kgf_cm2": range(0, 1051, 10),
    "bar": range(0, 1051, 10),
    "inhg": range(0, 31001, 100),
}


def in_pascals(half, unit, readings):
    return half.each("core/units", "pascals", [[unit, reading] for reading in readings])


@pytest.mark.parametrize("unit", NIST_SP_811)
def test_every_unit_agrees_with_the_factor_printed_by_nist(half, unit):
    readings = READINGS[unit]

    found = in_pascals(half, unit, readings)

    # The printed factor has seven digits, which is good to 0.03 Pa here.
    for reading, pa in zip(readings, found):
        assert abs(pa - NIST_SP_811[unit] * reading / 1000) <= Fraction(53, 100)


@pytest.mark.parametrize("unit", PINT)
def test_every_unit_agrees_with_pint(half, unit):
    registry = pint.UnitRegistry()
    readings = READINGS[unit]

    found = in_pascals(half, unit, readings)

    factor = registry.Quantity(1, PINT[unit]).to("Pa").magnitude
    for reading, pa in zip(readings, found):
        assert abs(pa - factor * reading / 1000) <= 0.5 + 1e-6


def test_the_kilogram_force_and_the_bar_agree_with_scipy(half):
    per_square_cm = scipy.constants.kgf / scipy.constants.centi**2

    assert in_pascals(half, "kgf_cm2", [1_000_000]) == [round(per_square_cm * 1000)]
    assert in_pascals(half, "bar", [1000]) == [round(scipy.constants.bar)]


def test_an_inch_of_mercury_is_25_4_millimetres_of_it(half):
    inches = half.call("core/units", "pascals", ["inhg", 1_000_000])

    millimetres = half.call("core/units", "pascals", ["mmhg", 25_400_000])

    assert inches == millimetres
    assert scipy.constants.inch == 0.0254


def test_the_millimetre_is_the_conventional_one_and_not_the_torr(half):
    # scipy's mmHg is the torr (101325/760 Pa); 13.5951 g/cm3 times standard
    # gravity is the conventional one. A million millimetres tell them apart.
    conventional = Fraction("13595.1") * Fraction("9.80665")

    found = half.call("core/units", "pascals", ["mmhg", 1_000_000_000])

    assert found == round(conventional * 1000)
    assert found != round(scipy.constants.mmHg * 1_000_000)


# Worked conversions: kPa with three decimals, from the constants above.
WORKED = [
    ("kgf_cm2", 200, 19613),
    ("kgf_cm2", 400, 39227),
    ("kgf_cm2", 600, 58840),
    ("kgf_cm2", 700, 68647),
    ("kgf_cm2", 800, 78453),
    ("mmhg", 100000, 13332),
    ("mmhg", 400000, 53329),
    ("mmhg", 450000, 59995),
    ("mmhg", 500000, 66661),
    ("mmhg", 600000, 79993),
    ("inhg", 20000, 67728),
    ("inhg", 24000, 81273),
]


@pytest.mark.parametrize(("unit", "reading", "pa"), WORKED)
def test_the_worked_table_of_conversions_holds(half, unit, reading, pa):
    assert half.call("core/units", "pascals", [unit, reading]) == pa


# The three traditional maximums are three numbers, and all stay under 80 kPa.
@pytest.mark.parametrize(
    ("unit", "reading", "stays_under"),
    [
        ("kpa", 80000, True),
        ("kpa", 81000, False),
        ("mmhg", 600000, True),
        ("mmhg", 601000, False),
        ("kgf_cm2", 800, True),
        ("kgf_cm2", 810, True),
        ("kgf_cm2", 820, False),
        ("inhg", 23600, True),
        ("inhg", 24000, False),
    ],
)
def test_readings_stand_on_the_right_side_of_80_kpa(half, unit, reading, stays_under):
    pa = half.call("core/units", "pascals", [unit, reading])

    assert (pa <= 80000) is stays_under

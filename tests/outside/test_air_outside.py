"""Hold the air pressure against the standard atmosphere, three times over.

ISO 2533 and the U.S. Standard Atmosphere, 1976 are the same up to 32 km but for
the last digits of a constant.
"""

import pytest
from ambiance import Atmosphere
from fluids.atmosphere import ATMOSPHERE_1976

EVERY_METRE = range(-430, 6001)

# U.S. Standard Atmosphere, 1976: geometric feet and hPa, two decimals; read as
# quoted in a public note.
PUBLISHED_1976 = [(5000, 843.11), (8000, 752.71), (10000, 696.95), (15000, 572.07)]
METRES_IN_A_FOOT = 0.3048

# Geopotential metres and kPa, worked from the constants of ISO 2533 (sea level
# 1013.25 hPa and 288.15 K, falling 6.5 K for each km).
WORKED = [
    (0, 101.325),
    (500, 95.461),
    (1000, 89.875),
    (1500, 84.556),
    (2000, 79.495),
    (2500, 74.683),
    (3000, 70.109),
    (3500, 65.764),
    (4000, 61.640),
    (4500, 57.728),
    (5000, 54.020),
]
EARTH_M = 6356766

# Highest place, in m, where a need in Pa can still be met: with a perfect pump,
# and with one that takes away nine tenths. Worked figures, rounded to 10 m.
HIGHEST = [
    (80000, 1000, 1950),
    (80000, 900, 1090),
    (78453, 1000, 2105),
    (70000, 1000, 3010),
    (60000, 1000, 4205),
    (60000, 900, 3390),
    (53329, 1000, 5100),
]


@pytest.fixture(scope="module")
def air(half):
    pressures = half.each("core/air", "air_pascals", [[metre] for metre in EVERY_METRE])
    return dict(zip(EVERY_METRE, pressures))


def between_metres(air, metres):
    """Read the pressure between two whole metres as on a straight line."""
    below = int(metres // 1)
    part = metres - below
    return air[below] * (1 - part) + air[below + 1] * part


@pytest.mark.parametrize(("feet", "hectopascals"), PUBLISHED_1976)
def test_the_published_figures_of_1976_are_met(air, feet, hectopascals):
    found = between_metres(air, feet * METRES_IN_A_FOOT)

    # Half a pascal from our rounding and half from theirs.
    assert found == pytest.approx(hectopascals * 100, abs=1.0)


def test_every_metre_agrees_with_the_ambiance_library(air):
    pressures = Atmosphere(list(EVERY_METRE)).pressure

    for metre, pressure in zip(EVERY_METRE, pressures):
        # Below the sea it starts from a table row rounded to 1 Pa at -5 km.
        slack = 1e-6 if metre >= 0 else 0.03
        assert abs(air[metre] - pressure) <= 0.5 + slack


def test_every_metre_agrees_with_the_fluids_library(air):
    for metre in EVERY_METRE:
        # Its gas constant differs in the seventh digit: 0.03 Pa at most here.
        assert abs(air[metre] - ATMOSPHERE_1976(metre).P) <= 0.53


@pytest.mark.parametrize(("geopotential", "kilopascals"), WORKED)
def test_the_worked_table_by_geopotential_height_holds(air, geopotential, kilopascals):
    geometric = EARTH_M * geopotential / (EARTH_M - geopotential)

    assert between_metres(air, geometric) == pytest.approx(kilopascals * 1000, abs=1.0)


@pytest.mark.parametrize(("need", "reach", "metres"), HIGHEST)
def test_a_level_of_suction_is_out_of_reach_above_the_worked_height(half, need, reach, metres):
    rows = [[metre, reach] for metre in EVERY_METRE]

    reached = half.each("core/air", "reachable_pascals", rows)

    highest = max(metre for metre, pa in zip(EVERY_METRE, reached) if pa >= need)
    assert highest == pytest.approx(metres, abs=6)

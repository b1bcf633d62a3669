"""Hold the theoretical cup force against physics and published figures."""

import pint
import pytest

KGF = 9.80665

# Suction times area, worked with the exact kgf: diameter in mm, then newtons at
# 60 and 80 kPa and kgf at 0.6 and 0.8 kgf/cm2 and at 70 kPa.
WORKED = [
    (40, 75.4, 100.5, 7.54, 10.05, 8.97),
    (50, 117.8, 157.1, 11.78, 15.71, 14.02),
    (60, 169.6, 226.2, 16.96, 22.62, 20.18),
    (65, 199.1, 265.5, 19.91, 26.55, 23.69),
    (70, 230.9, 307.9, 23.09, 30.79, 27.47),
]


def newtons(half, mm, pa):
    return half.call("core/force", "cup_newtons_tenths", [mm, pa]) / 10


@pytest.mark.parametrize(("mm", "at_60", "at_80", "at_06", "at_08", "at_70"), WORKED)
def test_the_worked_table_of_forces_holds(half, mm, at_60, at_80, at_06, at_08, at_70):
    assert newtons(half, mm, 60000) == pytest.approx(at_60, abs=0.05)
    assert newtons(half, mm, 80000) == pytest.approx(at_80, abs=0.05)
    assert newtons(half, mm, 58840) / KGF == pytest.approx(at_06, abs=0.01)
    assert newtons(half, mm, 78453) / KGF == pytest.approx(at_08, abs=0.01)
    assert newtons(half, mm, 70000) / KGF == pytest.approx(at_70, abs=0.01)


# Tables in handbooks of vacuum birth, from memory: cups at 0.8 kgf/cm2.
@pytest.mark.parametrize(("mm", "kgf"), [(50, 15.7), (60, 22.6)])
def test_the_handbook_figures_are_met(half, mm, kgf):
    assert newtons(half, mm, 78453) / KGF == pytest.approx(kgf, abs=0.05)


def test_every_cup_agrees_with_pint(half):
    registry = pint.UnitRegistry()
    rows = [[mm, pa] for mm in range(30, 81, 5) for pa in range(0, 100001, 4000)]

    found = half.each("core/force", "cup_newtons_tenths", rows)

    for (mm, pa), tenths in zip(rows, found):
        area = registry.Quantity(1, "pi") * registry.Quantity(mm / 2, "mm") ** 2
        force = (area * registry.Quantity(pa, "Pa")).to("newton").magnitude
        assert abs(tenths - force * 10) <= 0.5 + 1e-6


# Pettersson 2015, 200 term births in Sweden (abstract read): the highest forces
# that were measured, in newtons.
HIGHEST_MEASURED = 452


@pytest.mark.parametrize("mm", [40, 50, 60, 65, 70])
def test_theory_lies_far_below_what_was_measured_so_it_is_no_fuse(half, mm):
    at_the_ceiling = newtons(half, mm, 80000)

    assert at_the_ceiling < 0.7 * HIGHEST_MEASURED

"""Give the theoretical force at which suction alone would hold a cup.

A figure for teaching, and no safety fuse: peaks measured at real births (up to
452 N, Pettersson 2015) lie far above suction times area. Nothing may tell a
midwife that the cup will let go before harm is done.
"""

import math


def cup_newtons_tenths(mm: int, pa: int) -> int:
    """Give suction x area in tenths of a newton, halves upwards.

    mm is the outer diameter of the cup, pa the suction in Pa below the air.
    Theory only: the cup may hold far beyond this and is no safety fuse.
    """
    return math.floor(math.pi * (mm * mm * pa) / 400000 + 0.5)

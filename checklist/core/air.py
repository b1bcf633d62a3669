"""Tell how much air presses at a height, and so how deep suction can go.

A gauge can never show more suction than the air pressure outside the cup, and a
hand pump reaches only a part of that. No clinical guideline was found that
speaks of altitude; this is physics.
"""

import math

from checklist.errors import ChecklistError

LOWEST_M = -430
HIGHEST_M = 6000

# ISO 2533 standard atmosphere, the lowest layer, from mean sea level upwards.
_SEA_LEVEL_PA = 101325
_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_GRAVITY = 9.80665
_GAS_CONSTANT = 287.05287
_EARTH_M = 6356766


def air_pascals(altitude_m: int) -> int:
    """Give the standard air pressure in Pa at a height above sea level in m.

    The height is the geometric one, as a map shows it. Weather moves the true
    pressure by a few per cent. Source: ISO 2533. Raises event_malformed outside
    LOWEST_M to HIGHEST_M.
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise ChecklistError("event_malformed", why="altitude_m")
    geopotential = _EARTH_M * altitude_m / (_EARTH_M + altitude_m)
    warmth = (_SEA_LEVEL_K - _LAPSE_K_PER_M * geopotential) / _SEA_LEVEL_K
    exponent = _GRAVITY / (_GAS_CONSTANT * _LAPSE_K_PER_M)
    return math.floor(_SEA_LEVEL_PA * math.pow(warmth, exponent) + 0.5)


def reachable_pascals(altitude_m: int, reach_permille: int) -> int:
    """Give the deepest suction in Pa that a pump reaches at a height in m.

    reach_permille is the part of the air pressure that the pump can take away:
    900 for a hand pump in good order (common practice, no source). Raises
    event_malformed as air_pascals does.
    """
    return (2 * air_pascals(altitude_m) * reach_permille + 1000) // 2000

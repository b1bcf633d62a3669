/**
 * Tell how much air presses at a height, and so how deep suction can go.
 *
 * A gauge can never show more suction than the air pressure outside the cup, and a
 * hand pump reaches only a part of that. No clinical guideline was found that
 * speaks of altitude; this is physics.
 */

import { ChecklistError } from "../errors.js";

export const LOWEST_M = -430;
export const HIGHEST_M = 6000;

// ISO 2533 standard atmosphere, the lowest layer, from mean sea level upwards.
const SEA_LEVEL_PA = 101325;
const SEA_LEVEL_K = 288.15;
const LAPSE_K_PER_M = 0.0065;
const GRAVITY = 9.80665;
const GAS_CONSTANT = 287.05287;
const EARTH_M = 6356766;

/**
 * Give the standard air pressure in Pa at a height above sea level in m.
 *
 * The height is the geometric one, as a map shows it. Weather moves the true
 * pressure by a few per cent. Source: ISO 2533. Throws event_malformed outside
 * LOWEST_M to HIGHEST_M.
 */
export function airPascals(altitudeM) {
  if (!(LOWEST_M <= altitudeM && altitudeM <= HIGHEST_M)) {
    throw new ChecklistError("event_malformed", { why: "altitude_m" });
  }
  const geopotential = (EARTH_M * altitudeM) / (EARTH_M + altitudeM);
  const warmth = (SEA_LEVEL_K - LAPSE_K_PER_M * geopotential) / SEA_LEVEL_K;
  const exponent = GRAVITY / (GAS_CONSTANT * LAPSE_K_PER_M);
  return Math.floor(SEA_LEVEL_PA * Math.pow(warmth, exponent) + 0.5);
}

/**
 * Give the deepest suction in Pa that a pump reaches at a height in m.
 *
 * reachPermille is the part of the air pressure that the pump can take away:
 * 900 for a hand pump in good order (common practice, no source). Throws
 * event_malformed as airPascals does.
 */
export function reachablePascals(altitudeM, reachPermille) {
  return Math.floor((2 * airPascals(altitudeM) * reachPermille + 1000) / 2000);
}

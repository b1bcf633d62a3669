/**
 * Turn what a gauge shows into pascals of suction, and back.
 *
 * A reading is a whole number of thousandths of its unit: 600 mmHg is 600000 and
 * 0.8 kgf/cm2 is 800. Suction is how far the pressure is below the air outside.
 */

import { ChecklistError } from "../errors.js";

// What a thousandth of each unit is, in units of 1e-12 Pa.
// The constants are exact (NIST Special Publication 811, appendix B): standard
// gravity is 9.80665 m/s2 and mercury weighs 13.5951 g/cm3 by convention.
const PASCAL = 10n ** 12n;
const THOUSANDTH = new Map([
  ["kpa", 1n * PASCAL],
  ["mmhg", 133_322_387_415n],
  ["kgf_cm2", 98_066_500_000_000n],
  ["bar", 100n * PASCAL],
  ["inhg", 3_386_388_640_341n],
]);
const DECIMALS = { kpa: 0, mmhg: 0, kgf_cm2: 2, bar: 2, inhg: 1 };

export const UNITS = Object.freeze([...THOUSANDTH.keys()]);

/**
 * Turn a reading (thousandths of the unit) into whole Pa, halves upwards.
 *
 * Throws event_malformed for a unit that is none of UNITS.
 */
export function pascals(unit, reading) {
  return divide(size(reading) * thousandth(unit), PASCAL);
}

/**
 * Turn Pa into a reading in thousandths of the unit, halves upwards.
 *
 * Throws event_malformed for a unit that is none of UNITS.
 */
export function readingFromPascals(unit, pa) {
  return divide(size(pa) * PASCAL, thousandth(unit));
}

/**
 * Tell how many decimals a gauge in this unit is read to.
 *
 * Throws event_malformed for a unit that is none of UNITS.
 */
export function shownDecimals(unit) {
  thousandth(unit);
  return DECIMALS[unit];
}

/**
 * Write a reading with the unit's decimals and a point: "600", "0.80".
 *
 * Digits only; the unit's name and the decimal sign belong to the language.
 * Throws event_malformed for a unit that is none of UNITS.
 */
export function formatReading(unit, reading) {
  const decimals = shownDecimals(unit);
  const rounded = divide(size(reading) * 10n ** BigInt(decimals), 1000n);
  const digits = String(rounded).padStart(decimals + 1, "0");
  return decimals ? `${digits.slice(0, -decimals)}.${digits.slice(-decimals)}` : digits;
}

function thousandth(unit) {
  if (!THOUSANDTH.has(unit)) throw new ChecklistError("event_malformed", { why: "unit" });
  return THOUSANDTH.get(unit);
}

// Exact for every reading: the products are larger than a plain number keeps.
function size(value) {
  // Some gauges print suction with a minus sign; it is the same suction.
  return BigInt(Math.abs(value));
}

function divide(value, by) {
  return Number((2n * value + by) / (2n * by));
}

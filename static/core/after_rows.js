/**
 * Check the rows of a protocol that serve the hours after the birth.
 *
 * How closely a baby is watched, when both are looked at, and what is done once: a row that
 * would never be met, or would never end, must not come into use.
 */

import { NUMBERS, SIGNS } from "./newborn.js";
import { checkChoice, checkWhole, isObject, refuse } from "./refusals.js";
import { CARE_KINDS } from "./steps.js";

const LANES = ["mother", "baby"];
// Whom a row of care is meant for when it is not meant for all.
const ONLY = ["cup"];
const BOUNDS = ["above", "at_least", "below"];
export const MEASURES = ["cup_ms", "pulls", "detachments", "stopped", "apgar_5", "deflexed", "hard_first",
  "turned", "mid", "slow", "gestation_days", "big_baby", "without_vitamin_k",
  ...Object.keys(SIGNS), ...Object.keys(NUMBERS), "head_growth_mm"];

/** Check a reason to watch a baby more closely; its bounds leave something harmless. */
export function checkNewborn(where, row) {
  checkWhole(where, "tier", row.tier);
  if (![2, 3].includes(row.tier)) refuse(where, "tier unknown");
  checkChoice(where, "measure", row.measure, MEASURES);
  const told = BOUNDS.filter((name) => Object.hasOwn(row, name));
  if (!told.length) refuse(where, "bound missing");
  for (const name of told) checkWhole(where, name, row[name]);
  if (!told.includes("below")) return;
  const most = [["above", 0], ["at_least", 1]].filter(([name]) => told.includes(name)).map(([name, less]) => row[name] - less);
  if (most.some((bound) => bound < row.below)) refuse(where, "the bounds leave nothing between them");
}

/** Check the times at which mother and baby are looked at, in minutes since birth. */
export function checkRounds(rounds) {
  if (!isObject(rounds)) refuse("rounds", "missing");
  for (const name of ["grace_min", "early_min"]) checkLeast("rounds", name, rounds[name], 0);
  for (const name of ["baby", "flagged"]) if (!isObject(rounds[name])) refuse(`rounds.${name}`, "missing");
  for (const tier of ["1", "2"]) checkMinutes("rounds.baby", `tier ${tier}`, rounds.baby[tier]);
  // Rounds no minute apart would never come to an end.
  for (const [name, least] of [["first_every", 1], ["first_for", 0], ["then_every", 1]]) {
    checkLeast("rounds.flagged", name, rounds.flagged[name], least);
  }
  checkMinutes("rounds.mother", "minutes", rounds.mother);
}

/** Check what is done once for mother or baby. */
export function checkCare(where, row) {
  checkChoice(where, "lane", row.lane, LANES);
  checkChoice(where, "kind", row.kind, CARE_KINDS);
  checkFacts(where, "facts", row.facts);
  if (Object.hasOwn(row, "unless")) checkFacts(where, "unless", row.unless);
  if (Object.hasOwn(row, "only")) checkChoice(where, "only", row.only, ONLY);
  checkLeast(where, "due_min", row.due_min, 0);
  checkWhole(where, "late_min", row.late_min);
  if (row.late_min <= row.due_min) refuse(where, "late before it is due");
}

function checkLeast(where, column, value, least) {
  checkWhole(where, column, value);
  if (value < least) refuse(where, `${column} is less than ${least}`);
}

function checkMinutes(where, column, value) {
  if (!Array.isArray(value) || !value.length) refuse(where, `${column} missing`);
  let before = -1;
  for (const minute of value) {
    checkWhole(where, column, minute);
    if (minute <= before) refuse(where, `${column} not in rising order`);
    before = minute;
  }
}

function checkFacts(where, column, value) {
  if (!isObject(value)) refuse(where, `${column} missing`);
  for (const [name, wanted] of Object.entries(value)) {
    const choices = Array.isArray(wanted) && wanted.length ? wanted : [wanted];
    if (!choices.every(isPlain)) refuse(where, `${column}.${name} is neither a text nor a whole number`);
  }
}

function isPlain(value) {
  return typeof value === "string" || Number.isInteger(value);
}

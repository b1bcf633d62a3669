/** Refuse what a protocol must not be, by where and why. */

import { ChecklistError } from "../errors.js";

/** Throw protocol_malformed. */
export function refuse(where, why) {
  throw new ChecklistError("protocol_malformed", { where, why });
}

/** Tell whether a value is a JSON object. */
export function isObject(value) {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}

/** Give a list of objects that have an id; throws protocol_malformed. */
export function rowsOf(where, value, least = 1) {
  if (!Array.isArray(value) || value.length < least) refuse(where, "missing");
  for (const row of value) {
    if (!isObject(row)) refuse(where, "not an object");
    if (typeof row.id !== "string" || !row.id) refuse(where, "id missing");
  }
  return value;
}

/** Give a list of texts that is not empty; throws protocol_malformed. */
export function textsOf(where, column, value) {
  if (!Array.isArray(value) || !value.length || !value.every((one) => typeof one === "string")) {
    refuse(where, `${column} missing`);
  }
  return value;
}

/** Refuse what is not a whole number. */
export function checkWhole(where, column, value) {
  if (!Number.isInteger(value)) refuse(where, `${column} is not a whole number`);
}

/** Refuse what is not true or false: the halves would weigh an empty list each in its own way. */
export function checkFlag(where, column, value) {
  if (typeof value !== "boolean") refuse(where, `${column} is not true or false`);
}

/** Refuse what is none of the choices. */
export function checkChoice(where, column, value, choices) {
  if (!choices.includes(value)) refuse(where, `${column} unknown`);
}

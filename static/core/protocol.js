/**
 * Read a released protocol and refuse a broken one.
 *
 * A protocol is a table of data: numbers, limits, questions and steps as rows, each with
 * unit, source and how the source is known. A released one is never edited.
 */

import { checkCare, checkNewborn, checkRounds } from "./after_rows.js";
import { checkKit } from "./kit.js";
import { checkLimit, checkNumber, checkQuestion, checkRule } from "./protocol_rows.js";
import { isObject, refuse, rowsOf, textsOf } from "./refusals.js";

const TEXTS = ["id", "released", "title", "sign_off"];
const TABLES = ["sources", "numbers"];
const LISTS = {
  limits: ["judge", "unit", "levels", "clears"],
  questions: ["section", "answers"],
  together: ["any", "verdict"],
  steps: ["form"],
  cups: ["mm"],
  medicines: ["to", "dose", "unit", "route"],
  kit: ["form", "weekly", "before_use"],
  newborn: ["tier", "measure"],
  care: ["lane", "kind", "facts", "due_min", "late_min"],
};
// The numbers that the program asks for by name.
const NUMBERS = ["same_contraction_s", "settle_s", "reach_permille", "undo_s", "kit_days", "blood_signs_ml",
  "blood_act_ml", "pulse_high_bpm", "systolic_low_mmhg", "diastolic_low_mmhg"];
const CHECKS = {
  limits: checkLimit, questions: checkQuestion, together: checkRule, newborn: checkNewborn, care: checkCare, kit: checkKit,
};

/** Read a protocol from its JSON; throws protocol_malformed with where and why. */
export function readProtocol(text) {
  let table;
  try {
    table = JSON.parse(text);
  } catch {
    refuse("file", "not JSON");
  }
  if (!isObject(table)) refuse("file", "not an object");
  for (const name of TEXTS) if (typeof table[name] !== "string" || !table[name]) refuse(name, "missing");
  for (const name of TABLES) if (!isObject(table[name]) || !Object.keys(table[name]).length) refuse(name, "missing");
  for (const name of NUMBERS) if (!Object.hasOwn(table.numbers, name)) refuse(`numbers.${name}`, "missing");
  for (const [name, row] of Object.entries(table.numbers)) {
    checkNumber(`numbers.${name}`, row);
    checkSources(`numbers.${name}`, row, table.sources);
  }
  for (const [name, columns] of Object.entries(LISTS)) checkRows(table, name, columns);
  checkRounds(table.rounds);
  for (const [name, row] of sourcedRounds(table.rounds)) checkSources(`rounds.${name}`, row, table.sources);
  return table;
}

/** Give the row of a limit by its id, or null. */
export function limitRow(protocol, limit) {
  return protocol.limits.find((row) => row.id === limit) ?? null;
}

function checkRows(table, name, columns) {
  const seen = new Set();
  for (const row of rowsOf(name, table[name])) {
    const where = `${name}.${row.id}`;
    for (const column of columns) if (!Object.hasOwn(row, column)) refuse(where, `${column} missing`);
    checkSources(where, row, table.sources);
    if (seen.has(row.id)) refuse(where, "told twice");
    seen.add(row.id);
    if (Object.hasOwn(CHECKS, name)) CHECKS[name](where, row);
  }
}

function sourcedRounds({ baby, flagged, mother_source: source, mother_known: known }) {
  return [["baby", baby], ["flagged", flagged], ["mother", { source, known }]];
}

function checkSources(where, row, sources) {
  for (const source of textsOf(where, "source", row.source)) {
    if (!Object.hasOwn(sources, source)) refuse(where, `source ${source} unknown`);
  }
  if (typeof row.known !== "string" || !row.known) refuse(where, "known missing");
}

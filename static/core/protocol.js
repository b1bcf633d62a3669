/**
 * Read a released protocol and refuse a broken one.
 *
 * A protocol is a table of data: numbers, limits, questions and steps as rows, each with
 * unit, source and how the source is known. A released one is never edited.
 */

import { ChecklistError } from "../errors.js";

const LISTS = {
  limits: ["id", "judge", "unit", "levels", "clears", "source", "known"],
  questions: ["id", "section", "answers", "source", "known"],
  together: ["id", "any", "verdict", "source", "known"],
  steps: ["id", "form", "source", "known"],
  cups: ["id", "mm", "source", "known"],
  medicines: ["id", "to", "dose", "unit", "route", "source", "known"],
};
const LEVELS = ["unknown", "caution", "stop"];

/** Read a protocol from its JSON; throws protocol_malformed with where and why. */
export function readProtocol(text) {
  let table;
  try {
    table = JSON.parse(text);
  } catch {
    refuse("file", "not JSON");
  }
  if (!isObject(table)) refuse("file", "not an object");
  for (const name of ["id", "released", "title", "sign_off", "sources", "numbers"]) {
    if (!table[name]) refuse(name, "missing");
  }
  for (const [name, columns] of Object.entries(LISTS)) checkRows(table, name, columns);
  for (const row of table.limits) checkLimit(row);
  return table;
}

/** Give the row of a limit by its id, or null. */
export function limitRow(protocol, limit) {
  return protocol.limits.find((row) => row.id === limit) ?? null;
}

function isObject(value) {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}

function checkRows(table, name, columns) {
  const rows = table[name];
  if (!Array.isArray(rows) || !rows.length) refuse(name, "missing");
  const seen = new Set();
  for (const row of rows) {
    const where = isObject(row) ? `${name}.${row.id}` : name;
    if (!isObject(row)) refuse(where, "not an object");
    for (const column of columns) if (!Object.hasOwn(row, column)) refuse(where, `${column} missing`);
    for (const source of row.source) {
      if (!Object.hasOwn(table.sources, source)) refuse(where, `source ${source} unknown`);
    }
    if (seen.has(row.id)) refuse(where, "told twice");
    seen.add(row.id);
  }
}

function checkLimit(row) {
  const where = `limits.${row.id}`;
  for (const level of row.levels) {
    if (!LEVELS.includes(level.level) || !level.message) refuse(where, "level unknown");
    if (!Number.isInteger(level.at)) refuse(where, "bound is not a whole number");
    const outer = row.outer ?? null;
    if (level.level === "stop" && outer !== null && level.at > outer) {
      refuse(where, `stop ${level.at} is looser than the outer bound ${outer}`);
    }
  }
}

function refuse(where, why) {
  throw new ChecklistError("protocol_malformed", { where, why });
}

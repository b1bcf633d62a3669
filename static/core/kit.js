/**
 * Tell whether the kit is whole, from what was last said of each of its things.
 *
 * Rows of one group stand for each other: one whole cup is enough. Knows no clock, and
 * never takes a thing that nobody looked at for whole.
 */

import { problems } from "./event.js";
import { checkChoice, checkFlag, checkWhole, refuse } from "./refusals.js";

const FORMS = ["yes_no", "drop"];
// Of a group the best thing counts.
const RANK = ["ok", "unsure", "missing", "open"];
const STATES = { yes: "ok", unsure: "unsure", no: "missing" };

/**
 * Fold kit_checked events, in the order they were told, under the protocol's rows.
 *
 * Gives {things: [{id, state, at}], complete, missing, unsure, open, checked_at}: state
 * "ok", "unsure", "missing" or "open"; at in wall ms, that of the oldest thing for
 * checked_at, null where nothing was told.
 */
export function kitState(rows, events) {
  const told = lastTold(events);
  const things = new Map();
  for (const row of rows) {
    const id = row.group ?? row.id;
    const thing = { id, ...judged(row, told.get(row.id)) };
    if (!things.has(id) || RANK.indexOf(thing.state) < RANK.indexOf(things.get(id).state)) things.set(id, thing);
  }
  const found = [...things.values()];
  const named = (state) => found.filter((thing) => thing.state === state).map((thing) => thing.id);
  const times = found.map((thing) => thing.at).filter((at) => at !== null);
  return {
    things: found,
    complete: found.every((thing) => thing.state === "ok"),
    missing: named("missing"), unsure: named("unsure"), open: named("open"),
    checked_at: times.length ? Math.min(...times) : null,
  };
}

/** Check a row of the kit; a thing that is read twice says when it fell too far. */
export function checkKit(where, row) {
  checkChoice(where, "form", row.form, FORMS);
  for (const column of ["weekly", "before_use"]) checkFlag(where, column, row[column]);
  if (Object.hasOwn(row, "group") && (typeof row.group !== "string" || !row.group)) refuse(where, "group missing");
  if (row.form !== "drop") return;
  for (const column of ["seconds", "most"]) checkWhole(where, column, row[column]);
  if (typeof row.unit !== "string") refuse(where, "unit missing");
}

function lastTold(events) {
  const told = new Map();
  for (const event of events) {
    if (event.kind === "kit_checked" && !problems(event).length) told.set(event.facts.item, event);
  }
  return told;
}

function judged(row, event) {
  if (event === undefined) return { state: "open", at: null };
  const { facts } = event;
  const fell = row.form === "drop" && (facts.value ?? 0) > row.most;
  return { state: fell ? "missing" : STATES[facts.answer], at: event.at - event.ago * 1000 };
}

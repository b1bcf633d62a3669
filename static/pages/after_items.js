/**
 * What is to be done for the two after a birth: what is late, due, for later, or done.
 *
 * Times come from the protocol's rows alone. Knows no page.
 */

import { concerns, due, matches } from "../core/schedule.js";
import { ALSO, APART } from "../ui/after_steps.js";

/**
 * List what is open and what is done, each lane's next thing first.
 *
 * Gives rows {id, lane, form, state, told, due_at, late_at}: state "late", "due", "later",
 * "also" (open, without a time) or "done"; `told` the row of the timeline that did it, or
 * null; the times are wall times in ms, null where there is none.
 */
export function careItems(theCase, protocol, now) {
  const open = due(theCase, protocol, now).map((item) => ({
    ...item, form: formOf(item.id), told: null, due_at: wall(theCase, item.due_ms), late_at: wall(theCase, item.late_ms),
  }));
  const isOpen = new Set(open.map(({ id }) => id));
  const done = protocol.care.filter((row) => !isOpen.has(row.id) && concerns(row, theCase))
    .map((row) => item(row.id, row.lane, "done", standing(theCase).findLast((one) => matches(row, one)) ?? null));
  const also = Object.entries(ALSO).map(([id, { lane, steps }]) => {
    const told = toldOf(theCase, lane, steps.at(-1));
    return item(id, lane, told ? "done" : "also", told);
  });
  return [...open, ...also.filter(({ state }) => state === "also"), ...done, ...also.filter(({ state }) => state === "done")];
}

/** Give a thing that is asked from elsewhere than the lanes, or null. */
export function apart(id) {
  return Object.hasOwn(APART, id) ? item(id, APART[id].lane, "also", null) : null;
}

function item(id, lane, state, told) {
  return { id, lane, form: formOf(id), state, told, due_at: null, late_at: null };
}

const FORMS = {
  apgar_1: "apgar", apgar_5: "apgar", apgar_10: "apgar", team: "told", vitamin_k: "medicine", oxytocin: "medicine",
  antibiotic: "antibiotic", placenta: "placenta", blood_loss: "blood", tear: "tear", void: "void", baby_round: "round", mother_round: "round",
};

function formOf(id) {
  return FORMS[id] ?? "steps";
}

function wall(theCase, ms) {
  return theCase.baby_born.at + ms - theCase.baby_born.ms;
}

/** Give the entries that stand, in order of time. */
export function standing(theCase) {
  return theCase.timeline.filter((row) => !row.void);
}

/** Give the last entry about one thing that was observed of mother or baby, or null. */
export function toldOf(theCase, lane, what) {
  return standing(theCase).findLast((row) => row.kind === `${lane}_observed` && row.facts.what === what) ?? null;
}

/** Give every entry about one thing that was observed of mother or baby. */
export function allOf(theCase, lane, what) {
  return standing(theCase).filter((row) => row.kind === `${lane}_observed` && row.facts.what === what);
}

/** Give what was last told of an allergy to the antibiotic: "none", "yes", "unsure" or null. */
export function allergyTold(theCase) {
  return toldOf(theCase, "mother", "antibiotic_allergy")?.facts.answer ?? null;
}


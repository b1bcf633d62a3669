/**
 * What is to be done for the two after a birth: what is done, due, late or for later.
 *
 * Everything follows from the events and the minutes since birth. Knows no page.
 */

const MINUTE_MS = 60000;

// Minutes since birth: `from` when it is due, `late` when it is overdue; null where no
// source gives a time. Apgar at 1 and 5 min from memory, at 10 min and a minute's grace
// common practice, no source. Oxytocin within 1 min: Canadian guideline (read). Antibiotic within
// 6 h, where a cup was used: WHO 2021 (read in summary). Vitamin K after the first hour: WHO (read). Placenta
// overdue at 30 min: common practice, no source.
const CARE = [
  { id: "apgar-1", lane: "baby", form: "apgar", minute: 1, from: 1, late: 2 },
  { id: "apgar-5", lane: "baby", form: "apgar", minute: 5, from: 5, late: 6 },
  { id: "apgar-10", lane: "baby", form: "apgar", minute: 10, from: 10, late: 11 },
  { id: "told", lane: "baby", form: "told", from: 0, late: null },
  { id: "vitamin_k", lane: "baby", form: "medicine", from: 60, late: null },
  { id: "oxytocin", lane: "mother", form: "medicine", from: 0, late: 1 },
  { id: "placenta", lane: "mother", form: "placenta", from: 0, late: 30 },
  { id: "antibiotic", lane: "mother", form: "antibiotic", from: 0, late: 360 },
];

const DOES = {
  apgar: ({ kind, facts }, { minute }) => kind === "apgar_scored" && facts.minute === minute,
  told: ({ kind }) => kind === "newborn_team_told",
  medicine: ({ kind, facts }, { id }) => kind === "medicine_given" && facts.medicine === id,
  placenta: ({ kind }) => kind === "placenta_delivered",
  antibiotic: ({ kind, facts }) => kind === "medicine_given" && ["antibiotic", "other_antibiotic"].includes(facts.medicine),
};

/**
 * List what is to be done, in its lanes.
 *
 * Gives rows {id, lane, form, from, late, state, told, due_at, late_at}: state "done",
 * "late", "due" or "later"; `told` the row of the timeline that did it, or null; the times
 * are wall times in ms.
 */
export function careItems(theCase, nowMs) {
  const since = nowMs - theCase.baby_born.ms;
  // The antibiotic is for births with an instrument.
  return CARE.filter((item) => item.form !== "antibiotic" || usedCup(theCase)).map((item) => {
    const told = standing(theCase).findLast((row) => DOES[item.form](row, item)) ?? null;
    return { ...item, told, state: told ? "done" : stateOf(item, since), due_at: at(theCase, item.from), late_at: at(theCase, item.late) };
  });
}

/** Give the entries that stand, in order of time. */
export function standing(theCase) {
  return theCase.timeline.filter((row) => !row.void);
}

/** Give what was last told of an allergy to the antibiotic: "none", "yes", "unsure" or null. */
export function allergyTold(theCase) {
  const told = standing(theCase).findLast((row) => row.kind === "mother_observed" && row.facts.what === "antibiotic_allergy");
  return told?.facts.answer ?? null;
}

/** Tell whether a cup was ever used in this case. */
export function usedCup(theCase) {
  return theCase.applications.length > 0 || theCase.pulls.length > 0;
}

function stateOf({ from, late }, since) {
  if (late !== null && since >= late * MINUTE_MS) return "late";
  return since >= from * MINUTE_MS ? "due" : "later";
}

function at(theCase, minutes) {
  return minutes === null ? null : theCase.baby_born.at + minutes * MINUTE_MS;
}

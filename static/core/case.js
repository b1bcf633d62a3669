/**
 * Fold the events of one woman's birth into the case they tell.
 *
 * Nothing computed is ever stored: every screen, advice and review folds the events
 * again. Times in a case are whole milliseconds on the clock of `moments`, which
 * starts at the case's first event.
 */

import { anomaly, corrected } from "./corrections.js";
import { kindOf } from "./kinds.js";
import { moments } from "./moments.js";
import { STEPS } from "./steps.js";

// Common practice, no source; the protocol carries the same figure with its bound.
export const SAME_CONTRACTION_S = 30;

/**
 * Fold events of one case, in any order and told any number of times.
 *
 * Gives the case as plain values: who and where, answers, plan, decision, applications,
 * suction, pulls, detachments, outcome, care, advice, anomalies, clock and timeline.
 */
export function fold(events) {
  return foldEntries(...corrected(events));
}

/** Fold what corrections gives, where a caller needs the entries as well. */
export function foldEntries(entries, anomalies) {
  const [placed, restarts] = moments(entries.map((entry) => entry.event), causes(entries));
  const rows = rowsOf(entries, placed);
  const theCase = blank(entries);
  theCase.anomalies = [...anomalies];
  // In the order of the log, so that a further event can only add to a count.
  for (const row of rows) apply(theCase, row);
  theCase.restarts = restarts;
  theCase.clock = clock(entries, placed);
  // Stable, so what happened in the same moment keeps the order of the log.
  theCase.timeline = [...rows].sort((a, b) => a.ms - b.ms);
  return theCase;
}

function apply(theCase, row) {
  if (row.estimated && !row.void) theCase.estimated += 1;
  if (kindOf(row.kind) === null) theCase.anomalies.push(anomaly("kind_unknown", row));
  if (!Object.hasOwn(STEPS, row.kind) || row.void) return;
  for (const code of STEPS[row.kind](theCase, row) ?? []) theCase.anomalies.push(anomaly(code, row));
}

function causes(entries) {
  return entries.map((entry) => (
    entry.event.kind === "clock_jumped" && !entry.void ? entry.facts.cause ?? null : null));
}

function rowsOf(entries, placed) {
  return entries.map((entry, index) => {
    const { event, ago } = entry;
    return {
      log: event.log,
      seq: event.seq,
      kind: event.kind,
      ms: placed[index].ms - ago * 1000,
      floor_ms: placed[index].floor_ms - ago * 1000,
      doubts: placed[index].doubts,
      at: event.at - ago * 1000,
      ago,
      estimated: ago > 0,
      void: entry.void,
      amended: entry.amended,
      facts: entry.facts,
    };
  });
}

function clock(entries, placed) {
  if (!entries.length) return null;
  const { at, boot, tick } = entries.at(-1).event;
  return { at, boot, tick, ...placed.at(-1) };
}

function protocolOf(entries) {
  const opening = entries.find((entry) => entry.event.kind === "case_opened");
  return opening ? opening.event.protocol : "";
}

function blank(entries) {
  return {
    case: entries.length ? entries[0].event.case : "",
    mode: null,
    label: "",
    post: "",
    altitude_m: null,
    gauge_unit: "kpa",
    same_contraction_s: SAME_CONTRACTION_S,
    protocol: protocolOf(entries),
    opened_at: null,
    // No prototype, so that no answer can be taken for something else.
    answers: Object.create(null),
    plan: null,
    decision: null,
    calls: [],
    applications: [],
    cup_on: false,
    suction: null,
    suctions: [],
    rim_unswept: false,
    hissing: false,
    pulls: [],
    phase: "descent",
    perineum: null,
    detachments: [],
    scalp: null,
    scalp_unchecked: false,
    scalp_cut: false,
    fetal_heart: [],
    stopped: null,
    cup_removed: [],
    head_born: null,
    baby_born: null,
    transfer_left: null,
    transfer_arrived: null,
    care: [],
    advice: [],
    closed: null,
    estimated: 0,
  };
}

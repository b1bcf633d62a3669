/**
 * Measure a case at a moment: counts, minutes, suction.
 *
 * Whole numbers only: counts, milliseconds, pascals, 0 or 1 for no or yes, and null where
 * it cannot be told. Knows no clock: the caller brings the moment as a stamp
 * {at, boot, tick}.
 */

import { airPascals } from "./air.js";
import { apart } from "./moments.js";
import { openPull } from "./pulls.js";

// Common practice, no source. A pull counts as ended once its descent is judged, the
// next one begins, or this time has passed, so that traction taken up again in the same
// contraction is not met with a stop. The protocol carries the same figure.
export const SETTLE_MS = 10_000;

/** Place a stamp {at, boot, tick} on the case's clock: {ms, floor_ms, doubts}. */
export function nowInCase(theCase, now) {
  const last = theCase.clock;
  if (last === null) return { ms: 0, floor_ms: 0, doubts: 0 };
  const [gap, floor, doubt] = apart(last, now, null);
  return { ms: last.ms + gap, floor_ms: last.floor_ms + floor, doubts: last.doubts + (doubt ? 1 : 0) };
}

/** Measure a folded case at a stamp: {name: whole number or text or null}. */
export function measures(theCase, now) {
  const place = nowInCase(theCase, now);
  const { pulls } = theCase;
  const descent = pulls.filter((pull) => pull.phase === "descent");
  const perineal = pulls.filter((pull) => pull.phase === "perineal");
  const going = openPull(theCase);
  return {
    now_ms: place.ms,
    phase: theCase.phase,
    pulls: pulls.length,
    descent_pulls: descent.length,
    perineal_pulls: perineal.length,
    pulls_ended: settled(theCase, pulls, place.ms),
    descent_pulls_ended: settled(theCase, descent, place.ms),
    perineal_pulls_ended: settled(theCase, perineal, place.ms),
    poor_pulls: poor(pulls),
    unjudged_pulls: unjudged(pulls),
    detachments: theCase.detachments.length,
    applications: theCase.applications.length,
    pull_open: going ? 1 : 0,
    pull_ms: going ? place.ms - going.pieces.at(-1).began_ms : null,
    traction_ms: traction(pulls, place.ms),
    ...cupTime(theCase, place),
    ...suction(theCase),
    rim_unswept: theCase.rim_unswept ? 1 : 0,
    scalp_unchecked: theCase.scalp_unchecked ? 1 : 0,
    scalp_cut: theCase.scalp?.finding === "cut" ? 1 : 0,
    hissing: theCase.hissing ? 1 : 0,
    ...fetalHeart(theCase),
  };
}

/** Count the pulls that are over for good. */
function settled(theCase, pulls, nowMs) {
  return pulls.filter((pull) => pull.ended_ms !== null && (pull.descent !== null || pull.detached
    || pull.number < theCase.pulls.length || nowMs - pull.ended_ms >= SETTLE_MS)).length;
}

/** Count ended pulls judged "no" since the last one judged "yes". */
function poor(pulls) {
  let count = 0;
  for (const pull of pulls) {
    if (pull.ended_ms === null) continue;
    if (pull.descent === "yes") count = 0;
    else if (pull.descent === "no") count += 1;
  }
  return count;
}

/** Count ended pulls of which nobody could say whether the head came down. */
function unjudged(pulls) {
  return pulls.filter((pull) => pull.ended_ms !== null && !["yes", "no"].includes(pull.descent)).length;
}

function traction(pulls, nowMs) {
  return pulls.flatMap((pull) => pull.pieces)
    .reduce((sum, piece) => sum + (piece.ended_ms ?? nowMs) - piece.began_ms, 0);
}

/**
 * Time since the cup first went on; it runs through detachments.
 *
 * Without a told application the first suction or pull starts it, and it is estimated.
 */
function cupTime(theCase, place) {
  const begun = starts(theCase);
  if (!begun.length) {
    return { cup_ms: 0, cup_floor_ms: 0, cup_running: 0, cup_estimated: 0, clock_doubt: 0 };
  }
  const first = begun.reduce((least, start) => (start.ms < least.ms ? start : least));
  const told = theCase.applications.map((start) => start.ms);
  const endMs = cupEnd(theCase, begun);
  const until = endMs ?? place.ms;
  const floor = endMs === null ? place.floor_ms - first.floor_ms : until - first.ms;
  return {
    cup_ms: Math.max(until - first.ms, 0),
    cup_floor_ms: Math.max(floor, 0),
    cup_running: endMs === null ? 1 : 0,
    cup_estimated: told.includes(first.ms) ? 0 : 1,
    clock_doubt: place.doubts > first.doubts ? 1 : 0,
  };
}

function starts(theCase) {
  const pulls = theCase.pulls.map((pull) => (
    { ms: pull.began_ms, floor_ms: pull.began_floor_ms, doubts: pull.began_doubts }));
  const setOn = theCase.suctions.filter((set) => set.stage !== "released");
  return [...theCase.applications, ...setOn, ...pulls];
}

/** When the cup came off for good: after birth or stop, with nothing after it. */
function cupEnd(theCase, begun) {
  const born = theCase.baby_born ? [theCase.baby_born.ms] : [];
  const over = [theCase.head_born, theCase.stopped].filter(Boolean).map((end) => end.ms);
  const off = theCase.cup_removed.map((removed) => removed.ms)
    .filter((ms) => over.length && ms >= Math.min(...over));
  const lastStart = Math.max(...begun.map((start) => start.ms));
  const ends = [...born, ...off].filter((ms) => ms >= lastStart);
  return ends.length ? Math.min(...ends) : null;
}

function suction(theCase) {
  const { suction: set, altitude_m: altitude } = theCase;
  return {
    suction_stage: set?.stage ?? null,
    suction_unit: set?.unit ?? null,
    suction_reading: set?.reading ?? null,
    suction_pa: set?.pa ?? null,
    air_pa: altitude === null ? null : airPascals(altitude),
  };
}

function fetalHeart(theCase) {
  const last = [...theCase.fetal_heart].sort((a, b) => a.ms - b.ms).at(-1) ?? null;
  return {
    fetal_heart: last?.heard ?? null,
    fetal_heart_bpm: last?.bpm ?? null,
    fetal_heart_ms: last?.ms ?? null,
  };
}

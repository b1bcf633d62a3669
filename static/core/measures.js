/**
 * Measure a case at a moment: counts, minutes, suction.
 *
 * Whole numbers only: counts, milliseconds, pascals, 0 or 1 for no or yes, and null where
 * it cannot be told. Knows no clock: the caller brings the moment as a stamp
 * {at, boot, tick}.
 */

import { airPascals } from "./air.js";
import { lastApplication } from "./cup.js";
import { apart } from "./moments.js";
import { openPull } from "./pulls.js";

// Common practice, no source. A pull counts as ended once its descent is judged, the
// next one begins, or this time has passed, so that traction taken up again in the same
// contraction is not met with a stop. The protocol carries the same figure.
export const SETTLE_MS = 10_000;

/** Tell whether a cup was ever on in this case. */
export function usedCup(theCase) {
  return theCase.applications.length > 0 || theCase.pulls.length > 0;
}

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
    poor_pulls: sinceDescent(pulls, { judged: true }),
    unsure_pulls: sinceDescent(pulls, { judged: false }),
    unjudged_pulls: unjudged(pulls),
    detachments: theCase.detachments.length,
    applications: theCase.applications.length,
    pull_open: going ? 1 : 0,
    pull_ms: going ? place.ms - going.pieces.at(-1).began_ms : null,
    traction_ms: traction(pulls, place.ms),
    ...cupTime(theCase, place),
    ...suction(theCase),
    deflexing: deflexing(theCase),
    rim_unswept: theCase.rim_unswept ? 1 : 0,
    scalp_unchecked: theCase.scalp_unchecked ? 1 : 0,
    scalp_cut: theCase.scalp_cut ? 1 : 0,
    scalp_swelling: theCase.scalp?.finding === "swelling" ? 1 : 0,
    hissing: theCase.hissing ? 1 : 0,
    ...fetalHeart(theCase),
  };
}

/**
 * Count the pulls that are over.
 *
 * A pull that counted as over still does when traction is taken up again in the same
 * contraction, or pulling on would silence the stop that it is pulled against.
 */
function settled(theCase, pulls, nowMs) {
  return pulls.filter((pull) => pull.number < theCase.pulls.length
    || (hasEnded(pull) && pull.descent !== null)
    || pull.detached
    || longestRest(pull, nowMs) >= SETTLE_MS).length;
}

/** How a pull went: "yes", "no", "unsure", "detached", "born", or null when nobody told; as the cup comes off or the head is born nobody is asked. */
export function endOf({ pulls, head_born: head, baby_born: baby }, pull) {
  if (pull.detached) return "detached";
  if (pull.descent !== null) return pull.descent;
  const birth = head ?? baby;
  return pull === pulls.at(-1) && birth && birth.ms >= pull.began_ms ? "born" : null;
}

/** Tell whether a pull ended, be it that traction was taken up again. */
export function hasEnded(pull) {
  return pull.ended_ms !== null || pull.pieces.length > 1;
}

/** Give the longest time in ms without traction, the one since its end included. */
function longestRest(pull, nowMs) {
  const ended = pull.pieces.filter((piece) => piece.ended_ms !== null);
  const rests = ended.map((piece, index) => (pull.pieces[index + 1]?.began_ms ?? nowMs) - piece.ended_ms);
  return Math.max(0, ...rests);
}

/** Count ended pulls since the last one judged "yes": those judged "no", or those nobody was sure of. */
function sinceDescent(pulls, { judged }) {
  let count = 0;
  for (const pull of pulls) {
    if (!hasEnded(pull)) continue;
    if (pull.descent === "yes") count = 0;
    else if ((pull.descent === "no") === judged) count += 1;
  }
  return count;
}

/** Count ended pulls of which nobody could say whether the head came down. */
function unjudged(pulls) {
  return pulls.filter((pull) => hasEnded(pull) && !["yes", "no"].includes(pull.descent)).length;
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
  const end = cupEnd(theCase, begun);
  const until = end ?? place;
  const cupMs = Math.max(until.ms - first.ms, 0);
  return {
    cup_ms: cupMs,
    cup_floor_ms: Math.min(Math.max(until.floor_ms - first.floor_ms, 0), cupMs),
    cup_running: end ? 0 : 1,
    cup_estimated: told.includes(first.ms) ? 0 : 1,
    clock_doubt: until.doubts === first.doubts ? 0 : 1,
  };
}

function starts(theCase) {
  const pulls = theCase.pulls.map((pull) => (
    { ms: pull.began_ms, floor_ms: pull.began_floor_ms, doubts: pull.began_doubts }));
  const setOn = theCase.suctions.filter((set) => set.stage !== "released");
  return [...theCase.applications, ...setOn, ...pulls];
}

/**
 * The moment since when the cup is off for good, or null.
 *
 * With the birth; or once the head is out or a stop is told and the cup is off, in
 * either order. Nothing that needs a cup may come after it.
 */
function cupEnd(theCase, begun) {
  const lastStart = Math.max(...begun.map((start) => start.ms));
  const over = earliest([theCase.head_born, theCase.stopped]);
  const offs = over === null ? [] : [...theCase.cup_removed, ...theCase.detachments];
  const ends = offs.filter((off) => off.ms >= lastStart).map((off) => (off.ms >= over.ms ? off : over));
  return earliest([theCase.baby_born, ...ends].filter((end) => end && end.ms >= lastStart));
}

function earliest(moments) {
  const [first, ...rest] = moments.filter(Boolean);
  return rest.reduce((least, moment) => (moment.ms < least.ms ? moment : least), first ?? null);
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

/** Tell whether the cup lies too far to the front: 1 or 0, null when nobody could say. */
function deflexing(theCase) {
  const application = lastApplication(theCase);
  // With a pull and no cup told, nobody knows where the cup lies.
  if (!theCase.cup_on || application === null) return openPull(theCase) ? null : 0;
  const { placement } = application;
  if (placement === null || placement === "unsure") return null;
  return placement.startsWith("deflexing") ? 1 : 0;
}

function fetalHeart(theCase) {
  const last = [...theCase.fetal_heart].sort((a, b) => a.ms - b.ms).at(-1) ?? null;
  return {
    fetal_heart: last?.heard ?? null,
    fetal_heart_bpm: last?.bpm ?? null,
    fetal_heart_ms: last?.ms ?? null,
    fetal_heart_old: last && pulledSince(theCase, last.ms) ? 1 : 0,
  };
}

/** Tell whether a pull has ended since, with none going on in which nobody can count. */
function pulledSince(theCase, ms) {
  const ended = theCase.pulls.map((pull) => pull.ended_ms);
  return !ended.includes(null) && ended.some((end) => end >= ms);
}

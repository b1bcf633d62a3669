/**
 * What happens to the cup: on, suction, rim, off, and the scalp under it.
 *
 * What is told late takes its place among what happened and does not undo what is known
 * of later.
 */

import { closePull, pullAt } from "./pulls.js";

/** Put the cup on; the minutes run from the first time. */
export function applyCup(theCase, row) {
  const { facts } = row;
  const odd = theCase.scalp_unchecked ? ["applied_unchecked"] : [];
  if (theCase.cup_on) odd.push("applied_twice");
  if (theCase.baby_born !== null) odd.push("after_birth");
  theCase.applications.push({
    cup: facts.cup ?? null,
    mm: facts.mm ?? null,
    placement: facts.placement ?? null,
    ...momentOf(row),
  });
  // Told late: by now the cup has come off.
  if (row.ms < lastMs(offs(theCase))) return odd;
  theCase.cup_on = true;
  if (theCase.suction === null || theCase.suction.ms <= row.ms) {
    theCase.suction = null;
    theCase.rim_unswept = false;
  }
  return odd;
}

/** Set suction; after each stage the rim is to be swept. */
export function setSuction(theCase, row) {
  const { facts } = row;
  const set = {
    stage: facts.stage ?? null,
    pa: facts.pa ?? null,
    unit: facts.unit ?? null,
    reading: facts.reading ?? null,
    ...momentOf(row),
  };
  const later = row.ms < lastMs([...theCase.suctions, ...offs(theCase)]);
  theCase.suctions.push(set);
  if (later) return [];
  const released = set.stage === "released";
  theCase.suction = released ? null : set;
  theCase.rim_unswept = !released;
  theCase.hissing = false;
  return theCase.cup_on || released ? [] : ["suction_without_cup"];
}

/** Sweep the rim; only a clear one counts as swept. */
export function sweepRim(theCase, row) {
  if (theCase.suction && row.ms < theCase.suction.ms) return ["swept_before_suction"];
  theCase.rim_unswept = row.facts.clear !== "yes";
  return [];
}

/** Hear a hiss; the rim is to be swept again. */
export function hearHiss(theCase) {
  theCase.hissing = true;
  theCase.rim_unswept = true;
}

/** Take the cup off by hand. */
export function removeCup(theCase, row) {
  closePull(theCase, row);
  theCase.cup_removed.push({ ...momentOf(row), why: row.facts.why ?? null });
  takeOff(theCase, row);
}

/** Count that the cup came off; the scalp is to be looked at. */
export function detachCup(theCase, row) {
  const odd = theCase.cup_on ? [] : ["detached_without_cup"];
  const pull = closePull(theCase, row);
  if (pull !== null) pull.detached = true;
  const number = pullAt(theCase, row.ms)?.number ?? 0;
  theCase.detachments.push({ ...momentOf(row), cause: row.facts.cause ?? null, pull: number });
  takeOff(theCase, row);
  const { scalp: seen } = theCase;
  if (seen === null || seen.ms <= row.ms || !isSeen(seen.finding)) theCase.scalp_unchecked = true;
  return odd;
}

/** Look at the scalp. */
export function checkScalp(theCase, row) {
  const finding = row.facts.finding ?? null;
  // A cut does not heal by a later look; only taking the look back takes it away.
  theCase.scalp_cut ||= finding === "cut";
  if (row.ms < lastMs(theCase.detachments)) return ["scalp_before_detachment"];
  if (theCase.scalp === null || theCase.scalp.ms <= row.ms) {
    theCase.scalp = { finding, ms: row.ms };
    theCase.scalp_unchecked = !isSeen(finding);
  }
  return [];
}

/** Give the application that happened last, be it told late or not; or null. */
export function lastApplication(theCase) {
  return [...theCase.applications].sort((a, b) => a.ms - b.ms).at(-1) ?? null;
}

/** Leave the case with no cup on the head. */
export function takeOff(theCase, row) {
  // Told late: by now the cup is on again.
  if (row.ms < lastMs(theCase.applications)) return;
  theCase.cup_on = false;
  theCase.suction = null;
  theCase.rim_unswept = false;
  theCase.hissing = false;
}

/** Give when a row happened: {ms, floor_ms, doubts}. */
export function momentOf({ ms, floor_ms, doubts }) {
  return { ms, floor_ms, doubts };
}

function isSeen(finding) {
  return finding !== "unsure" && finding !== null;
}

function offs(theCase) {
  return [...theCase.detachments, ...theCase.cup_removed, ...theCase.baby_born ? [theCase.baby_born] : []];
}

/** When the latest of these happened; what is told late comes before it. */
function lastMs(told) {
  return Math.max(...told.map((item) => item.ms));
}

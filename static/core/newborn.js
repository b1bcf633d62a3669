/**
 * Tell how closely a baby born by vacuum is to be watched, and why.
 *
 * Tier 1 is every baby, 2 is raised, 3 is suspected bleeding under the scalp. Each reason is
 * a row of the protocol. What is not known is named, and never taken for harmless. A tier
 * goes up by itself, and down only by a clinician's word.
 */

import { apgarsAt } from "./apgar.js";
import { measures } from "./measures.js";
import { answersOf, headGrowths, numbersOf } from "./observed.js";

export const MINUTE_MS = 60_000;
// Whose word may lower a tier.
export const CLINICIANS = ["midwife", "senior", "doctor"];

/**
 * Judge a folded case: {tier, reasons, unknown, lowered, since_ms}.
 *
 * reasons are {row, tier, ms, told_ms} and unknown ids of rows, both in the order of the protocol;
 * since_ms is the moment from which tier 3 counts, or null.
 */
export function watch(theCase, protocol, now) {
  const known = babyMeasures(theCase, now);
  const rows = protocol.newborn;
  const reasons = rows.map((row) => met(row, known)).filter(Boolean);
  const tier = Math.max(1, ...reasons.map((reason) => reason.tier));
  const lowered = loweredTo(theCase, tier, reasons);
  const flagged = reasons.filter((reason) => reason.tier === 3).map((reason) => reason.ms);
  return {
    tier: lowered ? lowered.tier : tier,
    reasons,
    unknown: rows.filter((row) => !known[row.measure].length).map((row) => row.id),
    lowered,
    since_ms: flagged.length && !lowered ? Math.max(...flagged) : null,
  };
}

/**
 * Gather what the rows of the newborn ask: {measure: [{value, ms, told_ms}]}, empty if not known.
 *
 * Every observation counts, not the last one alone: a red flag that was seen once stands.
 */
export function babyMeasures(theCase, now) {
  const measured = measures(theCase, now);
  return {
    ...birth(theCase, measured),
    apgar_5: apgarsAt(theCase, 5),
    ...Object.fromEntries(Object.entries(SIGNS).map(([name, sign]) => [name, answersOf(theCase, ...sign)])),
    ...Object.fromEntries(Object.entries(NUMBERS).map(([name, what]) => [name, numbersOf(theCase, what)])),
    head_growth_mm: headGrowths(theCase),
  };
}

// The name of what was observed, the answers that count, and those that do not.
export const SIGNS = {
  boggy: ["scalp", ["boggy"], ["flat", "soft", "firm"]],
  growing: ["swelling", ["growing"], ["same", "smaller", "none"]],
  ear_pushed: ["ear", ["pushed"], ["usual"]],
  pale: ["colour", ["pale", "blue"], ["pink"]],
  floppy: ["tone", ["floppy"], ["good"]],
  feeds_badly: ["feeding", ["poor"], ["good"]],
  weak_cry: ["cry", ["weak", "high"], ["good"]],
  grunting: ["breathing", ["grunting"], ["quiet"]],
  fits: ["fits", ["yes"], ["no"]],
  bleeds: ["bleeding", ["yes"], ["no"]],
  yellow: ["yellow", ["yes"], ["no"]],
  helped_breathing: ["breathing_help", ["bag", "bag_and_heart"], ["none"]],
  worry: ["worry", ["yes"], ["no"]],
};
export const NUMBERS = {
  heart_bpm: "heart",
  breaths: "breaths",
  refill_s: "refill",
  temperature_dc: "temperature",
  glucose_dmmol: "glucose",
  weight_g: "weight",
};

function met(row, known) {
  const hits = known[row.measure].filter((one) => isBeyond(row, one.value));
  return hits.length ? { row: row.id, tier: row.tier, ms: hits.at(-1).ms, told_ms: Math.max(...hits.map((one) => one.told_ms)) } : null;
}

function isBeyond(row, value) {
  return (Object.hasOwn(row, "above") && value > row.above)
    || (Object.hasOwn(row, "at_least") && value >= row.at_least)
    || (Object.hasOwn(row, "below") && value < row.below);
}

/** A clinician's word holds until a red flag is told after it, whenever it was seen. */
function loweredTo(theCase, tier, reasons) {
  const last = theCase.care.findLast(({ kind, facts }) => kind === "tier_lowered" && CLINICIANS.includes(facts.by));
  if (!last) return null;
  const wanted = last.facts.tier ?? null;
  if (wanted === null || wanted >= tier) return null;
  if (reasons.some((reason) => reason.tier === 3 && reason.told_ms >= last.told_ms)) return null;
  return { tier: wanted, by: last.facts.by, ms: last.ms };
}

/** What the birth itself says, each at the moment of birth. */
function birth(theCase, measured) {
  const ms = theCase.baby_born ? theCase.baby_born.ms : measured.now_ms;
  const found = {
    cup_ms: theCase.applications.length ? measured.cup_ms : null,
    pulls: measured.pulls,
    detachments: measured.detachments,
    stopped: theCase.stopped ? 1 : 0,
    deflexed: deflexed(theCase),
    hard_first: hardFirst(theCase, measured),
    turned: answer(theCase, "position", ["transverse", "posterior"], ["anterior"]),
    mid: answer(theCase, "head_station", ["zero", "plus_one"], ["plus_two"]),
    slow: answer(theCase, "reason", ["slow"], ["baby", "mother", "none"]),
    gestation_days: valueOf(theCase, "weeks"),
    big_baby: answer(theCase, "big_baby", ["yes"], ["no"]),
    without_vitamin_k: withoutVitaminK(theCase, measured),
  };
  return Object.fromEntries(Object.entries(found)
    .map(([name, value]) => [name, value === null ? [] : [{ value, ms, told_ms: ms }]]));
}

function deflexed(theCase) {
  const placements = theCase.applications.map((application) => application.placement);
  if (placements.some((placement) => placement?.startsWith("deflexing"))) return 1;
  return !placements.length || placements.includes(null) || placements.includes("unsure") ? null : 0;
}

function hardFirst(theCase, measured) {
  const poor = theCase.pulls.some((pull) => pull.descent === "no");
  if (!poor && measured.detachments === 0) return 0;
  return answer(theCase, "first_birth", ["first"], ["later"]);
}

function answer(theCase, item, bad, good) {
  const given = theCase.answers[item]?.answer;
  if (bad.includes(given)) return 1;
  return good.includes(given) ? 0 : null;
}

function valueOf(theCase, item) {
  const given = theCase.answers[item];
  return given?.answer === "value" ? given.value : null;
}

/** Whole minutes since birth without vitamin K; 0 once it was given. */
function withoutVitaminK(theCase, measured) {
  if (theCase.baby_born === null) return null;
  const isGiven = theCase.care.some((item) => item.kind === "medicine_given" && item.facts.medicine === "vitamin_k" && item.facts.to === "baby");
  if (isGiven) return 0;
  return Math.floor(Math.max(measured.now_ms - theCase.baby_born.ms, 0) / MINUTE_MS);
}

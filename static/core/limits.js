/**
 * Compare a case with the limits of its protocol at a moment.
 *
 * The levels are ordered, the worst comes first, and "unknown" outranks "clear": what
 * cannot be told is never called clear. Knows no clock: the caller brings the moment.
 */

import { reachablePascals } from "./air.js";
import { measures } from "./measures.js";

export const RANK = { clear: 0, unknown: 1, caution: 2, stop: 3 };
const MINUTE_MS = 60_000;
const PULL_COUNTS = ["descent_pulls", "perineal_pulls", "pulls"];

/**
 * Judge every limit of a protocol, worst first.
 *
 * Each finding is {limit, level, value, bound, message, sound, clears}: value and bound
 * in the limit's unit (minutes are whole minutes, suction is pascals), message a words id.
 */
export function advise(theCase, protocol, now) {
  const measured = measures(theCase, now);
  const findings = protocol.limits.map((row) => JUDGES[row.judge](row, measured));
  // Sorting keeps the order of the rows within a level.
  return findings.sort((a, b) => RANK[b.level] - RANK[a.level] || turn(a) - turn(b));
}

/** Of cautions the baby's heart comes first, and last what the numbers beside the advice tell anyway. */
function turn({ level, limit }) {
  if (level !== "caution") return 0;
  return limit === "fetal_heart" ? -1 : Number(PULL_COUNTS.includes(limit));
}

/** Give the suction in pascals that a pump can reach at the post, or null. */
export function reachable(theCase, protocol) {
  if (theCase.altitude_m === null) return null;
  return reachablePascals(theCase.altitude_m, protocol.numbers.reach_permille.value);
}

function finding(row, level, value, reached) {
  return {
    limit: row.id,
    level,
    value,
    bound: reached ? reached.at : null,
    message: reached ? reached.message : `limit.${row.id}.${level}`,
    sound: reached ? reached.sound : "none",
    clears: row.clears,
  };
}

function worst(row, measured, unit) {
  // Rows name their levels from mild to grave, so the last one reached is the worst.
  return row.levels.filter((level) => measured[level.measure] >= level.at * unit).at(-1) ?? null;
}

function count(row, measured) {
  const value = measured[row.levels[0].measure];
  if ((row.phase ?? measured.phase) !== measured.phase) return finding(row, "clear", value, null);
  const reached = worst(row, measured, 1);
  if (reached) return finding(row, reached.level, value, reached);
  // Pulls that nobody could judge may have been poor ones, unless the head came down since.
  const unsure = row.id === "poor_pulls" && measured.unsure_pulls > 0;
  return finding(row, unsure ? "unknown" : "clear", value, null);
}

function time(row, measured) {
  const value = measured[row.levels[0].measure];
  const reached = worst(row, measured, MINUTE_MS);
  const sure = measured.clock_doubt ? "unknown" : "clear";
  return finding(row, reached ? reached.level : sure, Math.floor(value / MINUTE_MS), reached);
}

function suction(row, measured) {
  const levels = Object.fromEntries(row.levels.map((level) => [level.level, level]));
  const { suction_pa: pa, suction_unit: unit, suction_reading: reading } = measured;
  // Too much is too much at any stage.
  if (levels.stop && pa !== null && pa > row.ceiling_pa) return finding(row, "stop", pa, levels.stop);
  if (measured.suction_stage !== row.stage) return finding(row, unset(row, measured), null, null);
  if (pa === null) return finding(row, "unknown", null, null);
  if (!Object.hasOwn(row.floor, unit ?? "") || reading === null) return finding(row, "unknown", pa, null);
  if (beyondAir(measured)) return { ...finding(row, "unknown", pa, null), message: `limit.${row.id}.beyond` };
  const low = reading < row.floor[unit], high = reading > row.ceiling[unit];
  if (row.weak && reading < row.weak[unit]) return finding(row, "caution", pa, row.weak);
  if (low || (high && !levels.stop)) return finding(row, "caution", pa, levels.caution);
  return finding(row, "clear", pa, null);
}

/** With a pull and no working suction told, nobody knows what the cup held with. */
function unset(row, measured) {
  return row.stage === "working" && measured.pull_open ? "unknown" : "clear";
}

/** A gauge cannot show more suction than there is air: then it was misread. */
function beyondAir(measured) {
  return measured.air_pa !== null && measured.suction_pa >= measured.air_pa;
}

function rate(row, measured) {
  const { fetal_heart: heard, fetal_heart_bpm: bpm } = measured;
  if (heard === "no") return finding(row, "caution", null, row.levels[0]);
  if (heard !== "yes" || bpm === null) return finding(row, "unknown", null, null);
  if (bpm < row.low || bpm > row.high) return finding(row, "caution", bpm, row.levels[0]);
  // A count from before the last pull says nothing of how the baby bore it.
  return finding(row, measured.fetal_heart_old ? "unknown" : "clear", bpm, null);
}

function done(row, measured) {
  const value = measured[row.levels[0].measure];
  if (value === null) return finding(row, "unknown", null, null);
  const reached = worst(row, measured, 1);
  return finding(row, reached ? reached.level : "clear", value, reached);
}

const JUDGES = { count, time, suction, rate, done, doubt: done };

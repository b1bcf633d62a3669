/**
 * Check single rows of a protocol: numbers, limits, questions, rules.
 *
 * A row that would be judged wrongly, or not at all, must not come into use.
 */

import { checkChoice, checkFlag, checkWhole, isObject, refuse, rowsOf, textsOf } from "./refusals.js";

const LEVELS = ["unknown", "caution", "stop"];
const SOUNDS = ["none", "pulling", "medium", "high"];
const VERDICTS = ["go", "unknown", "ask", "not_yet", "refer"];
const PHASES = ["descent", "perineal"];
const STAGES = ["first", "working"];
const UNITS = ["kpa", "mmhg", "kgf_cm2", "bar", "inhg"];
// What each way of judging can compare.
const MEASURES = {
  count: ["descent_pulls", "descent_pulls_ended", "perineal_pulls", "perineal_pulls_ended",
    "pulls", "pulls_ended", "poor_pulls", "detachments", "applications"],
  time: ["cup_ms", "traction_ms"],
  suction: ["suction"],
  rate: ["fetal_heart_bpm"],
  done: ["deflexing", "rim_unswept", "scalp_unchecked", "scalp_cut", "scalp_swelling", "hissing"],
  doubt: ["clock_doubt"],
};

/** Check a named number; it stays within its outer bound. */
export function checkNumber(where, row) {
  if (!isObject(row)) refuse(where, "not an object");
  checkWhole(where, "value", row.value);
  if (row.value < 0) refuse(where, "value is less than 0");
  if (typeof row.unit !== "string") refuse(where, "unit missing");
  const outer = row.outer ?? null;
  if (outer === null) return;
  checkWhole(where, "outer", outer);
  if (row.value > outer) refuse(where, `${row.value} is looser than the outer bound ${outer}`);
}

/** Check a limit; no stop is looser than its outer bound. */
export function checkLimit(where, row) {
  checkChoice(where, "judge", row.judge, Object.keys(MEASURES));
  if (Object.hasOwn(row, "phase")) checkChoice(where, "phase", row.phase, PHASES);
  if ((row.outer ?? null) !== null) checkWhole(where, "outer", row.outer);
  if (!Array.isArray(row.levels) || !row.levels.length) refuse(where, "levels missing");
  for (const level of row.levels) checkLevel(where, row, level);
  const ranks = row.levels.map((level) => LEVELS.indexOf(level.level));
  if (ranks.some((rank, index) => rank < ranks[index - 1])) refuse(where, "levels are not from mild to grave");
  if (row.judge === "suction") checkSuction(where, row);
  if (row.judge === "rate") {
    checkWhole(where, "low", row.low);
    checkWhole(where, "high", row.high);
  }
}

/** Check a question; each answer has its verdict. */
export function checkQuestion(where, row) {
  checkVerdicts(where, row.answers, 0);
  if (Object.hasOwn(row, "optional")) checkFlag(where, "optional", row.optional);
  if (Object.hasOwn(row, "bands")) {
    checkVerdicts(where, row.bands);
    const bands = row.bands.filter((band, index) => index < row.bands.length - 1 || Object.hasOwn(band, "below"));
    for (const band of bands) checkWhole(where, "below", band.below);
  }
  if (row.form === "plan") checkVerdicts(where, row.places);
  else if (!row.optional && !row.answers.length) refuse(where, "answers missing");
}

/** Check a rule on answers that are grave only together. */
export function checkRule(where, row) {
  checkChoice(where, "verdict", row.verdict, VERDICTS);
  checkWhole(where, "plan_minutes_above", row.plan_minutes_above);
  if (!Array.isArray(row.any) || !row.any.length) refuse(where, "any missing");
  for (const part of row.any) {
    if (!isObject(part) || typeof part.question !== "string") refuse(where, "question missing");
    textsOf(where, "answers", part.answers);
  }
}

function checkLevel(where, row, level) {
  if (!isObject(level)) refuse(where, "level unknown");
  checkChoice(where, "level", level.level, LEVELS);
  if (typeof level.message !== "string" || !level.message) refuse(where, "message missing");
  checkChoice(where, "sound", level.sound, SOUNDS);
  checkChoice(where, "measure", level.measure, MEASURES[row.judge]);
  if (!Number.isInteger(level.at)) refuse(where, "bound is not a whole number");
  const outer = row.outer ?? null;
  if (level.level === "stop" && outer !== null && level.at > outer) {
    refuse(where, `stop ${level.at} is looser than the outer bound ${outer}`);
  }
}

function checkSuction(where, row) {
  checkChoice(where, "stage", row.stage, STAGES);
  for (const edge of ["floor", "ceiling", ...(Object.hasOwn(row, "weak") ? ["weak"] : [])]) {
    const marks = row[edge];
    if (!isObject(marks)) refuse(where, `${edge} missing`);
    for (const unit of UNITS) checkWhole(where, `${edge}.${unit}`, marks[unit]);
  }
  if (!row.levels.some((level) => level.level === "stop")) return;
  // A post may lower the stop, down to the caution and no further.
  if (!row.levels.some((level) => level.level === "caution")) refuse(where, "caution missing");
  checkWhole(where, "ceiling_pa", row.ceiling_pa);
  // The outer bound of suction is in kPa.
  if ((row.outer ?? null) !== null && row.ceiling_pa > row.outer * 1000) {
    refuse(where, `stop ${row.ceiling_pa} is looser than the outer bound ${row.outer}`);
  }
}

function checkVerdicts(where, value, least = 1) {
  for (const row of rowsOf(where, value, least)) checkChoice(where, "verdict", row.verdict, VERDICTS);
}

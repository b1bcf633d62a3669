/**
 * What was found and done, for the third part of a hand-over: cup, mother, baby.
 */

import { apgarAt } from "./apgar.js";
import { lostMl } from "./bleeding.js";
import {
  beside, chosen, clock, counted, nameOf, number, quantity, rowsOf, seen, together, word,
} from "./handover_values.js";
import { endOf, hasEnded, usedCup } from "./measures.js";
import { NUMBERS, SIGNS } from "./newborn.js";
import { hiddenBloodMl, hiddenShare } from "./observed.js";

const APGAR_MINUTES = [1, 5, 10];
// What the examination before the start found, told while the baby is not born.
const EXAMINED = ["fifths", "head_station", "position", "moulding", "contractions"];
// Told on lines of their own.
const APART = ["round", "antibiotic_allergy", "head", "weight", "breathing_help", "travel"];
// What is looked at in a round; what nobody looked at yet is named.
const LOOKED_AT = [...new Set([...Object.values(SIGNS).map(([what]) => what), ...Object.values(NUMBERS)])]
  .filter((what) => ![...APART, "worry"].includes(what));
const LAST_COUNTS = 4;

/** Give an answer of the time before with the short name of its question. */
export function answered(theCase, item) {
  const given = theCase.answers[item];
  return { name: word(`before.${item}.short`, item), answer: given ? answerOf(item, given) : null };
}

function answerOf(item, { answer, value }) {
  if (answer === "value" && value !== null) return item === "weeks" ? { days: value } : quantity(value, "bpm");
  return chosen(`before.${item}`, answer);
}

/** What is known of the head and the heart while the baby is not born. */
export function unborn(theCase) {
  if (theCase.baby_born) return [];
  const found = EXAMINED.map((item) => ["answer", answered(theCase, item)]);
  const counts = rowsOf(theCase, "fetal_heart_counted").slice(-LAST_COUNTS);
  const told = counts.map((row) => beside(heart(row.facts), clock(row.at)));
  const first = answered(theCase, "fetal_heart").answer;
  return [...found, ["heart", { counts: together(told) ?? first }]];
}

function heart({ bpm = null, heard }) {
  if (bpm !== null) return quantity(bpm, "bpm");
  return word(heard === "no" ? "pull.not_heard" : "app.not_sure");
}

/** Cup, suction, pulls, minutes, and how it ended. */
export function cup(theCase, measured) {
  if (!usedCup(theCase)) return [];
  const cups = rowsOf(theCase, "cup_applied");
  const found = cups.map((row) => ["cup", applied(row)]);
  if (!cups.length) found.push(["cup_untold", { cup: null }]);
  const poor = theCase.pulls.filter((pull) => pull.descent === "no").length;
  const pulls = { all: number(measured.pulls), perineal: number(measured.perineal_pulls) };
  found.push(
    ["suction", { most: reading(deepest(theCase.suctions)) }],
    ["pulls", pulls],
    ["without_descent", { n: number(poor), open: number(untold(theCase)) }],
    ["off", { n: number(measured.detachments) }],
    ["minutes", { cup: { length: measured.cup_ms }, traction: { length: measured.traction_ms } }],
  );
  if (measured.cup_running) found.push(["cup_running", {}]);
  if (theCase.detachments.length) found.push(["scalp", { finding: chosen("pull.scalp", theCase.scalp?.finding ?? null) }]);
  return [...found, ...rowsOf(theCase, "episiotomy_done").map((row) => ["cut", { time: clock(row.at) }])];
}

/** Count the ended pulls of which nobody could say whether the head came down, or nobody said though it was asked. */
function untold(theCase) {
  const unjudged = theCase.pulls.filter((pull) => hasEnded(pull) && !["yes", "no"].includes(pull.descent));
  return unjudged.filter((pull) => pull.descent !== null || endOf(theCase, pull) === null).length;
}

function applied({ facts, at }) {
  const kind = chosen("cup.kind", facts.cup ?? null);
  return {
    cup: together([kind, quantity(facts.mm ?? null, "mm")].filter(Boolean)),
    placement: chosen("cup.placement", facts.placement ?? null),
    time: clock(at),
  };
}

function deepest(suctions) {
  return suctions.filter((one) => one.pa !== null)
    .reduce((most, one) => (most === null || one.pa > most.pa ? one : most), null);
}

function reading(set) {
  if (set === null) return null;
  if (set.unit === null || set.reading === null) return { reading: set.pa, unit: "kpa" };
  return { reading: set.reading, unit: set.unit };
}

/** What was seen of her last; once she has given birth, bleeding and tear as well. */
export function mother(theCase) {
  const found = [];
  if (theCase.baby_born) {
    found.push(
      ["placenta", { whole: chosen("after.placenta", last(theCase, "placenta_delivered", "complete")) }],
      ["loss", { total: total(theCase), amounts: together(rowsOf(theCase, "blood_loss_measured").map(loss)) }],
      ["tear", { grade: chosen("handover.tear", last(theCase, "tear_graded", "grade")) }],
    );
  }
  return [...found, ...lastSeen(theCase, "mother")];
}

function total(theCase) {
  const lost = lostMl(theCase);
  return lost === null ? null : quantity(lost, "ml");
}

function loss({ facts, at }) {
  return beside(quantity(facts.ml ?? null, "ml"), chosen("handover.how", facts.how ?? null), clock(at));
}

function last(theCase, kind, fact) {
  return rowsOf(theCase, kind).at(-1)?.facts[fact] ?? null;
}

/** Each sign with what was found of it last, in the order in which they were first told. */
function lastSeen(theCase, lane) {
  const latest = new Map();
  for (const row of rowsOf(theCase, `${lane}_observed`)) {
    const what = row.facts.what ?? null;
    if (what !== null && !APART.includes(what) && seen(lane, row.facts) !== null) latest.set(what, row);
  }
  return [...latest].map(([what, row]) => (
    ["seen", { name: nameOf(lane, what), found: seen(lane, row.facts), time: clock(row.at) }]));
}

/** Apgar, weight, head, and every sign as it was seen last; what nobody looked at is named. */
export function baby(theCase) {
  if (theCase.baby_born === null) return [];
  const observed = rowsOf(theCase, "baby_observed");
  const told = observed.filter((row) => seen("baby", row.facts) !== null).map((row) => row.facts.what);
  const helped = of(observed, "breathing_help").map((row) => seen("baby", row.facts));
  const weights = numbers(observed, "weight");
  const heads = numbers(observed, "head").map(([row, size]) => beside(size, clock(row.at)));
  const minutes = APGAR_MINUTES.map((minute) => quantity(minute, "min"));
  const scores = APGAR_MINUTES.map((minute) => score(theCase, minute));
  const found = [
    ["sex", { sex: chosen("after", theCase.baby_born.sex) }],
    ["apgar", { minutes: together(minutes), scores: together(scores) }],
    ["helped", { how: helped.at(-1) ?? null }],
    ["weight", { weight: weights.at(-1)?.[1] ?? null }],
    ["head", { sizes: together(heads) }],
    ...hidden(theCase),
    ...lastSeen(theCase, "baby"),
  ];
  const missing = LOOKED_AT.filter((what) => !told.includes(what)).map((what) => nameOf("baby", what));
  return missing.length ? [...found, ["not_seen", { names: together(missing) }]] : found;
}

function of(observed, what) {
  return observed.filter((row) => row.facts.what === what);
}

/** Give each number told of one thing with its entry: [[entry, value]]. */
function numbers(observed, what) {
  return of(observed, what).filter((row) => (row.facts.value ?? null) !== null)
    .map((row) => [row, counted(what, row.facts.value)]);
}

function score(theCase, minute) {
  const points = apgarAt(theCase, minute);
  return points === null ? null : number(points);
}

function hidden(theCase) {
  const blood = hiddenBloodMl(theCase);
  if (!blood) return [];
  const share = hiddenShare(theCase);
  return [["hidden", { blood: quantity(blood, "ml"), share: share === null ? null : quantity(share, "%") }]];
}

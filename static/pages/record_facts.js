/**
 * Gather what a record tells, and what it leaves open, from a folded case.
 *
 * Knows words only by their ids and draws nothing.
 */

import { apgarScore } from "../core/apgar.js";
import { endOf, usedCup } from "../core/measures.js";
import { standing } from "./after_items.js";

// What may follow once the cup came off.
const NEXT = ["cup_applied", "vacuum_stopped", "head_born", "baby_born"];
const OFF = ["cup_detached", "cup_removed", "baby_born"];
const APGAR_MINUTES = [1, 5, 10];

/** Give the moment from which the record counts: cup on as far as is told, else the opening; in ms of the case. */
export function zeroOf(theCase) {
  const starts = [...theCase.applications, ...theCase.suctions.filter((set) => set.stage !== "released")].map(({ ms }) => ms);
  const all = [...starts, ...theCase.pulls.map((pull) => pull.began_ms)];
  return all.length ? Math.min(...all) : 0;
}

/** Give each time the cup went on: {number, row, first, afterFirst, working, afterWorking}, rows or null. */
export function applications(theCase) {
  const rows = standing(theCase);
  const starts = rows.filter(({ kind }) => kind === "cup_applied");
  return starts.map((row, index) => {
    const until = starts[index + 1] ? rows.indexOf(starts[index + 1]) : rows.length;
    const within = rows.slice(rows.indexOf(row) + 1, until);
    const set = (stage) => within.findLast(({ kind, facts }) => kind === "suction_set" && facts.stage === stage) ?? null;
    const first = set("first");
    const working = set("working");
    const swept = (from, to) => within.findLast((one, at) => one.kind === "rim_swept" && at > within.indexOf(from) && (to === null || at < within.indexOf(to))) ?? null;
    return { number: index + 1, row, first, working, afterFirst: first && swept(first, working), afterWorking: working && swept(working, null) };
  });
}

/** Give each pull with its suction, how it ended, its wall time and the heart counted after it: {...pull, set, end, at, heart}. */
export function pullsTold(theCase) {
  return theCase.pulls.map((pull, index) => ({
    ...pull,
    set: pull.pa === null ? null : theCase.suctions.findLast((set) => set.ms <= pull.began_ms && set.pa === pull.pa) ?? null,
    end: endOf(theCase, pull),
    at: standing(theCase).find(({ kind, ms }) => kind === "pull_began" && ms === pull.began_ms)?.at ?? null,
    heart: heartCounts(theCase).find(({ ms }) => ms >= pull.began_ms && ms < (theCase.pulls[index + 1]?.began_ms ?? Infinity)) ?? null,
  }));
}

/** Give each time the cup came off, the look at the scalp that followed, and what was done next: {row, scalp, next}. */
export function detachments(theCase) {
  const rows = standing(theCase);
  const offs = rows.filter(({ kind }) => kind === "cup_detached");
  return offs.map((row, index) => {
    const from = rows.indexOf(row);
    const until = offs[index + 1] ? rows.indexOf(offs[index + 1]) : rows.length;
    const scalp = rows.slice(from + 1, until).find(({ kind }) => kind === "scalp_checked") ?? null;
    return { row, scalp, next: rows.slice(from + 1).find(({ kind }) => NEXT.includes(kind)) ?? null };
  });
}

/** Give the counts of the fetal heart as rows of the timeline, the answer before the start among them. */
export function heartCounts(theCase) {
  return standing(theCase).filter(({ kind, facts }) => kind === "fetal_heart_counted" || (kind === "check_answered" && facts.item === "fetal_heart"));
}

/** Give when the cup was last told to be off, as a row, or null. */
export function cupOff(theCase) {
  const rows = standing(theCase);
  const on = rows.findLastIndex(({ kind }) => kind === "cup_applied");
  return rows.find(({ kind }, index) => index > on && OFF.slice(0, 2).includes(kind)) ?? null;
}

/** Give the last row of a kind that stands, or null. */
export function lastOf(theCase, kind, fits = () => true) {
  return standing(theCase).findLast((row) => row.kind === kind && fits(row.facts)) ?? null;
}

/** Name every gap: [{id, n}], `id` the end of a words id, `n` which one or null. */
export function gaps(theCase, protocol) {
  const found = [];
  const add = (id, isOpen, n = null) => { if (isOpen) found.push({ id, n }); };
  for (const row of protocol?.questions ?? []) {
    const isAnswered = row.form === "plan" ? theCase.plan !== null : Object.hasOwn(theCase.answers, row.id);
    if (!isAnswered) found.push({ id: "question", question: row.id, n: null });
  }
  add("decision", theCase.decision === null);
  for (const told of applications(theCase)) {
    add("placement", told.row.facts.placement === undefined, told.number);
    add("first", told.first === null || told.first.facts.reading === undefined, told.number);
    add("rim_first", told.first !== null && told.afterFirst === null, told.number);
    add("working", told.working === null || told.working.facts.reading === undefined, told.number);
    add("rim_working", told.working !== null && told.afterWorking === null, told.number);
  }
  add("cup_on", theCase.pulls.length > 0 && theCase.applications.length === 0);
  for (const pull of pullsTold(theCase)) {
    add("pull_end", !pull.end_known, pull.number);
    add("pull_suction", pull.pa === null, pull.number);
    add("descent", pull.end === null, pull.number);
  }
  detachments(theCase).forEach((off, index) => add("scalp", off.scalp === null, index + 1));
  add("heart", theCase.pulls.length > 0 && !heartCounts(theCase).some(({ ms }) => ms >= zeroOf(theCase)));
  add("cup_off", usedCup(theCase) && cupOff(theCase) === null);
  add("end", theCase.baby_born === null && theCase.stopped === null && theCase.decision?.decision !== "refer");
  if (theCase.baby_born) afterGaps(theCase, add);
  return found;
}

function afterGaps(theCase, add) {
  add("sex", theCase.baby_born.sex === null);
  for (const minute of APGAR_MINUTES) add("apgar", lastOf(theCase, "apgar_scored", (facts) => facts.minute === minute && apgarScore(facts) !== null) === null, minute);
  for (const name of ["oxytocin", "vitamin_k"]) add(name, lastOf(theCase, "medicine_given", (facts) => facts.medicine === name) === null);
  add("antibiotic", lastOf(theCase, "medicine_given", (facts) => facts.medicine?.includes("antibiotic")) === null);
  add("placenta", lastOf(theCase, "placenta_delivered") === null);
  add("blood_loss", lastOf(theCase, "blood_loss_measured") === null);
  add("tear", lastOf(theCase, "tear_graded") === null);
  add("told", lastOf(theCase, "newborn_team_told") === null);
}

/**
 * Tell a practice birth: what is said when, as the trainee taps.
 *
 * A script is a table of data. Each row is told so long after something was tapped, so that
 * what was told follows from the events alone and a restarted tablet goes on at the same
 * place. Shorter waits shorten the script's waits only; no stamp of the log is touched.
 */

import { checkChoice, checkWhole, isObject, refuse, rowsOf } from "./refusals.js";

export const PACES = [1, 4];
// What ends a pull or a birth also ends what was still to be told of it.
export const ENDS = ["cup_detached", "head_born", "baby_born", "vacuum_stopped"];
const LONGEST_S = 3600;
const TABLES = ["post", "answers", "plan"];
const DESCENTS = ["yes", "no", "unsure"];

/** Read a script from its JSON; throws protocol_malformed with where and why. */
export function readScript(text) {
  let script;
  try {
    script = JSON.parse(text);
  } catch {
    refuse("practice", "not JSON");
  }
  if (!isObject(script)) refuse("practice", "not an object");
  if (typeof script.id !== "string" || !script.id) refuse("practice", "id missing");
  const where = `practice.${script.id}`;
  checkWhole(where, "order", script.order);
  for (const name of TABLES) if (!isObject(script[name])) refuse(where, `${name} missing`);
  if (!Array.isArray(script.pulls)) refuse(where, "pulls missing");
  for (const descent of script.pulls) checkChoice(where, "pulls", descent, DESCENTS);
  const seen = new Set();
  for (const row of rowsOf(where, script.rows)) {
    checkRow(`${where}.${row.id}`, row);
    if (seen.has(row.id)) refuse(`${where}.${row.id}`, "told twice");
    seen.add(row.id);
  }
  return script;
}

function checkRow(where, row) {
  if (typeof row.say !== "string" || !row.say) refuse(where, "say missing");
  const { after } = row;
  if (!isObject(after) || typeof after.event !== "string") refuse(where, "after missing");
  checkWhole(where, "wait_s", row.wait_s);
  if (row.wait_s < 0 || row.wait_s > LONGEST_S) refuse(where, "wait_s out of range");
  if (Object.hasOwn(after, "nth")) checkWhole(where, "nth", after.nth);
  if (Object.hasOwn(row, "expect")) checkExpect(where, row.expect);
}

function checkExpect(where, expect) {
  if (!isObject(expect) || !Array.isArray(expect.kinds) || !expect.kinds.length) refuse(where, "expect missing");
  checkWhole(where, "within_s", expect.within_s);
}

/** Name the script that a practice case plays: {id, pace}; null for any other case. */
export function scriptOf(theCase) {
  const opening = theCase.timeline.find((row) => row.kind === "case_opened");
  if (theCase.mode !== "practice" || !opening || !Object.hasOwn(opening.facts, "script")) return null;
  return { id: opening.facts.script, pace: opening.facts.pace ?? 1 };
}

/**
 * List what was told by a moment, in order: {row, say, nth, from_ms, ms, contraction, expect}.
 *
 * from_ms is the moment of what was tapped, ms the moment of telling, both on the case's
 * clock; nth says which of its kind was tapped.
 */
export function toldRows(script, theCase, nowMs, pace) {
  const ends = ENDS.flatMap((kind) => times(theCase, kind, {}));
  ends.push(...times(theCase, "decision_made", { decision: "refer" }));
  const told = [];
  for (const row of script.rows) {
    const { event, facts = {}, nth: first = 1, each = false } = row.after;
    const found = times(theCase, event, facts);
    // What happens in a pull is not told once that pull is over.
    const cuts = [...ends, ...event === "pull_began" ? times(theCase, "pull_ended", {}) : []];
    const last = each ? found.length : Math.min(first, found.length);
    for (let nth = first; nth <= last; nth += 1) {
      const one = telling(row, nth, found[nth - 1], pace);
      const isCut = cuts.some((end) => one.from_ms < end && end < one.ms);
      if (one.ms <= nowMs && !isCut) told.push(one);
    }
  }
  return told.sort((a, b) => a.ms - b.ms);
}

function telling(row, nth, fromMs, pace) {
  return {
    row: row.id,
    say: row.say,
    nth,
    from_ms: fromMs,
    ms: fromMs + Math.floor(row.wait_s * 1000 / pace),
    contraction: row.contraction ?? false,
    expect: row.expect ?? null,
  };
}

function times(theCase, kind, facts) {
  // Traction taken up again in the same contraction is no new pull to tell of.
  if (kind === "pull_began") return theCase.pulls.map((pull) => pull.began_ms);
  if (kind === "pull_ended") return theCase.pulls.filter((pull) => pull.ended_ms !== null).map((pull) => pull.ended_ms);
  return theCase.timeline.filter((row) => row.kind === kind && !row.void && isLike(row.facts, facts)).map((row) => row.ms);
}

/** Tell whether facts say all that is wanted. */
export function isLike(facts, wanted) {
  return Object.entries(wanted).every(([name, value]) => facts[name] === value);
}

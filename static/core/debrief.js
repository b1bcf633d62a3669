/**
 * Talk a birth over by the rules it was made under: what was done otherwise, and when.
 *
 * For practice; it names what happened and blames nobody. Each finding is {code, item, n, ms}.
 * Knows no clock: the caller brings the moment up to which it looks.
 */

import { fold } from "./case.js";
import { cupFaults, pullFaults } from "./debrief_pulls.js";
import { fault, startFaults, verdicts } from "./debrief_start.js";
import { walk } from "./debrief_walk.js";
import { nowInCase } from "./measures.js";
import { isLike, scriptOf, toldRows } from "./practice.js";
import { concerns, matches, roundsOf } from "./schedule.js";

const MINUTE_MS = 60_000;
// Common practice, no source: a stop that nobody has answered for so long was answered late.
const ANSWER_MS = 60_000;

/**
 * Judge one birth up to a stamp: {verdict, asked, of, told, faults, stops, cautions}.
 *
 * Once the case is closed, its closing is the moment. faults are in order of time; stops are
 * {limit, message, true_ms, shown_ms, answered_ms, choice, pulls_after}, cautions {limit,
 * message, ms}, told what a script told. All ms are on the case's clock.
 */
export function debrief(events, protocol, script, now) {
  const { at, boot, tick } = events.find((event) => event.kind === "case_closed") ?? now;
  const end = { at, boot, tick };
  const theCase = fold(events);
  const endMs = theCase.closed ? theCase.closed.ms : nowInCase(theCase, now).ms;
  const { steps, stops: held } = walk(events, protocol, end);
  const playing = scriptOf(theCase);
  const told = script && playing ? toldRows(script, theCase, endMs, playing.pace) : [];
  const pulling = pullFaults(theCase, steps, script, told.filter((one) => one.contraction).map((one) => one.ms));
  const stops = held.map((one) => stopOf(theCase, one, pulling));
  const faults = [
    ...startFaults(theCase, steps, protocol, script), ...cupFaults(steps, protocol), ...pulling,
    ...unanswered(stops), ...stopped(theCase), ...untold(theCase, told, endMs), ...care(theCase, protocol, end, endMs),
  ];
  const asked = protocol.questions.filter((row) => !row.optional).map((row) => row.id);
  const isAnswered = (name) => Object.hasOwn(theCase.answers, name) || (name === "plan" && theCase.plan !== null);
  return {
    verdict: verdicts(theCase, steps, protocol, script),
    asked: asked.filter(isAnswered).length,
    of: asked.length,
    told,
    faults: faults.sort((a, b) => a.ms - b.ms),
    stops,
    cautions: theCase.advice.filter((one) => one.level === "caution").map(({ limit, message, ms }) => ({ limit, message, ms })),
  };
}

function stopOf(theCase, held, pulling) {
  const shown = theCase.advice.filter((one) => one.limit === held.limit && one.level === "stop");
  const [choice, answeredMs] = answerOf(theCase, shown, held.true_ms);
  const after = pulling.filter((one) => one.code === "pulled_after_stop" && one.ms > held.true_ms);
  return {
    ...held,
    shown_ms: shown.length ? shown[0].ms : null,
    answered_ms: answeredMs,
    choice,
    pulls_after: after.length,
  };
}

/** Give what was done about a stop first: named, stopped, or the birth came before. */
function answerOf(theCase, shown, since) {
  const found = shown.filter((one) => ["stopped", "continued"].includes(one.choice)).map((one) => [one.choice, one.answered_ms]);
  if (theCase.stopped) found.push(["stopped", theCase.stopped.ms]);
  if (theCase.head_born) found.push(["born", theCase.head_born.ms]);
  return found.filter(([, ms]) => ms >= since).sort((a, b) => a[1] - b[1])[0] ?? [null, null];
}

function unanswered(stops) {
  const found = [];
  for (const { limit, true_ms: since, shown_ms: shownMs, answered_ms: answeredMs, choice } of stops) {
    const shown = shownMs ?? since;
    if (limit === "working_suction") continue;
    if (choice === null) found.push(fault("stop_unanswered", shown, limit));
    else if (choice !== "born" && answeredMs - shown > ANSWER_MS) {
      found.push(fault("stop_late", shown, limit, Math.floor((answeredMs - shown) / 1000)));
    }
  }
  return found;
}

/** Once stopped, or sent on, the plan is begun and no cup is left on. */
function stopped(theCase) {
  const referred = theCase.decision?.decision === "refer" ? theCase.decision : null;
  const end = theCase.stopped ?? referred;
  if (end === null) return [];
  const found = [];
  const isCalled = theCase.calls.some((call) => call.what === "transfer");
  if (!isCalled && !theCase.transfer_left && !theCase.baby_born) found.push(fault("plan_not_called", end.ms));
  if (theCase.stopped && theCase.cup_on) found.push(fault("cup_left_on", end.ms));
  return found;
}

/** What was told and should have been tapped: not at all, or late. */
function untold(theCase, told, endMs) {
  const found = [];
  for (const { row, nth, ms: toldMs, from_ms: fromMs, expect } of told) {
    if (expect === null) continue;
    const ms = firstOf(theCase, expect, expect.fresh ? toldMs : fromMs);
    const due = toldMs + expect.within_s * 1000;
    if (ms === null && endMs > due) found.push(fault("not_recorded", toldMs, row, nth));
    else if (ms !== null && ms > due) found.push(fault("recorded_late", ms, row, Math.floor((ms - toldMs) / 1000)));
  }
  return found;
}

function firstOf(theCase, expect, fromMs) {
  const times = theCase.timeline.filter((row) => expect.kinds.includes(row.kind) && !row.void && row.ms >= fromMs
    && isLike(row.facts, expect.facts ?? {})).map((row) => row.ms);
  return times.length ? Math.min(...times) : null;
}

/** Judge what was to be done for mother and baby by the end: skipped, or late. */
function care(theCase, protocol, end, endMs) {
  if (theCase.baby_born === null) return [];
  const born = theCase.baby_born.ms;
  const found = [];
  for (const row of protocol.care.filter((one) => concerns(one, theCase))) {
    const done = theCase.care.filter((item) => matches(row, item)).map((item) => item.ms);
    const late = born + row.late_min * MINUTE_MS;
    const first = Math.min(...done);
    if (!done.length && endMs >= late) found.push(fault("care_skipped", late, row.id));
    else if (done.length && first >= late) found.push(fault("care_late", first, row.id, Math.floor((first - born) / MINUTE_MS)));
  }
  const grace = protocol.rounds.grace_min * MINUTE_MS;
  for (const lane of ["baby", "mother"]) {
    for (const slot of roundsOf(theCase, protocol, end, lane)) {
      if (slot.done_ms === null && slot.due_ms + grace <= endMs) found.push(fault("round_missed", slot.due_ms, lane, slot.minute));
    }
  }
  return found;
}

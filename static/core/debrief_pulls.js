/** What a debrief finds of cup and pulls: rim, suction, scalp, descent, and pulls past a stop. */

import { fault } from "./debrief_start.js";
import { advise } from "./limits.js";
import { measures } from "./measures.js";

// Too much suction is named where it was set, and is no matter of one more pull.
const ELSEWHERE = ["working_suction"];
const SWEEPS = new Map([["cup_applied", "sweep_before"], ["first", "sweep_first"], ["working", "sweep_working"]]);

/** Judge rim, suction and scalp, in the order of the log. */
export function cupFaults(steps, protocol) {
  return steps.flatMap((step, index) => {
    const later = steps.slice(index + 1);
    const found = [...rim(step, later), ...suction(step, protocol), ...scalp(step, later)];
    if (step.event.kind === "cup_applied" && past(step).length) {
      found.push(fault("applied_after_stop", msOf(step), past(step)[0], step.after.applications.length));
    }
    return found;
  });
}

/** Judge each pull; contractions are the moments at which one was told to begin. */
export function pullFaults(theCase, steps, script, contractions) {
  const found = steps.filter((step) => step.event.kind === "pull_began").flatMap(beginning);
  for (const pull of theCase.pulls) {
    found.push(...ending(theCase, pull, script));
    if (contractions.length && contractions.filter((ms) => ms <= pull.began_ms).length < pull.number) {
      found.push(fault("without_contraction", pull.began_ms, null, pull.number));
    }
  }
  // Past a stop the question gives way to the stop, so nobody was asked.
  const unasked = found.filter((one) => one.code === "pulled_after_stop").map((one) => one.n);
  return once(found.filter((one) => one.code !== "not_judged" || !unasked.includes(one.n)));
}

/** Place an event on the case's clock. */
function msOf({ event, after }) {
  const row = after.timeline.find(({ log, seq }) => log === event.log && seq === event.seq);
  return row ? row.ms : after.clock.ms;
}

function past(step) {
  return step.stops.filter((limit) => !ELSEWHERE.includes(limit));
}

/** Name what calls for a finger's sweep of the rim: a cup that went on, or a stage of suction. */
function stageOf(event) {
  if (event.kind === "cup_applied") return "cup_applied";
  return event.kind === "suction_set" ? event.facts.stage ?? null : null;
}

function rim(step, later) {
  const isHiss = step.event.kind === "hiss_heard";
  const item = isHiss ? "hiss" : SWEEPS.get(stageOf(step.event)) ?? null;
  if (item === null) return [];
  for (const { event } of later) {
    if (event.kind === "rim_swept" && event.facts.clear === "yes") return [];
    if (["cup_detached", "cup_removed", "cup_applied", "head_born", "baby_born"].includes(event.kind)) return [];
    if (stageOf(event) === "released") return [];
    // A hiss in a pull is met when the next one begins; a stage, when suction is set again.
    if (event.kind === "pull_began" || (event.kind === "suction_set" && !isHiss)) {
      return [fault("rim_not_swept", msOf(step), item, step.after.applications.length)];
    }
  }
  return [];
}

function suction(step, protocol) {
  const stage = stageOf(step.event);
  if (!["first", "working"].includes(stage)) return [];
  const { event: { at, boot, tick }, after } = step;
  const row = protocol.limits.find((one) => one.stage === stage);
  if (!row) return [];
  const found = advise(after, protocol, { at, boot, tick }).find((one) => one.limit === row.id);
  if (found.level === "clear") return [];
  return [fault(band(row, found.level, measures(after, { at, boot, tick })), msOf(step), stage, found.value)];
}

function band(row, level, { suction_pa: pa, suction_unit: unit, suction_reading: reading }) {
  if (level === "unknown") return pa === null ? "suction_untold" : "suction_beyond_air";
  const isLow = Object.hasOwn(row.floor, unit ?? "") && reading !== null && reading < row.floor[unit];
  return isLow ? "suction_low" : "suction_high";
}

function scalp(step, later) {
  if (step.event.kind !== "cup_detached") return [];
  for (const { event: { kind, facts } } of later) {
    if (kind === "baby_observed" && facts.what === "scalp") return [];
    if (kind === "scalp_checked" && facts.finding !== "unsure") return [];
    if (["cup_applied", "pull_began"].includes(kind)) break;
  }
  return [fault("scalp_not_checked", msOf(step), null, step.after.detachments.length)];
}

function beginning(step) {
  const { before, after, event: { at, boot, tick } } = step;
  const ms = msOf(step);
  const number = after.pulls.length;
  const found = past(step).length ? [fault("pulled_after_stop", ms, past(step)[0], number)] : [];
  const measured = measures(after, { at, boot, tick });
  if (!before.cup_on) found.push(fault("pulled_without_cup", ms, null, number));
  else if (measured.suction_stage !== "working") found.push(fault("pulled_without_suction", ms, null, number));
  if (before.cup_on && measured.deflexing === 1) found.push(fault("pulled_deflexing", ms, null, before.applications.length));
  return found;
}

function ending(theCase, pull, script) {
  const isBirth = theCase.head_born !== null && pull.ended_ms === theCase.head_born.ms;
  if (pull.descent === null) {
    const isLeft = pull.ended_ms !== null && !pull.detached && !isBirth;
    return isLeft ? [fault("not_judged", pull.ended_ms, null, pull.number)] : [];
  }
  const truth = truthOf(script, pull.number);
  if (truth === null || [truth, "unsure"].includes(pull.descent)) return [];
  return [fault("judged_otherwise", pull.ended_ms, truth, pull.number)];
}

/** Say whether the head came down; what the last row says holds for all further pulls. */
function truthOf(script, number) {
  if (script === null || !script.pulls.length) return null;
  return script.pulls[Math.min(number, script.pulls.length) - 1];
}

/** Name the same thing of the same pull or cup once. */
function once(found) {
  const kept = new Map();
  for (const one of found) {
    const name = `${one.code}/${one.n}`;
    if (!kept.has(name)) kept.set(name, one);
  }
  return [...kept.values()];
}

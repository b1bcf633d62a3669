/**
 * What each kind of event does to a case.
 *
 * One small function a kind, gathered in `STEPS`. A step gets the case and one row of
 * the timeline {kind, ms, at, facts, …}, changes the case, and gives the codes of what
 * is odd about it. Nothing is refused: what happened happened.
 */

import {
  applyCup, checkScalp, detachCup, hearHiss, momentOf, removeCup, setSuction, sweepRim, takeOff,
} from "./cup.js";
import { NAME } from "./kinds.js";
import { beginPull, closePull, endPull, pullAt } from "./pulls.js";

// What is done for mother and baby and only kept in order.
export const CARE_KINDS = ["episiotomy_done", "apgar_scored", "baby_observed", "mother_observed", "medicine_given",
  "tear_graded", "placenta_delivered", "blood_loss_measured", "newborn_team_told", "handover_given", "tier_lowered"];
// What an answer about the fetal heart says; every other one says that nobody can tell.
const HEARD = new Map([["value", "yes"], ["not_heard", "no"]]);

function opened(theCase, row) {
  const { facts } = row;
  if (theCase.opened_at !== null) return ["opened_twice"];
  theCase.opened_at = row.at;
  theCase.mode = facts.mode ?? null;
  for (const name of ["label", "post", "altitude_m", "gauge_unit", "same_contraction_s"]) {
    if (Object.hasOwn(facts, name)) theCase[name] = facts[name];
  }
  return [];
}

function closed(theCase, row) {
  theCase.closed = { ms: row.ms, at: row.at, why: row.facts.why ?? null };
}

function answered(theCase, row) {
  const { facts } = row;
  const item = facts.item ?? "";
  // No protocol asks by such a name, and the halves would order it differently.
  if (!NAME.test(item)) return ["item_unknown"];
  const answer = { answer: facts.answer ?? null, value: facts.value ?? null, ms: row.ms };
  theCase.answers[item] = answer;
  if (item === "bed") theCase.label = facts.answer ?? "";
  if (item === "fetal_heart") heart(theCase, row.ms, HEARD.get(answer.answer) ?? "unsure", answer.value);
  return [];
}

function plan(theCase, row) {
  const { facts } = row;
  theCase.plan = {
    next: facts.next ?? null,
    place: facts.place ?? "",
    who: facts.who ?? null,
    minutes: facts.minutes ?? null,
    ms: row.ms,
    at: row.at,
  };
}

function decision(theCase, row) {
  const { facts } = row;
  theCase.decision = {
    decision: facts.decision ?? null,
    verdict: facts.verdict ?? null,
    override: facts.override ?? false,
    role: facts.role ?? null,
    reason: facts.reason ?? "",
    ms: row.ms,
  };
}

function called(theCase, row) {
  const { facts } = row;
  theCase.calls.push({ what: facts.what ?? null, who: facts.who ?? null, ms: row.ms, at: row.at });
}

function judged(theCase, row) {
  const pull = pullAt(theCase, row.ms);
  if (pull === null) return ["judged_without_pull"];
  pull.descent = row.facts.descent ?? pull.descent;
  return [];
}

function perineum(theCase, row) {
  theCase.phase = "perineal";
  if (theCase.perineum === null || row.ms < theCase.perineum.ms) {
    theCase.perineum = { ms: row.ms, at: row.at };
  }
  // Told late, it was already so when these pulls began.
  for (const pull of theCase.pulls) if (pull.began_ms >= row.ms) pull.phase = "perineal";
}

function heartCounted(theCase, row) {
  const { facts } = row;
  heart(theCase, row.ms, facts.heard ?? null, facts.bpm ?? null);
}

function heart(theCase, ms, heard, bpm) {
  theCase.fetal_heart.push({ ms, heard, bpm });
}

function headBorn(theCase, row) {
  closePull(theCase, row);
  theCase.head_born = { ...momentOf(row), at: row.at };
}

function babyBorn(theCase, row) {
  closePull(theCase, row);
  theCase.baby_born = { ...momentOf(row), at: row.at, sex: row.facts.sex ?? null };
  takeOff(theCase, row);
}

function stopped(theCase, row) {
  closePull(theCase, row);
  const { facts } = row;
  theCase.stopped = { ...momentOf(row), at: row.at, why: facts.why ?? null, next: facts.next ?? null };
}

function left(theCase, row) {
  theCase.transfer_left = { ms: row.ms, at: row.at };
}

function arrived(theCase, row) {
  theCase.transfer_arrived = { ms: row.ms, at: row.at };
}

function care(theCase, row) {
  theCase.care.push({ kind: row.kind, ms: row.ms, told_ms: row.ms + row.ago * 1000, at: row.at, facts: row.facts });
}

function adviceShown(theCase, row) {
  const { facts } = row;
  theCase.advice.push({
    limit: facts.limit ?? null,
    level: facts.level ?? null,
    message: facts.message ?? null,
    ms: row.ms,
    pulls: theCase.pulls.length,
    choice: null,
    answered_ms: null,
  });
}

function adviceAnswered(theCase, row) {
  const { facts } = row;
  const shown = theCase.advice.filter((item) => item.limit === (facts.limit ?? null)).at(-1);
  if (!shown) return ["answer_without_advice"];
  shown.choice = facts.choice ?? null;
  shown.answered_ms = row.ms;
  return [];
}

export const STEPS = {
  case_opened: opened,
  case_closed: closed,
  check_answered: answered,
  plan_agreed: plan,
  decision_made: decision,
  help_called: called,
  cup_applied: applyCup,
  suction_set: setSuction,
  rim_swept: sweepRim,
  cup_removed: removeCup,
  pull_began: beginPull,
  pull_ended: endPull,
  descent_judged: judged,
  perineum_reached: perineum,
  hiss_heard: hearHiss,
  cup_detached: detachCup,
  scalp_checked: checkScalp,
  fetal_heart_counted: heartCounted,
  head_born: headBorn,
  baby_born: babyBorn,
  vacuum_stopped: stopped,
  transfer_left: left,
  transfer_arrived: arrived,
  advice_shown: adviceShown,
  advice_answered: adviceAnswered,
  ...Object.fromEntries(CARE_KINDS.map((kind) => [kind, care])),
};

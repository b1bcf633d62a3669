/** What a debrief finds before the cup: what was asked, skipped, late or told otherwise. */

import { RANK, verdict } from "./checks.js";

const SENIORS = ["senior", "doctor"];
// What is not met by going on: the rest is a start that the answers allow.
const AGAINST = ["ask", "not_yet", "refer"];

/** Make one finding of a debrief: {code, item, n, ms}, ms on the case's clock. */
export function fault(code, ms, item = null, n = null) {
  return { code, item, n, ms };
}

/** Judge the answers and the decision of a folded case. */
export function startFaults(theCase, steps, protocol, script) {
  const begun = begunMs(theCase);
  const rows = protocol.questions.filter((row) => !row.optional);
  const told = new Map(rows.map((row) => [row.id, answered(theCase, row)]));
  const found = [];
  if (begun !== null) {
    const all = [...told];
    found.push(...all.filter(([, ms]) => ms === null).map(([name]) => fault("skipped", begun, name)));
    found.push(...all.filter(([, ms]) => ms !== null && ms > begun).map(([name, ms]) => fault("answered_late", ms, name)));
    found.push(...all.filter(([name]) => isUnsure(theCase, name)).map(([name, ms]) => fault("unsure", ms, name)));
  }
  if (script !== null) {
    found.push(...rows.filter((row) => differs(theCase, row, script)).map((row) => fault("answered_otherwise", told.get(row.id), row.id)));
  }
  return [...found, ...decided(theCase, steps, protocol, script)];
}

/** Give {answers, truth, decision}: what the answers allowed, what was so, what was done. */
export function verdicts(theCase, steps, protocol, script) {
  const at = steps.find((step) => step.event.kind === "decision_made")?.before ?? theCase;
  const truth = script === null ? null
    : verdict({ answers: whole(script.answers), plan: { next: null, minutes: null, ...script.plan } }, protocol).verdict;
  return { answers: verdict(at, protocol).verdict, truth, decision: theCase.decision?.decision ?? null };
}

/** Give the moment of going ahead: the decision, or the first cup or pull without one. */
export function begunMs(theCase) {
  const times = theCase.timeline.filter((row) => !row.void
    && (["cup_applied", "pull_began"].includes(row.kind) || proceeds(row))).map((row) => row.ms);
  return times.length ? Math.min(...times) : null;
}

function proceeds(row) {
  return row.kind === "decision_made" && row.facts.decision === "proceed";
}

/** Give the moment of the first answer to a question, or null. */
function answered(theCase, row) {
  const first = theCase.timeline.find((told) => !told.void && ((row.form === "plan" && told.kind === "plan_agreed")
    || (told.kind === "check_answered" && told.facts.item === row.id)));
  return first ? first.ms : null;
}

function isUnsure(theCase, name) {
  return theCase.answers[name]?.answer === "unsure";
}

function differs(theCase, row, script) {
  if (row.form === "plan") {
    const { plan } = theCase;
    return plan !== null && Object.entries(script.plan).some(([name, value]) => plan[name] !== value);
  }
  const given = theCase.answers[row.id];
  const truth = script.answers[row.id];
  if (!given || !truth || given.answer === "unsure") return false;
  return given.answer !== truth.answer || given.value !== (truth.value ?? null);
}

function whole(answers) {
  return Object.fromEntries(Object.entries(answers).map(([name, answer]) => [name, { value: null, ...answer }]));
}

function decided(theCase, steps, protocol, script) {
  const { decision } = theCase;
  if (decision === null) {
    const begun = begunMs(theCase);
    return begun === null ? [] : [fault("undecided", begun)];
  }
  const known = verdicts(theCase, steps, protocol, script);
  const worst = [known.answers, known.truth ?? "go"].reduce((most, name) => (RANK[name] > RANK[most] ? name : most));
  if (decision.decision === "proceed") {
    const isAgreed = worst === "ask" && SENIORS.includes(decision.role);
    return AGAINST.includes(worst) && !isAgreed ? [fault("started_against", decision.ms, worst)] : [];
  }
  return decision.decision === "refer" && script !== null && worst === "go" ? [fault("not_started", decision.ms)] : [];
}

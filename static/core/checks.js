/**
 * Weigh the answers given before a start.
 *
 * Five verdicts in order: go, ask (a senior first), unknown (not all is known yet),
 * not_yet (something to do first), refer (do not start here). The worst answer decides and every reason is named.
 * A question without an answer keeps the verdict at unknown or worse.
 */

export const RANK = { go: 0, ask: 1, unknown: 2, not_yet: 3, refer: 4 };

/**
 * Weigh a folded case against the questions of its protocol.
 *
 * Gives {verdict, reasons, open}: reasons are {question, answer, verdict, message},
 * worst first; open lists the questions that nobody answered.
 */
export function verdict(theCase, protocol) {
  const asked = protocol.questions.filter((row) => !row.optional);
  const found = asked.map((row) => weigh(row, theCase));
  const open = asked.filter((row, index) => found[index] === null).map((row) => row.id);
  const reasons = found.filter((weighed) => weighed !== null && weighed.verdict !== "go");
  reasons.push(...protocol.together.map((rule) => together(rule, theCase)).filter(Boolean));
  // Sorting keeps the order of the questions within a verdict.
  reasons.sort((a, b) => RANK[b.verdict] - RANK[a.verdict]);
  let worst = reasons.length ? reasons[0].verdict : "go";
  if (open.length && RANK[worst] < RANK.unknown) worst = "unknown";
  return { verdict: worst, reasons, open };
}

function weigh(row, theCase) {
  if (row.form === "plan") return weighPlan(row, theCase);
  const given = theCase.answers[row.id] ?? null;
  if (given === null || given.answer === null) return null;
  if (given.answer === "value") return weighValue(row, given.value);
  const answer = row.answers.find((one) => one.id === given.answer);
  // An answer that this protocol does not know cannot be called a go.
  return answer ? reason(row.id, answer.id, answer.verdict) : reason(row.id, "unsure", "unknown");
}

function weighValue(row, value) {
  const band = value === null ? undefined
    : (row.bands ?? []).find((one) => !Object.hasOwn(one, "below") || value < one.below);
  return band ? reason(row.id, band.id, band.verdict) : reason(row.id, "unsure", "unknown");
}

function weighPlan(row, theCase) {
  if (theCase.plan === null) return null;
  const place = row.places.find((one) => one.id === theCase.plan.next);
  return place ? reason(row.id, place.id, place.verdict) : reason(row.id, "unsure", "unknown");
}

/** Weigh answers that are grave only together; an unknown distance counts as far. */
function together(rule, theCase) {
  const met = rule.any.some((part) => part.answers.includes(theCase.answers[part.question]?.answer));
  if (!met || theCase.plan === null || theCase.plan.next === "theatre_here") return null;
  const { minutes } = theCase.plan;
  // A senior who comes brings no theatre along.
  const reaches = theCase.plan.next === "transfer";
  if (reaches && minutes !== null && minutes <= rule.plan_minutes_above) return null;
  return reason(rule.id, "far", rule.verdict);
}

function reason(question, answer, found) {
  return { question, answer, verdict: found, message: `before.${question}.${answer}.why` };
}

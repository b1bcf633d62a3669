/**
 * Build an Apgar score from its five parts, each 0 to 2 points.
 *
 * Heart, breathing, tone, reflex, colour: Apgar 1953 (from memory).
 */

export const PARTS = ["heart", "breathing", "tone", "reflex", "colour"];

/**
 * Give the score of one telling, 0 to 10, or null when it cannot be told.
 *
 * The sum of the five parts; with some of them missing there is no score, whatever sum was
 * told beside them. A score that was told whole counts when no part was told.
 */
export function apgarScore(facts) {
  const told = PARTS.filter((part) => Object.hasOwn(facts, part)).map((part) => facts[part]);
  if (!told.length) return facts.score ?? null;
  return told.length === PARTS.length ? told.reduce((sum, points) => sum + points) : null;
}

/** Give the score told last for a minute, or null when there is none. */
export function apgarAt(theCase, minute) {
  const told = last(theCase, minute);
  return told ? apgarScore(told.facts) : null;
}

/** Give the score told last for a minute with its moments: [{value, ms, told_ms}], empty when there is none. */
export function apgarsAt(theCase, minute) {
  const value = apgarAt(theCase, minute);
  if (value === null) return [];
  const { ms, told_ms } = last(theCase, minute);
  return [{ value, ms, told_ms }];
}

function last(theCase, minute) {
  return theCase.care.findLast((item) => item.kind === "apgar_scored" && item.facts.minute === minute);
}

/**
 * Tell which birth a page is about: the one on the desk, another one, or none.
 */

// These are about the tablet, or about births of every kind, whatever birth is on the desk.
const ELSEWHERE = ["home", "cases", "settings", "kit", "practice", "debrief", "card", "locked"];
// These show one birth, and not always the one on the desk.
const OF_A_CASE = ["record", "handover"];

/** Tell whether a page shows one birth that may be any. */
export const isOfACase = (page) => OF_A_CASE.includes(page);

/** Give the case that such a page is told to show, or null: it is then about the one on the desk. */
export function caseOf(arg) {
  return (typeof arg === "string" ? arg : arg?.id ?? arg?.theCase?.case) ?? null;
}

/** Tell whether a page is about the birth on the desk. */
export function isOfDesk(page, arg, theCase) {
  if (!theCase || ELSEWHERE.includes(page)) return false;
  return !isOfACase(page) || (caseOf(arg) ?? theCase.case) === theCase.case;
}

/**
 * Say what was advised, from the entry that holds it.
 */

import { say } from "./dom.js";

/** Say the advice of an entry, with the number it was given for. */
export function adviceText(words, theCase, { ms, facts }) {
  if (!words.has(facts.message)) return facts.limit;
  const set = theCase.suctions.findLast((one) => one.ms <= ms);
  const reading = set?.reading && set.unit ? words.reading(set.unit, set.reading) : words.text("app.not_recorded");
  return say(words, facts.message, { n: facts.value ?? "?", value: reading });
}

/**
 * Say what was observed of mother or baby: "Heart rate: 142 /min".
 */

import { STEPS } from "./after_steps.js";

// A sentence of the words says where these stand: °C behind its number also where a language puts other units first.
const OWN = new Set(["c", "g", "mmol"]);

/** Tell whether a unit stands among the words. */
export const isAmongWords = (unit) => OWN.has(unit);

/** Name the words of one thing that is asked of mother or baby: its question, its name, or an answer. */
export function wordsId(lane, part, end) {
  return { baby: `baby.${part}.${end}`, mother: `mother.${part}.${end}` }[lane];
}

/** Put a number beside the unit of a step. */
export function amount(words, number, unit) {
  if (unit === "count") return String(number);
  return isAmongWords(unit) ? words.whole(`after.amount.${unit}`, { n: number }) : words.quantity(number, unit);
}

/** Say the value of a step, which is told in tenths where the step has a decimal. */
export function valueText(words, lane, what, value) {
  const row = STEPS[lane][what];
  if (!row?.unit) return what === "void" ? words.quantity(value, "ml") : String(value);
  const number = row.decimals ? (value / 10 ** row.decimals).toFixed(row.decimals).replace(".", words.decimal) : String(value);
  return amount(words, number, row.unit);
}

/** Say what was found: the answer or the number, or "". */
export function foundText(words, lane, { what, answer, value }) {
  if (value !== undefined) return valueText(words, lane, what, value);
  if (answer === undefined) return "";
  if (answer === "unsure") return words.text(STEPS[lane][what]?.unit ? "after.not_measured" : "app.not_sure");
  const id = what === "antibiotic_allergy" ? `after.allergy.${answer}` : wordsId(lane, what, answer);
  if (words.has(id)) return words.text(id);
  return { yes: words.text("app.yes"), no: words.text("app.no") }[answer] ?? answer;
}

/** Say an entry whole: what was looked at, and what was found. */
export function observedText(words, lane, facts) {
  const id = wordsId(lane, "name", facts.what);
  const name = words.has(id) ? words.text(id) : facts.what;
  return [name, foundText(words, lane, facts)].filter(Boolean).join(": ");
}

/**
 * Say how far on a pregnancy is.
 */

import { weeksDays } from "../core/gestation.js";

/** Say days of pregnancy as full weeks and days. */
export function gestationText(words, days) {
  const [w, d] = weeksDays(days);
  return words.text("before.weeks_days", { w, d });
}

/**
 * Say that the blood a mother lost, or what was seen of her, asks for action.
 */

import { bleeding } from "../core/bleeding.js";
import { rowsOf } from "../core/handover_values.js";
import { el, say } from "./dom.js";
import { icon } from "./icons.js";

const SEEN = [["bleeding", "heavy"], ["tone", "soft"]];

/** Draw the advice, or nothing; `onTap` makes it a key. */
export function bleedingAdvice({ words, theCase, protocol }, onTap = null) {
  const verdict = bleeding(theCase, protocol);
  const act = verdict === "none" ? null : verdict;
  const rows = rowsOf(theCase, "mother_observed");
  const seen = SEEN.find(([what, bad]) => rows.findLast(({ facts }) => facts.what === what)?.facts.answer === bad);
  if (!act && !seen) return null;
  const { blood_act_ml: most, blood_signs_ml: signs } = protocol.numbers;
  const bound = words.quantity((act === "act" ? most : signs).value, "ml");
  const inner = [icon("caution"), el("div", {},
    el("p", { class: "lead" }, act ? say(words, `mother.blood.${act}`, { n: bound }) : words.text(`mother.seen.${seen[0]}`)),
    el("p", {}, words.text(act === "look" && !seen ? "mother.blood.look_do" : "mother.blood.do")))];
  return el("section", { class: "advice caution", role: "status", data: { bleeding: act ?? seen[0] } },
    onTap ? el("button", { type: "button", class: "bare", data: { key: "bleeding" }, on: { click: onTap } }, inner) : inner);
}

/**
 * Advice at its fixed place: shape, word and number; level never by colour alone.
 */

import { el, say, value } from "./dom.js";
import { icon } from "./icons.js";

const ICONS = { unknown: "unsure", caution: "caution", stop: "stop" };
// Limits in minutes say when the minutes are not sure.
const MINUTES = new Set(["cup_minutes", "traction_minutes"]);

/**
 * Show the worst finding, or keep the place empty.
 *
 * `findings` are those that belong on the screen, worst first, `measured` the measures of the same moment; `onTap` makes the
 * banner a key.
 */
export function banner(words, findings, measured, { onTap, heading = "p" } = {}) {
  const [worst] = findings;
  if (!worst) return el("section", { class: "advice empty", role: "status" });
  const alike = findings.filter((finding) => finding.level === worst.level).length - 1;
  const values = fields(words, worst, measured);
  const inner = [
    icon(ICONS[worst.level]),
    el("div", {},
      el(heading, { class: heading === "h1" ? "line" : "lead" }, say(words, worst.message, values)),
      el("p", {}, secondLine(words, worst, alike, values, measured))),
    // Where there is no room to say it.
    alike > 0 ? el("b", { class: "also", "aria-hidden": "true" }, value(`+${alike}`)) : null,
  ];
  const level = words.text(`level.${worst.level}`);
  const attributes = { class: `advice ${worst.level}`, "aria-label": level, data: { limit: worst.limit, level: worst.level } };
  return el("section", { ...attributes, role: worst.level === "stop" ? "alert" : "status" },
    onTap ? el("button", { type: "button", class: "bare", data: { key: "advice" }, on: { click: onTap } }, inner) : inner);
}

/** What to do, whether the minutes are sure, and how many more there are: what there is of it. */
function secondLine(words, { level, limit, message }, alike, values, measured) {
  const isDoubtful = measured.clock_doubt && MINUTES.has(limit) && level !== "unknown";
  const parts = [
    words.has(`${message}.more`) ? say(words, `${message}.more`, values) : null,
    isDoubtful ? words.text(`limit.${limit}.unknown`) : null,
  ].filter((part) => part !== null);
  const said = parts.flatMap((part, index) => (index ? [" · ", part] : [part]));
  return [said, alike > 0 ? el("span", { class: "full" }, said.length ? " · " : null, say(words, "limit.more", { n: alike })) : null];
}

/** Give the values that a finding's words may ask for. */
export function fields(words, finding, { suction_unit: unit, suction_reading: reading }) {
  const known = unit !== null && reading !== null;
  return { n: finding.value ?? 0, value: known ? words.reading(unit, reading) : words.text("app.not_recorded") };
}

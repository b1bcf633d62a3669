/**
 * Draw how the size of the head went, with the same data in words beneath.
 */

import { time } from "../language.js";
import { el, say, svg, value } from "./dom.js";

const FIELD = { left: 70, right: 460, top: 24, bottom: 176 };
// The drawing spans at least this much, so that a millimetre of the tape does not look like a hill.
const LEAST_MM = 20;
const HOUR_MS = 3600000;

/** Draw sizes [{value mm, ms, at}] from the birth at `bornMs`; `bound` in mm is where growth is a red flag. */
export function headTrend(words, sizes, bornMs, bound) {
  const least = Math.min(...sizes.map((size) => size.value));
  const most = Math.max(least + LEAST_MM, ...sizes.map((size) => size.value));
  const lastMs = Math.max(sizes.at(-1).ms - bornMs, HOUR_MS);
  const x = (ms) => FIELD.left + Math.min(1, Math.max(0, (ms - bornMs) / lastMs)) * (FIELD.right - FIELD.left);
  const y = (mm) => FIELD.bottom - (mm - least) / (most - least) * (FIELD.bottom - FIELD.top);
  return el("figure", { class: "trend" }, svg("svg", { class: "draw", viewBox: "0 0 480 224", role: "img", "aria-label": words.text("newborn.trend") },
    rule(y(least), words.quantity(least, "mm"), null), rule(y(least + bound), words.quantity(least + bound, "mm"), "9 6"),
    sizes.length > 1 ? svg("path", { class: "heavy", d: sizes.map((size, index) => `${index ? "L" : "M"}${x(size.ms)} ${y(size.value)}`).join(""), "vector-effect": "non-scaling-stroke" }) : null,
    sizes.map((size) => svg("circle", { class: "ink", cx: x(size.ms), cy: y(size.value), r: 6 })),
    label(FIELD.left, 214, words.quantity(0, "h"), "start"), label(FIELD.right, 214, words.quantity((lastMs / HOUR_MS).toFixed(1), "h"), "end")),
  el("figcaption", {}, el("ol", { class: "run sizes" }, sizes.map((size, index) => el("li", {}, value(time(size.at)), " ", value(words.quantity(size.value, "mm")),
    index ? [" ", say(words, size.value < least0(sizes, index) ? "newborn.smaller" : "newborn.grown", { n: words.quantity(Math.abs(size.value - least0(sizes, index)), "mm") })] : null)))));
}

/** The smallest size before this one. */
function least0(sizes, index) {
  return Math.min(...sizes.slice(0, index).map((size) => size.value));
}

function rule(y, text, dashes) {
  return [svg("path", { class: "thin", d: `M${FIELD.left} ${y}H${FIELD.right}`, "stroke-dasharray": dashes, "vector-effect": "non-scaling-stroke" }), label(FIELD.left - 8, y + 8, text.replace(/\s.*/, ""), "end")];
}

function label(x, y, text, anchor) {
  return svg("text", { x, y, "text-anchor": anchor }, text);
}

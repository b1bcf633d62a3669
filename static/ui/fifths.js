/**
 * Draw the head in five equal bands above and below the brim.
 */

import { svg } from "./dom.js";

/** Draw the fifths, with the band above the brim washed in. */
export function fifthsDrawing(words) {
  const thin = (d) => svg("path", { class: "thin", d, "vector-effect": "non-scaling-stroke" });
  const bands = [47.5, 71.5, 95.5, 119.5, 143.5].map((y, index) => svg("text", { x: 150, y, "text-anchor": "middle" }, String(index + 1)));
  return svg("svg", { class: "draw fifths", viewBox: "6 8 288 160", role: "img", "aria-label": words.text("before.fifths.picture") },
    svg("path", { class: "wash", d: "M102 54A60 60 0 0 1 198 54z" }),
    svg("circle", { cx: 150, cy: 90, r: 60, "vector-effect": "non-scaling-stroke" }),
    ["M91.2 78H208.8", "M91.2 102H208.8", "M102 126H198"].map(thin),
    svg("path", { class: "heavy", d: "M14 54H96M204 54H286", "vector-effect": "non-scaling-stroke" }),
    svg("path", { d: "M14 54c16 40 30 70 34 112M286 54c-16 40 -30 70 -34 112", "vector-effect": "non-scaling-stroke" }),
    // Above the head's widest reach: a long word beside the head would run into its numbers.
    svg("text", { x: 14, y: 25 }, words.text("before.fifths.brim")), thin("M24 30V50"), bands);
}

/**
 * Draw the baby's head from above with the cup on the flexion point, to scale.
 *
 * In the drawing 2 units are 1 mm along the middle seam, so that the lengths named
 * beside it can be seen to be true for the cup that was chosen.
 */

import { svg } from "./dom.js";

const UNITS_PER_MM = 2;
const SMALL_FONTANELLE_Y = 244;
const LARGE_FONTANELLE_Y = 64;
const MIDDLE_X = 130;

/** Draw the head; `mm` is the cup's diameter, or null before one is chosen. */
export function headDrawing(words, protocol, mm) {
  const { flexion_mm: flexion, edge_mm: edge } = protocol.numbers;
  const length = (row) => words.quantity(row.value / 10, "cm");
  const pointY = SMALL_FONTANELLE_Y - flexion.value * UNITS_PER_MM;
  const lengths = { flexion: length(flexion), edge: length(edge) };
  return svg("svg", { class: "draw head", viewBox: "24 2 432 290", role: "img", "aria-label": words.text("cup.picture", lengths) },
    skull(), mm === null ? null : cup(pointY, mm * UNITS_PER_MM / 2), fontanelles(),
    line("cupline", `M120 ${pointY}h20M130 ${pointY - 10}v20`),
    marks(pointY, edge.value * UNITS_PER_MM), labels(words, pointY, lengths));
}

function skull() {
  return [
    line("", "M117 16q13 -16 26 0"),
    line("", "M130 14C192 14 225 84 225 160C225 232 188 284 130 284C72 284 35 232 35 160C35 84 68 14 130 14z"),
    line("", "M36 140c-12 -4 -14 26 -1 30M224 140c12 -4 14 26 1 30"),
    line("thin", "M130 15V28M118 47C86 56 60 82 44 102M142 47C174 56 200 82 216 102"),
    line("thin", "M130 64V236M124 248C102 256 86 258 68 248M136 248C158 256 174 258 192 248"),
  ];
}

function cup(y, radius) {
  return [radius, radius - 8].map((r, index) => svg("circle", {
    class: index === 0 ? "cup" : "cupline", cx: MIDDLE_X, cy: y, r, "vector-effect": "non-scaling-stroke",
  }));
}

function fontanelles() {
  return [line("fon", "M130 28L142 47 130 64 118 47z"), line("fon", "M130 234l8 13h-16z")];
}

function marks(pointY, edge) {
  const front = LARGE_FONTANELLE_Y + edge;
  return [
    line("thin", `M144 47H248M142 ${pointY}H248M141 ${SMALL_FONTANELLE_Y}H248M134 ${LARGE_FONTANELLE_Y}H236M134 ${front}H236`),
    arrow(pointY, SMALL_FONTANELLE_Y), arrow(LARGE_FONTANELLE_Y, front),
  ];
}

function arrow(from, to) {
  return line("", `M228 ${from + 3}V${to - 3}M224 ${from + 9}l4 -6 4 6M224 ${to - 9}l4 6 4 -6`);
}

function labels(words, pointY, lengths) {
  const label = (y, text, rest = {}) => svg("text", { x: 256, y, ...rest }, text);
  return [
    label(54, words.text("cup.large_fontanelle")),
    label(104, words.text("cup.or_more", { edge: lengths.edge })),
    label(pointY + 1, words.text("cup.flexion_point"), { class: "b" }),
    label((pointY + SMALL_FONTANELLE_Y) / 2 + 10, lengths.flexion),
    label(264, words.text("cup.small_fontanelle")),
    svg("text", { x: 26, y: 26 }, words.text("cup.face")),
  ];
}

function line(kind, d) {
  return svg("path", { class: kind || null, d, "vector-effect": "non-scaling-stroke" });
}

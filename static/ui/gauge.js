/**
 * Draw the gauge of the post: what is set, the working band, and where the air ends.
 *
 * The post's own unit stands below the band, another one above it. The band is torn
 * off at what the pump can reach at this height; beyond it is only hatching.
 */

import { formatReading, pascals, readingFromPascals, shownDecimals } from "../core/units.js";
import { svg } from "./dom.js";

const LEFT = 20;
const WIDTH = 560;
const TOP_PA = 80000;
// A longer sign of a unit is drawn as narrow as this, so that it ends before the first mark.
const LONGEST_SIGN = 6;
const SIGN_WIDTH = 106;
// Round marks of each gauge, in thousandths of its unit; the last is the ceiling.
const TICKS = {
  kpa: [20000, 40000, 60000, 80000],
  mmhg: [150000, 300000, 450000, 600000],
  kgf_cm2: [200, 400, 600, 800],
  bar: [200, 400, 600, 800],
  inhg: [6000, 12000, 18000, 23600],
};

/** Draw the gauge. `nowPa` is null when nothing is set; `reachPa` null when the height is not known. */
export function gaugeDrawing(words, { unit, nowPa, reachPa, working }) {
  const end = Math.min(reachPa ?? TOP_PA, TOP_PA);
  const low = Math.min(pascals(unit, working.floor[unit]), end);
  const other = otherUnit(unit);
  return svg("svg", { class: "draw gauge", viewBox: "8 0 612 132", role: "img", "aria-label": inWords(words, unit, nowPa, working, end) },
    hatching(),
    box("empty", 0, low), nowPa ? box("ink", 0, Math.min(nowPa, end)) : null, box("work", Math.max(low, nowPa ?? 0), end),
    end < TOP_PA ? [beyond(end), torn(end)] : null,
    line(null, `M${x(end)} 44H${LEFT}V88H${x(end)}${end < TOP_PA ? "" : "V44"}`),
    ticks(unit, other, end), ends(words, unit, other), nowPa ? nowLabel(words, unit, nowPa) : null);
}

/** Show a reach rounded down, never up: nobody is told to raise suction past the air. */
export function floorShown(unit, pa) {
  const step = 10 ** (3 - shownDecimals(unit));
  return Math.floor(readingFromPascals(unit, pa) / step) * step;
}

/** Give the unit that stands beside the post's own. */
export function otherUnit(unit) {
  return unit === "kpa" ? "mmhg" : "kpa";
}

function x(pa) {
  return LEFT + WIDTH * pa / TOP_PA;
}

function box(kind, from, to) {
  return to > from ? svg("rect", { class: kind, x: x(from), y: 44, width: x(to) - x(from), height: 44 }) : null;
}

function beyond(end) {
  return svg("rect", { class: "beyond", x: x(end), y: 44, width: x(TOP_PA) - x(end), height: 44, fill: "url(#hatch)" });
}

function hatching() {
  return svg("defs", {}, svg("pattern", { id: "hatch", width: 9, height: 9, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svg("path", { d: "M0 0V9", class: "hatch" })));
}

function torn(end) {
  return line("heavy cutedge", `M${x(end)} 36l-5 10 10 10-10 10 10 10-10 10 5 10`);
}

function ticks(unit, other, end) {
  const isTorn = end < TOP_PA;
  const keep = (pa) => pa <= end && !(isTorn && Math.abs(x(pa) - x(end)) < 40);
  const marks = (one) => TICKS[one].map((reading) => [pascals(one, reading), reading]).filter(([pa]) => keep(pa));
  const own = [...marks(unit), ...(isTorn ? [[end, floorShown(unit, end)]] : [])];
  return [
    own.map(([pa, reading]) => [line(null, `M${x(pa)} 88v8`), mark(pa, 124, formatReading(unit, reading), "b")]),
    marks(other).map(([pa, reading]) => [line(null, `M${x(pa)} 36v8`), mark(pa, 28, formatReading(other, reading))]),
  ];
}

function short(unit, pa) {
  return formatReading(unit, readingFromPascals(unit, pa));
}

function mark(pa, y, text, kind) {
  return svg("text", { x: x(pa), y, "text-anchor": "middle", class: kind ?? null }, text);
}

function ends(words, unit, other) {
  return [[unit, 124, "b"], [other, 28, null]].map(([one, y, kind]) => (
    svg("text", { x: LEFT - 8, y, class: kind, ...narrowed(words.symbol(one)) }, words.quantity("", one).trim())));
}

function narrowed(sign) {
  return sign.length > LONGEST_SIGN ? { textLength: SIGN_WIDTH, lengthAdjust: "spacingAndGlyphs" } : {};
}

function nowLabel(words, unit, pa) {
  const text = words.text("cup.gauge_now", { n: short(unit, pa) });
  const inside = x(pa) - LEFT > 200;
  const at = Math.min(x(pa), x(TOP_PA));
  return svg("text", { class: inside ? "onink" : null, x: inside ? at - 10 : at + 10, y: 77, "text-anchor": inside ? "end" : "start" }, text);
}

function inWords(words, unit, nowPa, working, end) {
  const shown = (reading) => words.reading(unit, reading);
  const high = end < TOP_PA ? floorShown(unit, end) : working.ceiling[unit];
  return words.text("cup.gauge_picture", {
    top: shown(working.ceiling[unit]), now: nowPa ? shown(readingFromPascals(unit, nowPa)) : words.text("cup.gauge_none"),
    low: shown(Math.min(working.floor[unit], high)), high: shown(high),
  });
}

function line(kind, d) {
  return svg("path", { class: kind, d, "vector-effect": "non-scaling-stroke" });
}

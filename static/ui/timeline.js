/**
 * Draw a birth along its minutes: suction, pulls, what came off, the heart, the advice.
 *
 * Readable in grey: a descent pull is filled and has the letter of its kind, a perineal one
 * is hatched. The same data stand in the lists of the record.
 */

import { svg } from "./dom.js";
import { FIELD, axisOf, inRows, moments, rowsFrom, rowsOf, suctionSteps } from "./timeline_data.js";

const LINE = 28;
const TOP_PA = 100000;
const PLOT = 120;
const MARKS_PA = [20000, 60000, 80000];
const BAR = 36;
const LEAST_BAR = 5;

/** Draw the timeline of a case. `zero` is its first minute and `pulls` the pulls as told. */
export function timelineDrawing(words, theCase, { zero, pulls, summary }) {
  const axis = axisOf(theCase, zero);
  const lanes = [
    eventsLane(words, theCase, axis), adviceLane(words, theCase, axis), suctionLane(words, theCase, axis),
    pullLane(words, axis, pulls), heartLane(words, theCase, axis),
  ];
  let y = 0;
  const drawn = lanes.map(({ height, draw }) => {
    const part = svg("g", {}, draw(y));
    y += height;
    return part;
  });
  return svg("svg", { class: "draw timeline", viewBox: `0 0 1000 ${y + 2 * LINE + 8}`, role: "img", dir: "ltr", "aria-label": summary },
    hatching(), throughLines(theCase, axis, lanes[0].height, y), drawn, axisPart(words, axis, y));
}

/** Draw one sign of the drawing alone, for the list of signs below it. */
export function signDrawing(name) {
  return svg("svg", { class: "draw sign", viewBox: "-22 -18 44 36", "aria-hidden": "true" }, SIGNS[name]());
}

const SIGNS = {
  descent: () => svg("rect", { class: "traction", x: -18, y: -14, width: 36, height: 28 }),
  perineal: () => [svg("rect", { class: "traction hatched", fill: "url(#timeline-hatch)", x: -18, y: -14, width: 36, height: 28 })],
  yes: () => line("M0 -13V13M-8 5l8 9 8 -9"),
  no: () => line("M-10 -10L10 10M10 -10L-10 10"),
  unsure: () => svg("text", { y: 9, "text-anchor": "middle", class: "b" }, "?"),
  hiss: () => line("M-12 -8q8 5 0 10t0 10M0 -8q8 5 0 10t0 10M12 -8q8 5 0 10t0 10"),
  caution: () => svg("path", { class: "triangle", d: "M0 -15L17 14H-17z", "vector-effect": "non-scaling-stroke" }),
  stop: () => [svg("path", { class: "octagon", d: "M-7 -16h14l9 9v14l-9 9h-14l-9 -9v-14z", "vector-effect": "non-scaling-stroke" }), svg("path", { class: "onoctagon", d: "M-8 0H8", "vector-effect": "non-scaling-stroke" })],
};

function sign(name, x, y) {
  return svg("g", { transform: `translate(${x} ${y})` }, SIGNS[name]());
}

function eventsLane(words, theCase, axis) {
  const labels = inRows(moments(theCase, axis.zero).map((row) => ({
    at: axis.x(row.ms), row, text: words.text(`record.mark.${row.kind}`) + (axis.isBeyond(row.ms) ? " \u2192" : ""),
  })));
  const height = rowsOf(labels) * LINE + 6;
  return { height, draw: (y) => labels.map(({ x, line: at, text }) => label(x, y + (at + 1) * LINE - 6, text, "middle")) };
}

function throughLines(theCase, axis, top, bottom) {
  return moments(theCase, axis.zero).filter((row) => !axis.isBeyond(row.ms)).map((row) => svg("path", {
    class: ["cup_detached", "vacuum_stopped"].includes(row.kind) ? null : "thin", "stroke-dasharray": row.kind === "cup_detached" ? "8 6" : null,
    d: `M${axis.x(row.ms)} ${top}V${bottom}`, "vector-effect": "non-scaling-stroke",
  }));
}

function adviceLane(words, theCase, axis) {
  const shown = rowsFrom(theCase, axis.zero).filter((row) => row.kind === "advice_shown" && ["caution", "stop"].includes(row.facts.level));
  const marks = inRows(shown.map((row) => ({ at: axis.x(row.ms), text: "mm", row })));
  const height = Math.max(1, rowsOf(marks)) * 40 + 4;
  return { height, draw: (y) => [name(words, "advice", y + 28), marks.map(({ x, line: at, row }) => sign(row.facts.level, x, y + 20 + at * 40))] };
}

function suctionLane(words, theCase, axis) {
  const steps = suctionSteps(theCase, axis.zero, axis.end);
  const labels = inRows(steps.map((step) => ({ ...step, at: axis.x(step.ms) + 4, text: readingText(words, step.row) })));
  const above = rowsOf(labels) * LINE + 8;
  const level = (y, pa) => y + above + PLOT - Math.min(pa / TOP_PA, 1) * PLOT;
  const draw = (y) => [
    name(words, "suction", y + above + 22),
    MARKS_PA.map((pa) => [svg("path", { class: "rule", d: `M${FIELD.left} ${level(y, pa)}H${FIELD.right}`, "vector-effect": "non-scaling-stroke" }),
      label(FIELD.left - 10, level(y, pa) + 8, String(pa / 1000), "end")]),
    steps.map((step) => stepLine(axis, step, level, y)),
    labels.map(({ x, line: at, text }) => label(x, y + (at + 1) * LINE - 4, text, "middle")),
  ];
  return { height: above + PLOT + 10, draw };
}

/** A step without a reading has no height: a broken line on the ground says so. */
function stepLine(axis, { ms, until, pa }, level, y) {
  const [from, to, ground] = [axis.x(ms), axis.x(until), level(y, 0)];
  if (pa === null) return svg("path", { class: "unknown", d: `M${from} ${ground}H${to}`, "stroke-dasharray": "6 8", "vector-effect": "non-scaling-stroke" });
  return svg("path", { class: "heavy step", d: `M${from} ${ground}V${level(y, pa)}H${to}V${ground}`, "vector-effect": "non-scaling-stroke" });
}

function readingText(words, { facts }) {
  return facts.reading === undefined || facts.unit === undefined ? words.text("app.not_recorded") : words.reading(facts.unit, facts.reading);
}

function pullLane(words, axis, pulls) {
  const bars = inRows(pulls.map((pull) => ({
    at: (axis.x(pull.began_ms) + axis.x(pull.ended_ms ?? axis.end)) / 2, pull,
    text: words.text("record.pull_mark", { n: pull.number, letter: words.text(`record.letter.${pull.phase}`) }),
  })));
  const above = Math.max(1, rowsOf(bars)) * LINE;
  const draw = (y) => [
    name(words, "pulls", y + above + 28), name(words, "down", y + above + BAR + 34),
    bars.map(({ pull, x, line: at, text }) => svg("g", {}, label(x, y + (at + 1) * LINE - 4, text, "middle"),
      pull.pieces.map((piece) => bar(axis, pull, piece, y + above)), endSign(pull, x, y + above + BAR))),
  ];
  return { height: above + BAR + 52, draw };
}

/** Whether the head came down; a dash where nobody told. */
function endSign({ end }, x, y) {
  if (end === null) return label(x, y + 34, "–", "middle");
  return ["yes", "no", "unsure"].includes(end) ? sign(end, x, y + 26) : null;
}

function bar(axis, pull, piece, y) {
  const from = axis.x(piece.began_ms);
  const width = Math.max(LEAST_BAR, axis.x(piece.ended_ms ?? axis.end) - from);
  return svg("rect", {
    class: pull.phase === "perineal" ? "traction hatched" : "traction", fill: pull.phase === "perineal" ? "url(#timeline-hatch)" : null,
    "stroke-dasharray": pull.end_known ? null : "5 4", x: from, y, width, height: BAR, "vector-effect": "non-scaling-stroke",
  });
}

function heartLane(words, theCase, axis) {
  const rows = rowsFrom(theCase, axis.zero);
  const counts = inRows(rows.filter((row) => row.kind === "fetal_heart_counted").map((row) => ({ at: axis.x(row.ms), text: heartText(words, row.facts) })));
  const hisses = rows.filter((row) => row.kind === "hiss_heard");
  const height = Math.max(1, rowsOf(counts)) * LINE + (hisses.length ? 40 : 0) + 10;
  const draw = (y) => [
    hisses.length ? [name(words, "hiss", y + 26), hisses.map((row) => sign("hiss", axis.x(row.ms), y + 18))] : null,
    name(words, "heart", y + height - 14 - (rowsOf(counts) > 1 ? LINE : 0)),
    counts.map(({ x, line: at, text }) => label(x, y + (hisses.length ? 40 : 0) + (at + 1) * LINE - 4, text, "middle", "b")),
  ];
  return { height, draw };
}

function heartText(words, { bpm, heard }) {
  if (bpm !== undefined) return String(bpm);
  return heard === "no" ? words.text("pull.not_heard") : "?";
}

function axisPart(words, axis, y) {
  return [
    line(`M${FIELD.left} ${y}H${FIELD.right}`),
    axis.ticks.map((minutes) => [line(`M${axis.minute(minutes)} ${y}v8`), label(axis.minute(minutes), y + LINE + 4, String(minutes), "middle")]),
    name(words, "minutes", y + LINE + 4),
  ];
}

function hatching() {
  return svg("defs", {}, svg("pattern", { id: "timeline-hatch", width: 9, height: 9, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svg("path", { d: "M0 0V9", class: "stroke" })));
}

function name(words, id, y) {
  return label(0, y, words.text(`record.lane.${id}`), "start");
}

function label(x, y, text, anchor, kind = null) {
  return svg("text", { x, y, "text-anchor": anchor, class: kind }, text);
}

function line(d) {
  return svg("path", { d, "vector-effect": "non-scaling-stroke" });
}

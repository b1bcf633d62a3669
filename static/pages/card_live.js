/**
 * The cup on the wall card: its steps, two stages of suction, and boxes to tick by pencil.
 */

import { reachablePascals } from "../core/air.js";
import { pascals } from "../core/units.js";
import { el, say, value } from "../ui/dom.js";
import { floorShown, otherUnit } from "../ui/gauge.js";
import { icon } from "../ui/icons.js";

const NO_POST = { gauge_unit: "kpa" };

/** Draw steps and suction beside the boxes. */
export function livePart(view) {
  const { words, protocol } = view;
  return el("section", { class: "card-live" },
    el("div", { class: "card-cup" }, el("h2", {}, words.text("card.cup")), el("ol", { class: "card-steps" }, protocol.steps.map((step) => stepLine(view, step)))),
    el("div", { class: "card-count" }, el("h2", {}, words.text("card.count")), counters(view), pullTable(view)));
}

function stepLine(view, step) {
  const { words, protocol } = view;
  const only = step.only ? [" (", words.listed(step.only.filter((kind) => kind !== "unsure").map((kind) => words.text(`cup.kind.${kind}`))), ")"] : null;
  const text = step.form === "suction" ? suction(view, limitOf(protocol, step.stage)) : [words.text(`cup.step.${step.id}`), only];
  return el("li", { class: step.form === "suction" ? "stage" : null }, el("span", {}, text), step.form === "placement" ? clockLine(words) : null);
}

function clockLine(words) {
  return el("span", { class: "to-write" }, words.text("card.cup_on_at"), el("span", { class: "blank" }));
}

function limitOf(protocol, stage) {
  return protocol.limits.find((row) => row.judge === "suction" && row.stage === stage);
}

/** The stage in the post's unit with the other beside it; never more than the air allows. */
function suction(view, row) {
  const { words } = view;
  const { unit } = gaugeOf(view);
  const name = el("b", {}, words.text(`cup.step.${row.stage}`), ": ");
  if (row.show) return [name, el("b", {}, bothUnits(words, unit, row.show))];
  return [name, el("b", {}, band(view, row)), ". ", words.text("cup.one_step"), ". ", say(words, "cup.no_higher", { value: words.reading(unit, row.ceiling[unit]) }), ".", height(view, row)];
}

function bothUnits(words, unit, readings) {
  const other = otherUnit(unit);
  return [value(words.reading(unit, readings[unit])), " (", value(words.reading(other, readings[other])), ")"];
}

function band(view, row) {
  const { words } = view;
  const { unit } = gaugeOf(view);
  return [range(words, unit, row, topOf(view, row, unit)), " (", range(words, otherUnit(unit), row, topOf(view, row, otherUnit(unit))), ")"];
}

function range(words, unit, row, top) {
  return top <= row.floor[unit] ? value(words.reading(unit, top))
    : el("span", {}, say(words, "app.quantity_range", words.readingEnds(unit, row.floor[unit], top)));
}

function topOf(view, row, unit) {
  const { reach } = gaugeOf(view);
  return reach === null ? row.ceiling[unit] : Math.min(row.ceiling[unit], floorShown(unit, reach));
}

/** What the height of the post does to the pump, where it does anything. */
function height(view, row) {
  const { words } = view;
  const { unit, reach, altitude } = gaugeOf(view);
  if (reach === null) return [" ", words.text("card.height_unknown")];
  if (reach >= pascals(unit, row.ceiling[unit])) return null;
  const told = say(words, "cup.altitude", { height: words.quantity(altitude, "m"), value: words.reading(unit, floorShown(unit, reach)) });
  return [" ", told, ". ", reach < pascals(unit, row.floor[unit]) ? words.text("card.too_high") : null];
}

function gaugeOf({ link, protocol }) {
  const { gauge_unit: unit, altitude_m: altitude = null } = link.post() ?? NO_POST;
  return { unit, altitude, reach: altitude === null ? null : reachablePascals(altitude, protocol.numbers.reach_permille.value) };
}

/** One row a limit that stops: as many boxes as the stop has, or the minutes to write down. */
function counters({ words, protocol }) {
  return el("ul", { class: "card-limits" }, protocol.limits.filter((row) => row.levels.some(({ level }) => level === "stop"))
    .map((row) => el("li", {}, el("span", { class: "name" }, words.text(`settings.limit.${row.id}`)), MARKS[row.judge](words, row))));
}

const MARKS = {
  count: (words, row) => el("span", { class: "boxes" }, Array.from({ length: stopAt(row) }, (_, index) => [el("span", { class: "box large" }), markAt(row, index + 1)])),
  time: (words, row) => el("span", { class: "boxes" }, row.levels.map(({ level, at }) => [el("span", { class: "timed" }, value(words.quantity(at, "min")), " ", icon(level), el("span", { class: "blank" })), " "])),
  suction: (words, row) => el("span", { class: "boxes" }, say(words, "settings.above", { high: words.quantity(row.outer, "kpa") }), " ", icon("stop")),
  done: (words) => el("span", { class: "boxes" }, words.text("settings.when_found"), " ", icon("stop")),
};

function stopAt(row) {
  return row.levels.find(({ level }) => level === "stop").at;
}

/** The sign after a box; where a last caution and the stop meet, it is the stop. */
function markAt(row, number) {
  const reached = row.levels.filter(({ at }) => at === number).map(({ level }) => level);
  if (reached.includes("stop")) return icon("stop");
  return reached.length ? icon(reached[0]) : null;
}

/** A line a pull, for whoever writes while the tablet is dark. */
function pullTable({ words, protocol }) {
  const most = stopAt(protocol.limits.find(({ id }) => id === "pulls"));
  const { low, high } = protocol.limits.find(({ judge }) => judge === "rate");
  const answers = ["app.yes", "app.no", "app.not_sure"].map((id) => [el("span", { class: "box" }), words.text(id), " "]);
  return el("table", { class: "card-pulls" }, el("thead", {}, el("tr", {}, ["pull", "began", "kind", "down"].map((id) => el("th", { scope: "col" }, words.text(`card.column.${id}`))),
    el("th", { scope: "col" }, words.text("card.column.heart"), " ", value(`${low}\u2013${words.quantity(high, "bpm")}`)))),
    el("tbody", {}, Array.from({ length: most }, (_, index) => el("tr", {}, el("th", { scope: "row" }, value(String(index + 1))), el("td"),
      el("td", {}, ["descent", "perineal"].map((phase) => [el("span", { class: "box" }), words.text(`record.letter.${phase}`), " "])), el("td", {}, answers.map((one) => one.map((part) => (part.cloneNode ? part.cloneNode(true) : part)))), el("td")))));
}

/**
 * Cup: which cup, where it goes, the rim swept, and suction in two stages.
 */

import { visible } from "../core/alarm.js";
import { reachable } from "../core/limits.js";
import { pascals } from "../core/units.js";
import { banner } from "../ui/banner.js";
import { el, say, value } from "../ui/dom.js";
import { fitLabels } from "../ui/fit.js";
import { floorShown, gaugeDrawing, otherUnit } from "../ui/gauge.js";
import { haltKey } from "../ui/halt.js";
import { headDrawing } from "../ui/head.js";
import { bedOf, header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";
import { choosing, moving, placing, reading, sweeping } from "./cup_answers.js";
import { chosenCup, cupSteps } from "./cup_steps.js";
import { suctionAnswers } from "./suction_answers.js";
import { suctionRow, topReading } from "./suction_band.js";

const LATER_SHOWN = 1;

/** Draw the screen on which the cup goes on. */
export function cupPage(view) {
  const { words, protocol, theCase, findings, measured } = view;
  const steps = cupSteps(theCase, protocol);
  const { mm } = chosenCup(theCase);
  const bed = bedOf(words, theCase);
  const detail = [bed, bed && mm ? " · " : "", ...(mm ? say(words, "cup.size", { mm: words.quantity(mm, "mm") }) : [])];
  const placeOf = el("figure", { class: "place-cup" },
    el("figcaption", { class: "lead" }, words.text("cup.title")), headDrawing(words, protocol, mm));
  const main = el("main", { class: "cup", data: { on: theCase.cup_on ? "" : null } }, placeOf,
    el("section", { class: "suction" }, banner(words, visible(theCase, findings), measured),
      el("ol", { class: "stages" }, shownSteps(steps).map((step) => stepRow(view, step)), pullRow(view, steps)),
      gaugePart(view)),
    el("div", { class: "side" }, theCase.applications.length ? haltKey(view) : null, undoKey(view)));
  const top = header(words, { title: words.text("place.cup"), heading: "h1", detail, onBack: () => view.go("home") });
  return { node: el("div", { class: "screen cup-page" }, top, main), placed: () => fitLabels(placeOf) };
}

/** One finished step stays in sight above the one that is now, and what comes next below it. */
function shownSteps(steps) {
  const now = steps.findIndex((step) => step.state !== "done");
  if (now < 0) return steps.slice(-2);
  return steps.slice(Math.max(0, now - 1), now + 1 + LATER_SHOWN);
}

function stepRow(view, step) {
  const { words } = view;
  const title = words.text(`cup.step.${step.id}`);
  if (step.state === "now") {
    return el("li", { class: "nowstep", "aria-current": "step", data: { step: step.id } },
      el("p", { class: "lead" }, title), step.form === "suction" ? band(view, step) : null, answersFor(view, step));
  }
  const target = step.form === "suction" && step.state === "later" ? band(view, step) : null;
  const told = step.state === "done" ? doneText(view, step) : null;
  return el("li", { class: step.state, data: { step: step.id } }, step.state === "done" ? icon("yes") : null,
    el("p", {}, el("span", { class: step.form === "suction" ? "lead" : null }, told ?? title), target));
}

function doneText({ words }, { form, stage, told }) {
  if (form === "placement") return words.text("cup.done.place");
  if (form === "sweep") return words.text("cup.done.sweep");
  if (form !== "suction" || told.facts.reading === undefined) return null;
  return [words.text(`cup.step.${stage}`), " ", el("span", { class: "val" }, value(words.reading(told.facts.unit, told.facts.reading)))];
}

/** The band in the post's unit with the other unit beside it, cut off where the air ends. */
function band(view, step) {
  const { words, protocol, theCase } = view;
  const row = suctionRow(protocol, step.stage);
  const unit = theCase.gauge_unit;
  const both = [unit, otherUnit(unit)].map((one) => (row.show ? value(words.reading(one, row.show[one])) : range(view, row, one)));
  return el("span", { class: "val" }, both[0], " ", el("span", { class: "other" }, both[1]),
    step.stage === "working" ? el("span", { class: "how" }, words.text("cup.one_step")) : null);
}

function range(view, row, unit) {
  const { words } = view;
  const top = topReading(view, row, unit);
  const low = Math.min(row.floor[unit], top);
  return low === top ? value(words.reading(unit, top))
    : say(words, "app.quantity_range", words.readingEnds(unit, low, top));
}

function answersFor(view, step) {
  if (view.arg === "moved") return moving(view);
  if (step.form === "cup") return choosing(view);
  if (step.form === "read") return reading(view, step);
  if (step.form === "placement") return placing(view);
  return step.form === "sweep" ? sweeping(view) : suctionAnswers(view, step);
}

function pullRow(view, steps) {
  if (steps.some((step) => step.state !== "done")) return null;
  return el("li", { class: "nowstep" }, key({ name: "to-pull", label: view.words.text("cup.pull_now"), sign: "on", look: "on", onTap: () => view.go("pull") }));
}

function gaugePart(view) {
  const { words, theCase, measured, protocol } = view;
  const unit = theCase.gauge_unit;
  const reachPa = reachable(theCase, protocol);
  const working = suctionRow(protocol, "working");
  const drawing = gaugeDrawing(words, { unit, nowPa: measured.suction_pa, reachPa, working });
  return el("figure", { class: "gauge-part" }, drawing, el("figcaption", {},
    reachPa !== null && reachPa < pascals(unit, working.ceiling[unit])
      ? say(words, "cup.altitude", { height: words.quantity(theCase.altitude_m, "m"), value: words.reading(unit, floorShown(unit, reachPa)) })
      : say(words, "cup.no_higher", { value: words.reading(unit, working.ceiling[unit]) })));
}

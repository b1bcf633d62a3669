/**
 * The questions that open after a birth, in the place of the lanes.
 */

import { PARTS, apgarScore } from "../core/apgar.js";
import { el, say } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";
import { allergyTold } from "./after_items.js";
import { bloodSheet, tearSheet, voidSheet } from "./after_mother.js";
import { stepsSheet } from "./after_rounds.js";

const POINTS = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
const PART_POINTS = [0, 1, 2];
const OPEN = "-";
const HOUR_MIN = 60;
const SHEETS = { apgar, placenta, antibiotic, blood: (view, item, at) => bloodSheet(view, at), tear: tearSheet, void: voidSheet, round: stepsSheet, steps: stepsSheet };

/** Draw the question of one item; `at` is how far it has come, or null. */
export function afterSheet(view, item, at) {
  return framed(view, SHEETS[item.form](view, item, at));
}

/** Put the way back under a question. */
export function framed(view, inner) {
  return el("section", { class: "sheet after-sheet" }, inner, el("div", { class: "answers two" },
    key({ name: "cancel", label: view.words.text("after.to_lanes"), sign: "back", onTap: () => view.go("after") }), undoKey(view)));
}

/** Say dose, way and time of a medicine: {dose, route, within, from, each}, all from the protocol. */
export function doseText(words, protocol, id) {
  const medicine = protocol.medicines.find((one) => one.id === id);
  const { due_min: from, late_min: late } = protocol.care.find((row) => row.id === id);
  const { route, parts, preterm } = medicine;
  return {
    dose: parts ? parts.map((part) => words.text(`after.part.${part.name}`, { dose: amount(words, part) })).join(" + ") : amount(words, medicine),
    route: words.text(`after.route.${route}`),
    from: words.quantity(from / HOUR_MIN, "h"), within: words.span(late),
    each: preterm ? amount(words, { dose: preterm.dose_each_kg, unit: preterm.unit }) : "",
  };
}

function amount(words, { dose, unit }) {
  return words.whole(`after.amount.${unit}`, { n: String(dose / 1000).replace(".", words.decimal) });
}

function tell(view, kind, facts, moment) {
  view.next("after");
  view.record(kind, facts, { stamp: moment });
}

/** Five parts of 0 to 2 points; the last one that is told makes the score. `at` holds what was tapped so far. */
function apgar(view, { id }, at) {
  const { words } = view;
  const minute = Number(id.split("_")[1]);
  const asked = el("h2", { class: "lead" }, say(words, "after.apgar_ask", { n: words.quantity(minute, "min") }));
  if (at === "sum") return [asked, sumKeys(view, minute)];
  const told = at ? [...at] : PARTS.map(() => OPEN);
  return [asked, PARTS.map((part, index) => partRow(view, { id, minute, told, part, index })),
    el("div", { class: "answers two" }, key({ name: "apgar-sum", label: words.text("after.apgar_sum"), onTap: () => view.go("after", `${id}/sum`) }), unsureKey(view, minute))];
}

function partRow(view, { id, minute, told, part, index }) {
  const { words, stamp } = view;
  const tap = (points, moment) => {
    const now = told.with(index, String(points));
    if (now.includes(OPEN)) view.go("after", `${id}/${now.join("")}`);
    else tell(view, "apgar_scored", { minute, ...Object.fromEntries(PARTS.map((name, place) => [name, Number(now[place])])) }, moment);
  };
  return el("div", { class: "apgar-part", role: "group", "aria-label": words.text(`after.part.${part}`) }, el("p", {}, el("b", {}, words.text(`after.part.${part}`))),
    el("div", { class: "answers three" }, PART_POINTS.map((points) => key({
      name: `${part}-${points}`, pressed: told[index] === String(points), sign: told[index] === String(points) ? "yes" : null, stamp,
      label: [el("b", {}, String(points)), " ", words.text(`after.part.${part}.${points}`)], onTap: (moment) => tap(points, moment),
    }))));
}

function sumKeys(view, minute) {
  return el("div", { class: "answers points" }, POINTS.map((points) => key({
    name: `points-${points}`, label: [el("b", { class: "num" }, String(points))], stamp: view.stamp, onTap: (moment) => tell(view, "apgar_scored", { minute, score: points }, moment),
  })), unsureKey(view, minute));
}

function unsureKey(view, minute) {
  return key({ name: "points-unsure", label: view.words.text("after.apgar_unsure"), sign: "unsure", stamp: view.stamp, onTap: (moment) => tell(view, "apgar_scored", { minute }, moment) });
}

/** Say a score: "7 of 10", or that it was not counted. */
export function scoreText(words, facts) {
  const score = apgarScore(facts);
  return score === null ? words.text("after.apgar_unsure") : say(words, "after.apgar_score", { n: score, all: POINTS.at(-1) });
}

function placenta(view) {
  const { words, stamp } = view;
  return [el("h2", { class: "lead" }, words.text("after.placenta_ask")),
    threeWays((id, sign) => key({
      name: `placenta-${id}`, label: words.text(`after.placenta.${id}`), sign, stamp,
      onTap: (moment) => tell(view, "placenta_delivered", { complete: id }, moment),
    }), ["yes", "no", "unsure"])];
}

/** Allergy is asked before anything is given; after that a caution stands over what to do. */
function antibiotic(view) {
  const allergy = allergyTold(view.theCase);
  return ["yes", "unsure"].includes(allergy) ? [warned(view.words, allergy), givenKeys(view, allergy), askKeys(view)] : askKeys(view);
}

function warned(words, allergy) {
  const id = allergy === "yes" ? "after.allergic" : "after.allergy_open";
  return el("section", { class: "advice caution", role: "status" }, icon("caution"),
    el("div", {}, el("p", { class: "lead" }, words.text(id)), el("p", {}, words.text(`${id}.more`))));
}

function givenKeys(view, allergy) {
  const { words, stamp, protocol } = view;
  const { dose, unit, route } = protocol.medicines.find((medicine) => medicine.id === "antibiotic");
  const give = (name, label, facts) => key({
    name, label: words.text(label), sign: "yes", stamp,
    onTap: (moment) => tell(view, "medicine_given", { to: "mother", ...facts, allergy }, moment),
  });
  return el("div", { class: "answers" },
    give("other-given", "after.other_given", { medicine: "other_antibiotic" }),
    give("this-given", "after.this_given", { medicine: "antibiotic", dose, unit, route }));
}

function askKeys(view) {
  const { words, stamp } = view;
  return [el("h2", { class: "lead" }, words.text("after.allergy_ask")),
    threeWays((id, sign) => key({
      name: `allergy-${id}`, label: words.text(`after.allergy.${id}`), sign, stamp,
      onTap: (moment) => tell(view, "mother_observed", { what: "antibiotic_allergy", answer: id }, moment),
    }), ["yes", "none", "unsure"])];
}

function threeWays(make, ids) {
  return el("div", { class: "answers three" }, ids.map((id) => make(id, id === "unsure" ? "unsure" : null)));
}

/**
 * The questions that open after a birth: the points of an Apgar, the placenta, the allergy.
 */

import { el, say } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { allergyTold } from "./after_items.js";

const POINTS = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
const HOUR_MIN = 60;

/** Draw the question of one item, in the place of the lanes. */
export function afterSheet(view, item) {
  const sheet = { apgar, placenta, antibiotic }[item.form];
  return el("section", { class: "sheet after-sheet" }, sheet(view, item), el("div", { class: "answers" },
    key({ name: "cancel", label: view.words.text("app.cancel"), sign: "back", onTap: () => view.go("after") })));
}

/** Say dose, way and time of a medicine: {dose, route, within, from, each}, all from the protocol. */
export function doseText(words, protocol, { id, from, late }) {
  const medicine = protocol.medicines.find((one) => one.id === id);
  const { route, parts, preterm } = medicine;
  return {
    dose: parts ? parts.map((part) => words.text(`after.part.${part.name}`, { dose: amount(words, part) })).join(" + ") : amount(words, medicine),
    route: words.text(`after.route.${route}`),
    from: words.quantity(from / HOUR_MIN, "h"), within: late === null ? "" : words.span(late),
    each: preterm ? amount(words, { dose: preterm.dose_each_kg, unit: preterm.unit }) : "",
  };
}

function amount(words, { dose, unit }) {
  return words.text(`after.amount.${unit}`, { n: String(dose / 1000).replace(".", words.decimal) });
}

function tell(view, kind, facts, moment) {
  view.next("after");
  view.record(kind, facts, { stamp: moment });
}

function apgar(view, { minute }) {
  const { words, stamp } = view;
  const score = (moment, points) => tell(view, "apgar_scored", { minute, ...(points !== undefined && { score: points }) }, moment);
  return [
    el("h2", { class: "lead" }, say(words, "after.apgar_ask", { n: words.quantity(minute, "min") })),
    el("div", { class: "answers points" },
      POINTS.map((points) => key({ name: `points-${points}`, label: [el("b", { class: "num" }, String(points))], stamp, onTap: (moment) => score(moment, points) })),
      key({ name: "points-unsure", label: words.text("after.apgar_unsure"), sign: "unsure", stamp, onTap: (moment) => score(moment) })),
  ];
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

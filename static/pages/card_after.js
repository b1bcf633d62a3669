/**
 * The hours after, on the wall card: what is given, when the two are looked at, red flags.
 */

import { el, say, value } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { doseText } from "./after_sheets.js";
import { reasonText } from "./after_tier.js";

const RED_FLAG = 3;

/** Draw what mother and baby need in the hours after. */
export function afterPart(view) {
  const { words } = view;
  return el("section", { class: "card-after" }, el("h2", {}, words.text("card.after")),
    el("div", { class: "card-lanes" }, lane(view, "mother"), lane(view, "baby")),
    el("ul", { class: "card-rounds" }, rounds(view)), reasons(view, RED_FLAG, "card.flags"), reasons(view, 2, "card.raised"));
}

function lane(view, name) {
  const { words, protocol } = view;
  return el("p", {}, el("b", {}, words.text(`after.${name}`), ": "),
    protocol.care.filter((row) => row.lane === name).map((row) => el("span", { class: "led" }, el("span", { class: "box" }), careText(view, row), " ")));
}

function careText({ words, protocol }, row) {
  const medicine = protocol.medicines.find(({ id }) => id === row.id);
  const name = row.facts.minute ? say(words, "after.apgar", { n: words.quantity(row.facts.minute, "min") }) : words.text(`card.care.${row.id}`);
  if (row.facts.minute) return name;
  return [name, medicine ? [" ", amount(words, protocol, row.id)] : null, words.comma(), when(words, row)];
}

function amount(words, protocol, id) {
  const { dose, route } = doseText(words, protocol, id);
  return [value(dose), " ", route];
}

function when(words, { due_min: from, late_min: by }) {
  return from === 0 ? say(words, "card.by", { by: words.span(by) }) : say(words, "card.from_by", { from: words.span(from), by: words.span(by) });
}

function rounds({ words, protocol: { rounds: rows } }) {
  const ticks = (minutes) => minutes.map((minute) => el("span", { class: "led" }, el("span", { class: "box" }), value(words.span(minute)), " "));
  const row = (name, told) => el("li", {}, el("b", {}, name, ": "), told);
  return [
    row(words.text("card.mother"), ticks(rows.mother)),
    ...Object.entries(rows.baby).filter(([, minutes]) => Array.isArray(minutes) && typeof minutes[0] === "number")
      .map(([tier, minutes]) => row(say(words, "card.tier", { tier }), ticks(minutes))),
    row(say(words, "card.tier", { tier: RED_FLAG }), say(words, "card.often", {
      every: words.span(rows.flagged.first_every), long: words.span(rows.flagged.first_for), then: words.span(rows.flagged.then_every),
    })),
  ];
}

function reasons({ words, protocol }, tier, title) {
  const sign = tier === RED_FLAG ? "stop" : "caution";
  return el("div", { class: "card-reasons" }, el("p", {}, icon(sign), el("b", {}, words.text(title)), " ",
    protocol.newborn.filter((row) => row.tier === tier).map((row, index) => [index ? " \u00b7 " : "", el("span", { class: "led" }, reasonText(words, protocol, row.id))])));
}

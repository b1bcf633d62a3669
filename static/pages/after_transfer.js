/**
 * The baby may bleed under the scalp: call, get ready, leave.
 */

import { watch } from "../core/newborn.js";
import { time } from "../language.js";
import { el, say } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { reasonText } from "./after_tier.js";
import { allOf, standing } from "./after_items.js";

const READY = ["warm", "with_mother", "scalp_free"];

/** Draw the transfer of a baby. */
export function transferSheet(view) {
  const { words, theCase, protocol, stamp } = view;
  const flags = watch(theCase, protocol, stamp()).reasons.filter((reason) => reason.tier === 3);
  return [
    el("h2", { class: "line" }, words.text("newborn.transfer")),
    flags.length ? el("ul", { class: "reasons" }, flags.map(({ row }) => el("li", {}, icon("stop"), el("b", {}, reasonText(words, protocol, row))))) : null,
    el("div", { class: "transfer" }, called(view), left(view), handover(view)),
    el("h2", { class: "lead" }, words.text("newborn.before_leaving")),
    el("div", { class: "transfer" }, vitaminK(view), sugar(view), READY.map((what) => ready(view, what))),
  ];
}

function called(view) {
  const { words, theCase, stamp, record } = view;
  const call = theCase.calls.findLast(({ what, ms }) => what === "newborn" || (what === "transfer" && ms >= theCase.baby_born.ms));
  if (call) return kept(say(words, "newborn.called", { time: time(call.at) }));
  return key({ name: "call-newborn", sign: "call", look: "next", label: words.text("newborn.call"), stamp, onTap: (moment) => record("help_called", { what: "newborn", who: "assistant" }, { stamp: moment }) });
}

function left(view) {
  const { words, theCase, stamp, record } = view;
  if (theCase.transfer_left) return kept(say(words, "stop.left", { time: time(theCase.transfer_left.at) }));
  const place = theCase.plan?.place;
  return key({ name: "leaves", sign: "road", look: "next", label: words.text("newborn.leaves"), stamp, onTap: (moment) => record("transfer_left", { ...(place && { place }) }, { stamp: moment }) });
}

function handover({ words, go }) {
  return key({ name: "handover", sign: "send", label: words.text("handover.open"), onTap: () => go("handover", { from: { page: "after", arg: "transfer" } }) });
}

function vitaminK(view) {
  const { words, protocol, stamp, record } = view;
  const given = standing(view.theCase).findLast(({ kind, facts }) => kind === "medicine_given" && facts.medicine === "vitamin_k");
  if (given) return kept([words.text("after.vitamin_k"), " · ", say(words, "after.done", { time: time(given.at) })]);
  const { to, dose, unit, route } = protocol.medicines.find((row) => row.id === "vitamin_k");
  return key({ name: "travel-vitamin_k", label: words.text("newborn.vitamin_k_now"), stamp, onTap: (moment) => record("medicine_given", { to, medicine: "vitamin_k", dose, unit, route }, { stamp: moment }) });
}

function sugar(view) {
  const { words } = view;
  const told = allOf(view.theCase, "baby", "glucose").at(-1);
  if (told) return kept([words.text("baby.name.glucose"), " · ", say(words, "after.done", { time: time(told.at) })]);
  return key({ name: "travel-sugar", label: words.text("newborn.sugar_now"), onTap: () => view.go("after", "glucose") });
}

function ready(view, what) {
  const { words, stamp, record } = view;
  const told = allOf(view.theCase, "baby", "travel").findLast(({ facts }) => facts.answer === what);
  if (told) return kept([words.text(`baby.travel.${what}`), words.comma(), say(words, "after.done", { time: time(told.at) })]);
  return key({ name: `travel-${what}`, label: words.text(`baby.travel.${what}`), stamp, onTap: (moment) => record("baby_observed", { what: "travel", answer: what }, { stamp: moment }) });
}

function kept(text) {
  return el("p", { class: "kept" }, icon("yes"), el("span", {}, text));
}

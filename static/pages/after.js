/**
 * After: two lanes, baby and mother, with what is due, late and done.
 */

import { time } from "../language.js";
import { el, say, value } from "../ui/dom.js";
import { bedOf, header } from "../ui/header.js";
import { holdKey } from "../ui/hold.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";
import { allergyTold, careItems, standing, usedCup } from "./after_items.js";
import { afterSheet, doseText } from "./after_sheets.js";

const MINUTE_MS = 60000;
const MOST_POINTS = 10;
const SEXES = ["girl", "boy", "unsure"];
const SIGNS = { due: "on", late: "clock", later: null };

/** Draw the screen after a birth; the argument names the item whose question is open. */
export function afterPage(view) {
  const { words, theCase, measured, arg } = view;
  if (!theCase?.baby_born) return gone(view);
  const items = careItems(theCase, measured.now_ms);
  const asked = items.find((item) => item.id === arg);
  const main = el("main", { class: "after" }, born(view), usedCup(theCase) ? hat(words) : null,
    asked ? afterSheet(view, asked) : el("div", { class: "lanes" }, lane(view, "baby", items), lane(view, "mother", items)),
    asked ? null : ends(view));
  const node = el("div", { class: "screen after-page scrolls" },
    header(words, { title: words.text("place.after"), detail: [bedOf(words, theCase)], onBack: () => view.go("home") }), main);
  return { node, tick: (later) => tick(main, later, stamped(items)) };
}

/** The birth was taken back, or the case is closed: there is another page for that. */
function gone(view) {
  queueMicrotask(() => (view.theCase ? view.toCase() : view.go("home")));
  return { node: el("div", { class: "screen after-page" }) };
}

function born({ words, theCase, measured }) {
  return el("section", { class: "born" },
    el("h1", { class: "minutes", tabindex: "-1" }, el("b", { data: { since: "birth" } }, value(String(minutesSince(theCase, measured)))),
      " ", el("span", { class: "what" }, words.text("after.since"))),
    el("p", {}, say(words, "after.born_at", { time: time(theCase.baby_born.at) })));
}

function minutesSince(theCase, measured) {
  return Math.max(0, Math.floor((measured.now_ms - theCase.baby_born.ms) / MINUTE_MS));
}

function hat(words) {
  return el("p", { class: "hat" }, icon("baby"), el("b", {}, words.text("after.no_hat")));
}

function lane(view, name, items) {
  const { words } = view;
  return el("section", { class: "lane", data: { lane: name } }, el("h2", { class: "lead" }, words.text(`after.${name}`)),
    name === "baby" ? sex(view) : null,
    el("ul", {}, items.filter((item) => item.lane === name).map((item) => el("li", { data: { item: item.id, state: item.state } }, row(view, item)))));
}

/** Girl or boy belongs to the birth itself, and stays changeable. */
function sex(view) {
  const { words, theCase, desk } = view;
  const birth = standing(theCase).findLast((row) => row.kind === "baby_born");
  return el("div", { class: "answers three sexes", role: "group", "aria-label": words.text("after.sex") }, SEXES.map((id) => {
    const isChosen = theCase.baby_born.sex === id;
    return key({ name: `sex-${id}`, label: words.text(`after.${id}`), sign: isChosen ? "yes" : id === "unsure" ? "unsure" : null, pressed: isChosen, stamp: view.stamp, onTap: () => desk.amend(birth, { sex: id }) });
  }));
}

function row(view, item) {
  const { words } = view;
  if (item.state === "done") return done(view, item);
  const mark = { due: () => words.text("after.due"), late: () => say(words, "after.late", { time: time(item.late_at) }), later: () => say(words, "after.due_at", { time: time(item.due_at) }) }[item.state]();
  return key({
    name: item.id, label: title(view, item), sign: SIGNS[item.state], look: item.state === "later" ? null : "next", tag: item.state === "late" ? "late" : null,
    note: [note(view, item), el("span", { class: "mark" }, mark)], stamp: view.stamp, onTap: (moment) => tap(view, item, moment),
  });
}

function title({ words, theCase }, item) {
  const { id, form, minute } = item;
  if (form === "apgar") return say(words, "after.apgar", { n: words.quantity(minute, "min") });
  if (id === "told") return words.text(usedCup(theCase) ? "after.told" : "after.told_plain");
  return words.text(item.state === "done" && id === "placenta" ? "after.placenta_out" : `after.${id}`);
}

function note(view, item) {
  const { words, theCase, protocol } = view;
  if (!["medicine", "antibiotic"].includes(item.form)) return null;
  const dose = el("span", { class: "dose" }, say(words, `after.dose.${item.id}`, doseText(words, protocol, item)));
  if (item.form === "medicine") return dose;
  const told = allergyTold(theCase);
  const ask = { none: "after.allergy_no", yes: "after.allergic", unsure: "after.allergy_open" }[told] ?? "after.allergy_first";
  return [dose, el("span", { class: "dose" }, words.text(ask))];
}

/** What needs no answer is told with one tap; the rest opens its question. */
function tap(view, item, moment) {
  const { record, protocol, theCase } = view;
  if (item.form === "told") record("newborn_team_told", {}, { stamp: moment });
  else if (item.form === "medicine") record("medicine_given", given(protocol, item.id), { stamp: moment });
  else if (item.form === "antibiotic" && allergyTold(theCase) === "none") record("medicine_given", { ...given(protocol, item.id), allergy: "none" }, { stamp: moment });
  else view.go("after", item.id);
}

function given(protocol, id) {
  const { to, dose, unit, route } = protocol.medicines.find((medicine) => medicine.id === id);
  return { to, medicine: id, dose, unit, route };
}

function done(view, item) {
  const { words } = view;
  const { facts, at } = item.told;
  const found = result(view, item);
  const isOpen = item.form === "placenta" && facts.complete !== "yes";
  return el("div", { class: "told" }, icon("yes"),
    el("p", {}, el("b", {}, title(view, item)), found ? el("b", {}, found) : null, el("span", {}, say(words, "after.done", { time: time(at) }))),
    isOpen ? lookAgain(view, item) : null);
}

/** A placenta that is not surely whole is looked at once more. */
function lookAgain({ words, go }, { id }) {
  return [el("p", { class: "advice caution" }, icon("caution"), el("span", {}, words.text("after.placenta_part"))),
    key({ name: id, label: words.text("after.placenta_again"), onTap: () => go("after", id) })];
}

/** What was found, beyond that it was done. */
function result({ words }, { form, told: { facts } }) {
  if (form === "apgar") return facts.score === undefined ? words.text("after.apgar_unsure") : say(words, "after.apgar_score", { n: facts.score, all: MOST_POINTS });
  if (form === "placenta") return words.text(`after.placenta.${facts.complete}`);
  if (form !== "antibiotic") return null;
  return [facts.medicine === "other_antibiotic" ? words.text("after.other_antibiotic") : null, facts.allergy ? words.text(`after.allergy.${facts.allergy}`) : null]
    .filter(Boolean).flatMap((text, index) => (index ? [", ", text] : [text]));
}

function ends(view) {
  const { words, theCase } = view;
  return el("div", { class: "ends" },
    key({ name: "record", sign: "list", label: words.text("after.record"), onTap: () => view.go("record", theCase.case) }),
    key({ name: "handover", sign: "send", label: words.text("handover.open"), onTap: () => view.go("handover", { from: { page: "after", arg: null } }) }),
    undoKey(view),
    holdKey({ name: "close", label: words.text("after.close"), again: words.text("app.press_again"), sign: "yes", look: "", onDone: () => view.closeCase("complete") }));
}

function stamped(items) {
  return items.map(({ state }) => state).join("|");
}

/** The minutes run; when something falls due the lanes are drawn anew. */
function tick(main, later, drawn) {
  const { theCase, measured } = later;
  if (!theCase?.baby_born) return;
  main.querySelector("[data-since=birth] bdi").textContent = String(minutesSince(theCase, measured));
  if (stamped(careItems(theCase, measured.now_ms)) !== drawn && !later.arg) later.redraw();
}

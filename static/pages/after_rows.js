/**
 * One thing to be done after a birth, as a row of its lane: open, or done with what was found.
 */

import { lostMl } from "../core/bleeding.js";
import { usedCup } from "../core/measures.js";
import { band } from "../core/gestation.js";
import { time } from "../language.js";
import { el, say } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { foundText } from "../ui/observed_words.js";
import { allOf, allergyTold, toldOf } from "./after_items.js";
import { doseText, scoreText } from "./after_sheets.js";

const SIGNS = { due: "on", late: "clock" };
// What is told again and again keeps its key.
const AGAIN = { blood: "after.add", void: "after.add", steps: "after.again", tear: "after.again" };
const TWO_VOLUMES = 2;

/** Draw one row. */
export function itemRow(view, item) {
  return item.state === "done" ? done(view, item) : open(view, item);
}

function open(view, item) {
  const { words, stamp } = view;
  const mark = markText(words, item);
  return key({
    name: item.id, label: title(view, item), sign: SIGNS[item.state], look: SIGNS[item.state] ? "next" : null, tag: item.state === "late" ? "late" : null,
    note: [note(view, item), mark ? el("span", { class: "mark" }, mark) : null], stamp: needsNoAnswer(view, item) ? stamp : undefined, onTap: (moment) => tap(view, item, moment),
  });
}

/** Name a thing that is open in the lane below, where a phone does not show it; a tap leads there and records nothing. */
export function belowRow(view, item) {
  const { words } = view;
  return key({
    name: "below", label: [words.text(`after.${item.lane}`), " · ", title(view, item)], sign: SIGNS[item.state], tag: item.state === "late" ? "late" : null,
    note: [el("span", { class: "mark" }, markText(words, item))], onTap: () => lead(item),
  });
}

function lead({ id }) {
  const row = document.querySelector(`[data-item="${id}"] .key`);
  row?.scrollIntoView({ block: "center" });
  row?.focus({ preventScroll: true });
}

function markText(words, { state, late_at: lateAt, due_at: dueAt }) {
  if (state === "due") return words.text("after.due");
  if (state === "late") return say(words, "after.late", { time: time(lateAt) });
  return state === "later" ? say(words, "after.due_at", { time: time(dueAt) }) : null;
}

function title({ words, theCase }, { id, form, state }) {
  if (form === "apgar") return say(words, "after.apgar", { n: words.quantity(Number(id.split("_")[1]), "min") });
  if (id === "team") return words.text(usedCup(theCase) ? "after.told" : "after.told_plain");
  return words.text(state === "done" && id === "placenta" ? "after.placenta_out" : `after.${id}`);
}

function note(view, item) {
  const { words, theCase, protocol } = view;
  if (item.form === "round") return last(view, item);
  if (!["medicine", "antibiotic"].includes(item.form)) return null;
  const amounts = doseText(words, protocol, item.id);
  // Term is only what was told as term: a baby whose weeks nobody knows may be early.
  const isEarly = item.id === "vitamin_k" && !isTerm(theCase);
  const dose = [el("span", { class: "dose" }, say(words, `after.dose.${item.id}`, amounts)),
    isEarly ? el("span", { class: "dose" }, say(words, "after.dose.vitamin_k_early", amounts)) : null];
  if (item.form === "medicine") return dose;
  const ask = { none: "after.allergy_no", yes: "after.allergic", unsure: "after.allergy_open" }[allergyTold(theCase)] ?? "after.allergy_first";
  return [...dose, el("span", { class: "dose" }, words.text(ask))];
}

function isTerm({ answers }) {
  return answers.weeks?.answer === "value" && band(answers.weeks.value) === "term";
}

function last({ words, theCase }, { lane }) {
  const told = toldOf(theCase, lane, "round");
  return told ? el("span", {}, say(words, "after.last_round", { time: time(told.at) })) : null;
}

function needsNoAnswer({ theCase }, { form }) {
  return form === "told" || form === "medicine" || form === "antibiotic" && allergyTold(theCase) === "none";
}

/** What needs no answer is told with one tap; the rest opens its question. */
function tap(view, item, moment) {
  const { record, protocol } = view;
  if (!needsNoAnswer(view, item)) view.go("after", item.id);
  else if (item.form === "told") record("newborn_team_told", {}, { stamp: moment });
  else record("medicine_given", { ...given(protocol, item.id), ...(item.form === "antibiotic" && { allergy: "none" }) }, { stamp: moment });
}

function given(protocol, id) {
  const { to, dose, unit, route } = protocol.medicines.find((medicine) => medicine.id === id);
  return { to, medicine: id, dose, unit, route };
}

function done(view, item) {
  const { words, theCase } = view;
  const { facts, at } = item.told;
  const found = result(view, item);
  const isPart = item.form === "placenta" && facts.complete !== "yes";
  const again = item.form === "void" && volumes(theCase) < TWO_VOLUMES ? "after.second_void" : AGAIN[item.form];
  return el("div", { class: "told" }, icon("yes"),
    el("p", {}, el("b", {}, title(view, item)), found ? el("b", {}, found) : null, el("span", {}, sinceBirth(view, item), say(words, "after.done", { time: time(at) }))),
    isPart ? lookAgain(view, item) : null, again ? key({ name: `again-${item.id}`, tag: "again", label: words.text(again), onTap: () => view.go("after", item.id) }) : null);
}

/** A placenta that is not surely whole is looked at once more. */
function lookAgain({ words, go }, { id }) {
  return [el("p", { class: "advice caution" }, icon("caution"), el("span", {}, words.text("after.placenta_part"))),
    key({ name: id, label: words.text("after.placenta_again"), onTap: () => go("after", id) })];
}

function volumes(theCase) {
  return allOf(theCase, "mother", "void").filter(({ facts }) => facts.value !== undefined).length;
}

/** A medicine says how many minutes after the birth it was given. */
function sinceBirth({ words, theCase }, { form, told }) {
  if (!["medicine", "antibiotic"].includes(form)) return null;
  const minutes = Math.floor((told.ms - theCase.baby_born.ms) / 60000);
  return minutes < 0 ? null : [say(words, "after.minutes_after", { n: words.span(minutes) }), ". "];
}

/** What was found, beyond that it was done. */
function result({ words, theCase }, { id, lane, form, told: { facts } }) {
  if (form === "apgar") return scoreText(words, facts);
  if (form === "placenta") return words.text(`after.placenta.${facts.complete}`);
  if (form === "blood") return words.quantity(lostMl(theCase), "ml");
  if (form === "tear") return facts.grade === "unsure" ? words.text("app.not_sure") : words.text(`mother.tear.${facts.grade}`);
  if (form === "void") return words.listed(allOf(theCase, "mother", "void").map((row) => foundText(words, lane, row.facts)));
  if (id === "swabs") return swabs(words, theCase);
  if (form === "steps") return foundText(words, lane, id === "scalp_kind" ? toldOf(theCase, lane, id)?.facts ?? facts : facts);
  if (form !== "antibiotic") return null;
  return [facts.medicine === "other_antibiotic" ? words.text("after.other_antibiotic") : null, facts.allergy ? words.text(`after.allergy.${facts.allergy}`) : null]
    .filter(Boolean).flatMap((text, index) => (index ? [words.comma(), text] : [text]));
}

/** Swabs and needles are as many as before, or they are to be looked for. */
function swabs(words, theCase) {
  const countOf = (what) => toldOf(theCase, "mother", what)?.facts.value;
  const pairs = ["swabs", "needles"].map((what) => [countOf(`${what}_before`), countOf(`${what}_after`)]);
  if (pairs.some((pair) => pair.includes(undefined))) return words.text("mother.swabs.open");
  return words.text(pairs.every(([before, after]) => before === after) ? "mother.swabs.same" : "mother.swabs.differ");
}

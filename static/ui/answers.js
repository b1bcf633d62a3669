/**
 * The keys that answer one question: choices of one size, a keypad, or the plan.
 */

import { gestationDays, gestationFromDue, weeksDays } from "../core/gestation.js";
import { bedNames } from "../preferences.js";
import { el, say, value } from "./dom.js";
import { half, letGo } from "./half.js";
import { key } from "./key.js";
import { keypad } from "./keypad.js";
import { planForm } from "./plan_form.js";

const COLUMNS = { 2: "two", 3: "three", 4: "four" };
const BIG = /^\d$/;

/** Make the answers of a question row; `onDone()` is called once the answer is recorded. */
export function answersOf(view, row, onDone) {
  const { words } = view;
  const answer = (id, moment, number) => {
    const facts = { item: row.id, answer: id, ...(number !== undefined && { value: number }) };
    view.record("check_answered", facts, { stamp: moment });
    letGo();
    onDone();
  };
  if (row.form === "plan") return planForm(view, row, onDone);
  if (row.form === "label") return beds(view, answer);
  const keys = row.answers.map(({ id }) => answerKey(view, row, id, answer));
  const choices = el("div", { class: `answers ${COLUMNS[keys.length] ?? "five"}` }, keys);
  if (row.form === "weeks") return el("div", { class: "measured" }, weeksPad(view, answer), choices);
  if (row.form === "bpm") return el("div", { class: "measured" }, beatsPad(view, answer), choices);
  return choices;
}

/** Say what was answered: {text, isUnsure}. */
export function answerText(words, row, theCase) {
  if (row.form === "plan") return { text: words.text(`before.plan.${theCase.plan.next}`), isUnsure: false };
  const given = theCase.answers[row.id];
  if (given.answer === "value") return { text: valueText(words, row, given.value), isUnsure: false };
  if (row.form === "label") return { text: given.answer, isUnsure: false };
  const id = `before.${row.id}.${given.answer}`;
  return { text: words.has(id) ? words.text(id) : given.answer, isUnsure: given.answer === "unsure" };
}

function valueText(words, row, number) {
  if (row.form !== "weeks") return words.quantity(number, "bpm");
  const [w, d] = weeksDays(number);
  return words.text("before.weeks_days", { w, d });
}

function answerKey(view, row, id, answer) {
  const { words, stamp } = view;
  const textId = `before.${row.id}.${id}`;
  const text = words.text(textId);
  const [number, ...rest] = text.split(/[ \u00a0]/);
  // A number that is an answer is shown as large as it is read; what is to be marked stays whole.
  const label = !words.isForeign(textId) && BIG.test(number) ? [el("b", { class: "num" }, value(number)), rest.length ? el("span", {}, rest.join(" ")) : null] : text;
  return key({ name: `answer-${id}`, label, sign: id === "unsure" ? "unsure" : null, stamp, onTap: (moment) => answer(id, moment) });
}

function beds(view, answer) {
  const { words, stamp, settings } = view;
  const keys = bedNames(settings).map((bed) => key({ name: `answer-${bed}`, label: [el("b", { class: "num" }, value(bed))], stamp, onTap: (moment) => answer(bed, moment) }));
  const none = key({ name: "answer-none", label: words.text("before.no_bed"), stamp, onTap: (moment) => answer("–", moment) });
  return el("div", { class: "answers four beds" }, keys, none);
}

function beatsPad(view, answer) {
  const { words, stamp } = view;
  return keypad({
    words, stamp, name: "beats", unit: words.text("before.beats"), most: 3, low: 20, high: 300, okLabel: words.text("keypad.ok"),
    onDone: (text, moment) => answer("value", moment, Number(text)),
  });
}

function weeksPad(view, answer) {
  const { words, stamp } = view;
  const told = half("gestation", { weeks: null });
  const pad = keypad({
    words, stamp, name: "weeks", unit: words.text("before.weeks"), most: 2, low: 20, high: 45, okLabel: words.text("keypad.ok"),
    onDone: (text, moment) => {
      told.weeks = Number(text);
      daysPart(view, pad, told.weeks, moment, answer).focus();
    },
  });
  pad.append(byDate(view, answer));
  if (told.weeks !== null) daysPart(view, pad, told.weeks, null, answer);
  return pad;
}

/** After the weeks the odd days are asked, in the same place; gives the first key. */
function daysPart(view, pad, weeks, moment, answer) {
  const { words, stamp } = view;
  const days = [0, 1, 2, 3, 4, 5, 6].map((day) => key({
    name: `days-${day}`, label: [el("b", { class: "num" }, value(`${weeks}+${day}`))], stamp,
    onTap: (later) => answer("value", later ?? moment, weeks * 7 + day),
  }));
  // Without a way back a slip in the weeks could only be answered wrongly first.
  const anew = key({ name: "weeks-anew", label: words.text("before.weeks"), sign: "back", onTap: () => { letGo(); view.redraw(); } });
  pad.replaceChildren(el("div", { class: "answers four" }, days, anew));
  pad.append(el("p", {}, say(words, "before.weeks_days", { w: weeks, d: "0–6" })));
  return days[0];
}

function byDate(view, answer) {
  const { words, stamp } = view;
  const field = (id, toDays) => el("label", {}, words.text(id),
    el("input", { type: "date", on: { change: (event) => dated(event.target, toDays, stamp, answer) } }));
  return el("details", { class: "by-date" }, el("summary", { data: { key: "by-date" } }, words.text("before.by_date")),
    field("before.last_period", gestationDays), field("before.due_date", gestationFromDue));
}

function dated(input, toDays, stamp, answer) {
  const today = new Date();
  const iso = [today.getFullYear(), today.getMonth() + 1, today.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
  const days = input.value ? toDays(input.value, iso) : null;
  const isLikely = days !== null && days >= 140 && days <= 315;
  input.setAttribute("aria-invalid", String(!isLikely));
  if (isLikely) answer("value", stamp(), days);
}

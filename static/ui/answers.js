/**
 * The keys that answer one question: choices of one size, a keypad, or the plan.
 */

import { bedNames } from "../preferences.js";
import { el, value } from "./dom.js";
import { gestationText } from "./gestation_words.js";
import { letGo } from "./half.js";
import { key } from "./key.js";
import { keypad } from "./keypad.js";
import { planForm } from "./plan_form.js";
import { weeksPad } from "./weeks.js";

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
  return row.form === "weeks" ? gestationText(words, number) : words.quantity(number, "bpm");
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

/**
 * Say the rows of a hand-over: as lines of a page, and as plain text for a file.
 */

import { running, time } from "../language.js";
import { el, say, value } from "./dom.js";
import { gestationText } from "./gestation_words.js";
import { isAmongWords } from "./observed_words.js";

export const PARTS = ["s", "b", "a", "r"];
const PLAIN = { yes: "app.yes", no: "app.no" };

/** Say a row as nodes; what nobody recorded is drawn as a gap. */
export function lineOf(words, { id, values }) {
  const marks = Object.keys(values);
  return say(words, `handover.${id}`, marked(marks), (mark) => nodeOf(words, values[marks[Number(mark)]]));
}

/** Say a row as plain text. */
export function lineText(words, { id, values }) {
  const marks = Object.keys(values);
  const said = words.parts(`handover.${id}`, marked(marks))
    .map((piece) => piece.text ?? plainValue(words, values[marks[Number(piece.value)]])).join("");
  return inOwnName(words, `handover.${id}`, marked(marks), said);
}

/** Say a text of a file; what stands in the source language is told by the name of that language. */
export function plainText(words, id) {
  return inOwnName(words, id, {}, words.text(id));
}

function inOwnName(words, id, values, said) {
  return words.isForeign(id, values) ? `[${words.source.name}] ${said}` : said;
}

/** Values of a list run as the line does, whichever letters the first of them is written in. */
function plainValue(words, told) {
  const many = told?.all ?? told?.beside;
  if (many) return many.map((one) => plainValue(words, one)).join(told.all ? words.comma() : " ");
  const said = textOf(words, told);
  return words.isolated(words.foreign.has(said) ? `[${words.source.name}] ${said}` : said);
}

/** Say a whole hand-over as plain text: its heading, four parts, and lines to follow. */
export function handoverText(words, rows, ends) {
  const parts = PARTS.map((part) => [plainText(words, `handover.part.${part}`).toUpperCase(),
    ...rows.filter((row) => row.part === part).map((row) => `- ${lineText(words, row)}`)].join("\n"));
  return `${[plainText(words, "handover.title"), ...parts, ...ends].join("\n\n")}\n`;
}

/** Give each field its place in the list, so that any value may be put there. */
function marked(names) {
  return Object.fromEntries(names.map((name, index) => [name, String(index)]));
}

function nodeOf(words, told) {
  if (told === null) return el("span", { class: "gap" }, words.text("app.not_recorded"));
  if (told.all) return told.all.flatMap((one, index) => [index ? words.comma() : "", nodeOf(words, one)]);
  if (told.beside) return told.beside.flatMap((one, index) => [index ? " " : "", nodeOf(words, one)]);
  return value(textOf(words, told));
}

/** Say one value as plain text. */
export function textOf(words, told) {
  if (told === null) return words.text("app.not_recorded");
  const say = Object.entries(KINDS).find(([name]) => told[name] !== undefined)[1];
  return say(words, told);
}

const KINDS = {
  all: (words, { all }) => words.listed(all.map((one) => textOf(words, one))),
  beside: (words, { beside }) => beside.map((one) => textOf(words, one)).join(" "),
  word: (words, { word, text }) => wordText(words, word, text),
  text: (words, { text }) => text,
  at: (words, { at }) => time(at),
  span: (words, { span }) => words.span(span),
  length: (words, { length }) => words.quantity(running(length), "min"),
  days: (words, { days }) => gestationText(words, days),
  reading: (words, { reading, unit }) => words.reading(unit, reading),
  dose: (words, { dose, unit }) => words.whole(`after.amount.${unit}`, { n: String(dose / 1000).replace(".", words.decimal) }),
  n: (words, { n, per, unit }) => amount(words, per ? (n / per).toFixed(1) : n, unit),
};

/** A plain yes or no has no words of its own, and what a newer version tells none at all. */
function wordText(words, id, text) {
  if (words.has(id)) return words.text(id);
  return Object.hasOwn(PLAIN, text) ? words.text(PLAIN[text]) : text;
}

function amount(words, number, unit) {
  const digits = String(number).replace(".", words.decimal);
  if (unit === "") return digits;
  return isAmongWords(unit) && words.has(`after.amount.${unit}`) ? words.whole(`after.amount.${unit}`, { n: digits }) : words.quantity(number, unit);
}

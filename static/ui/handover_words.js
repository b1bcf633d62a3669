/**
 * Say the rows of a hand-over: as lines of a page, and as plain text for a file.
 */

import { weeksDays } from "../core/gestation.js";
import { running, time } from "../language.js";
import { el } from "./dom.js";

export const PARTS = ["s", "b", "a", "r"];
const ISOLATE = ["\u2068", "\u2069"];
// Units that the trade writes without a translation of their own stand among the words.
const OWN = new Set(["c", "g", "mmol"]);
const PLAIN = { yes: "app.yes", no: "app.no" };

/** Say a row as nodes; what nobody recorded is drawn as a gap. */
export function lineOf(words, { id, values }) {
  return pieces(words, id, values).map((piece) => (piece.text === undefined ? nodeOf(words, piece.value) : piece.text));
}

/** Say a row as plain text. */
export function lineText(words, { id, values }) {
  return pieces(words, id, values).map((piece) => piece.text ?? isolated(words, textOf(words, piece.value))).join("");
}

/** Say a whole hand-over as plain text: its heading, four parts, and lines to follow. */
export function handoverText(words, rows, ends) {
  const parts = PARTS.map((part) => [words.text(`handover.part.${part}`).toUpperCase(),
    ...rows.filter((row) => row.part === part).map((row) => `- ${lineText(words, row)}`)].join("\n"));
  return `${[words.text("handover.title"), ...parts, ...ends].join("\n\n")}\n`;
}

/** Split a row's text at its fields, each with the value that belongs there. */
function pieces(words, id, values) {
  const marks = Object.keys(values);
  const marked = Object.fromEntries(marks.map((name, index) => [name, String(index)]));
  return words.parts(`handover.${id}`, marked).map((piece) => (
    piece.text === undefined ? { value: values[marks[Number(piece.value)]] } : piece));
}

function nodeOf(words, told) {
  if (told === null) return el("span", { class: "gap" }, words.text("app.not_recorded"));
  if (told.all) return told.all.flatMap((one, index) => [index ? ", " : "", nodeOf(words, one)]);
  if (told.beside) return told.beside.flatMap((one, index) => [index ? " " : "", nodeOf(words, one)]);
  return el("bdi", {}, textOf(words, told));
}

/** Say one value as plain text. */
export function textOf(words, told) {
  if (told === null) return words.text("app.not_recorded");
  const say = Object.entries(KINDS).find(([name]) => told[name] !== undefined)[1];
  return say(words, told);
}

const KINDS = {
  all: (words, { all }) => all.map((one) => textOf(words, one)).join(", "),
  beside: (words, { beside }) => beside.map((one) => textOf(words, one)).join(" "),
  word: (words, { word, text }) => wordText(words, word, text),
  text: (words, { text }) => text,
  at: (words, { at }) => time(at),
  span: (words, { span }) => words.span(span),
  length: (words, { length }) => words.quantity(running(length), "min"),
  days: (words, { days }) => words.text("before.weeks_days", { w: weeksDays(days)[0], d: weeksDays(days)[1] }),
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
  return OWN.has(unit) && words.has(`after.amount.${unit}`) ? words.whole(`after.amount.${unit}`, { n: digits }) : words.quantity(number, unit);
}

/** Values keep their order in a text from right to left. */
function isolated(words, text) {
  return words.dir === "rtl" ? ISOLATE.join(text) : text;
}

/**
 * Before: one question at a time, asked aloud and answered aloud, with the rest in sight.
 */

import { verdict } from "../core/checks.js";
import { answersOf, answerText } from "../ui/answers.js";
import { el, say } from "../ui/dom.js";
import { fifthsDrawing } from "../ui/fifths.js";
import { fitRows } from "../ui/fit.js";
import { bedOf, header } from "../ui/header.js";
import { icon } from "../ui/icons.js";

const IN_SIGHT = 5;
/** The sign of each verdict. */
export const SIGNS = { go: "yes", unknown: "unsure", ask: "caution", not_yet: "caution", refer: "stop" };

/** Draw the question that is next, or the one that was chosen. */
export function beforePage(view) {
  const { words, protocol, theCase, arg } = view;
  const weighed = verdict(theCase, protocol);
  const question = protocol.questions.find((row) => row.id === arg) ?? nextQuestion(protocol, theCase);
  if (!question) {
    // Everything is answered: the verdict is what comes next.
    queueMicrotask(() => view.go("verdict"));
  }
  const number = protocol.questions.indexOf(question) + 1;
  const bed = bedOf(words, theCase);
  const detail = [bed && `${bed} · `, ...say(words, "before.count", { n: number, all: protocol.questions.length })];
  const main = el("main", { class: "before" },
    question ? questionPart(view, question) : null, sight(view, question), verdictBar(view, weighed));
  return { node: el("div", { class: "screen before-page" }, header(words, { title: words.text("place.before"), detail, onBack: () => view.go("home") }), main), placed: () => fitRows(main.querySelector(".sight")) };
}

/** Give the first question that nobody has answered, or undefined. */
export function nextQuestion(protocol, theCase) {
  return protocol.questions.find((row) => !isAnswered(row, theCase));
}

/** Tell whether a question has an answer. */
export function isAnswered(row, theCase) {
  if (row.form === "plan") return theCase.plan !== null;
  return Object.hasOwn(theCase.answers, row.id);
}

/** Draw a verdict as a bar that opens the list. */
export function verdictBar(view, weighed) {
  const { words } = view;
  return el("section", { class: `verdict ${weighed.verdict}`, role: "status" },
    el("button", { type: "button", class: "bare", data: { key: "verdict", verdict: weighed.verdict }, on: { click: () => view.go("verdict") } },
      icon(SIGNS[weighed.verdict]),
      el("span", {}, el("span", { class: "lead" }, words.text(`before.verdict.${weighed.verdict}`)),
        el("span", {}, openText(words, weighed))),
      el("span", { class: "goto" }, el("span", { class: "full" }, words.text("before.see_all")), icon("more"))));
}

/** Say how much is not sure and how much is still to be asked. */
export function openText(words, { reasons, open }) {
  const unsure = reasons.filter((reason) => reason.answer === "unsure").length;
  return say(words, "before.unsure_open", { unsure, open: open.length });
}

function questionPart(view, question) {
  const { words, protocol } = view;
  const note = `before.${question.id}.note`;
  return el("section", { class: "question", data: { question: question.id } },
    el("h1", { class: "lead", tabindex: "-1" }, words.text(`before.${question.id}.ask`)),
    question.drawing === "fifths" ? el("figure", {}, fifthsDrawing(words)) : null,
    words.has(note) ? el("p", { class: "note" }, say(words, note, noteValues(words, protocol))) : null,
    answersOf(view, question, () => view.next("before")));
}

/** The numbers that a note may name are the protocol's own. */
function noteValues(words, protocol) {
  const stop = (limit) => protocol.limits.find((row) => row.id === limit).levels.at(-1).at;
  return { pulls: stop("descent_pulls"), poor: stop("poor_pulls"), times: stop("detachments"), minutes: words.quantity(stop("cup_minutes"), "min") };
}

function sight(view, question) {
  const { words, protocol, theCase } = view;
  const answered = protocol.questions.filter((row) => isAnswered(row, theCase) && row !== question);
  const later = protocol.questions.filter((row) => !isAnswered(row, theCase) && row !== question);
  return el("aside", { class: "sight" },
    answered.length ? el("h2", {}, words.text("before.answered")) : null,
    el("ul", { class: "answered" }, answered.slice(-IN_SIGHT).map((row) => answeredRow(view, row))),
    later.length ? el("p", { class: "todo" }, el("span", { class: "quiet" }, words.text("before.then")), " ",
      words.listed(later.slice(0, 6).map((row) => words.text(`before.${row.id}.short`)))) : null);
}

/** Draw one answered question, as a key that goes back to it. */
export function answeredRow(view, row) {
  const { words, theCase } = view;
  const { text, isUnsure } = answerText(words, row, theCase);
  return el("li", { class: isUnsure ? "unsure" : null },
    el("button", { type: "button", class: "bare", data: { key: `again-${row.id}` }, on: { click: () => view.go("before", row.id) } },
      icon(isUnsure ? "unsure" : "yes"), el("span", {}, words.text(`before.${row.id}.short`)), el("b", {}, text)));
}

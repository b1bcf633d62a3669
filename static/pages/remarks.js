/**
 * Remarks on a birth: what the supervisor wrote, and the answer of the post.
 *
 * Text is typed here, since nothing waits for it.
 */

import { dayTime } from "../language.js";
import { SEEN, placeOf, seenOf, thread } from "../remarks.js";
import { el, say, value } from "../ui/dom.js";
import { key } from "../ui/key.js";

const LONGEST_ANSWER = 1000;
// Places of remarks that were opened here; older ones than these are taken to be read.
const MOST_SEEN = 500;

// Answers begun and not given, by case: the page is drawn anew under whoever types.
const drafts = new Map();

/**
 * Draw what was said of a birth, or null while nobody has said anything.
 *
 * `view` is the view of a page with two things more: `caseId`, and `events`, the events of
 * that case. What is drawn here counts as opened.
 */
export function remarksPart(view) {
  const { words, link, caseId, events, isWriter } = view;
  const said = thread(link.heard(), events, caseId);
  if (!said.length) return null;
  open(view, said);
  return el("section", { class: "remarks" }, el("h2", { class: "lead" }, words.text("remarks.title")),
    el("ol", { class: "entries" }, said.map((one) => entry(words, one))),
    isWriter ? answerForm(view) : null);
}

function entry(words, { kind, at, by, text }) {
  const who = by && kind === "remark_made" ? say(words, "remarks.from", { by }) : [words.text(`remarks.kind.${kind}`), by ? [words.comma(), el("bdi", {}, by)] : null];
  return el("li", { data: { kind } }, el("p", {}, value(dayTime(at)), " ", el("b", {}, who)),
    text ? el("p", { dir: "auto" }, text) : null);
}

function answerForm({ words, desk, caseId, redraw, link }) {
  const field = el("textarea", { rows: "3", maxlength: String(LONGEST_ANSWER), dir: "auto", "aria-label": words.text("remarks.answer"),
    on: { input: () => drafts.set(caseId, field.value) } });
  field.value = drafts.get(caseId) ?? "";
  const told = el("p", { role: "status" });
  const send = key({
    name: "answer-remark", sign: "yes", label: words.text("remarks.answer"),
    onTap: async () => {
      const text = field.value.trim();
      if (!text) return;
      drafts.delete(caseId);
      await desk.recordIn(caseId, "remark_answered", { text });
      field.value = "";
      told.textContent = words.text("remarks.answered");
      link.send();
      redraw();
    },
  });
  return el("div", { class: "answer-remark" }, field, send, told);
}

function open({ settings }, said) {
  const seen = seenOf(settings);
  const fresh = said.filter(({ kind }) => kind === "remark_made").map(placeOf).filter((place) => !seen.has(place));
  if (fresh.length) settings.set(SEEN, [...seen, ...fresh].slice(-MOST_SEEN));
}

/**
 * The parts of the hand-over page that record something: the note, and to whom it was given.
 */

import { rowsOf } from "../core/handover_values.js";
import { time } from "../language.js";
import { el, say } from "../ui/dom.js";
import { lineOf } from "../ui/handover_words.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";

const ABOUT = "handover";
// What fits one entry in any script.
const LONGEST = 700;
const TAKERS = ["doctor", "senior", "midwife", "other"];

// What is half typed, so that a page drawn anew does not lose it.
let draft = { case: null, text: "", caret: 0 };

/** Give the note of a case as the row of its entry, or null. */
export function noteOf(theCase) {
  return rowsOf(theCase, "note_added").findLast(({ facts }) => facts.about === ABOUT && facts.text) ?? null;
}

/** Draw the note: a field while the case is open, and the words of it for paper. */
export function notesSection({ view, theCase, isOpen }) {
  const { words } = view;
  const note = noteOf(theCase);
  return el("section", { class: "notes" }, el("h2", { class: "lead" }, words.text("handover.notes")),
    el("p", { class: isOpen ? "note paper" : "note", dir: "auto" }, note ? note.facts.text : words.text("handover.notes_none")),
    isOpen ? field(view, theCase, note) : null);
}

function field(view, theCase, note) {
  const { words, stamp } = view;
  const isHalf = draft.case === theCase.case;
  const area = el("textarea", { rows: 4, maxlength: LONGEST, data: { key: "note" }, dir: "auto", on: { input: () => {
    draft = { case: theCase.case, text: area.value, caret: area.selectionStart };
  } } });
  area.value = isHalf ? draft.text : note?.facts.text ?? "";
  if (isHalf) area.setSelectionRange(draft.caret, draft.caret);
  return el("div", { class: "writing" }, el("label", {}, el("span", {}, words.text("handover.note_label")), area),
    key({ name: "keep-note", sign: "yes", label: words.text("handover.note_keep"), stamp, onTap: (moment) => keep(view, note, area.value.trim(), moment) }),
    note ? el("p", { class: "quiet" }, say(words, "handover.note_kept", { time: time(note.at) })) : null);
}

/** A changed note amends the first one; an empty one takes it back. */
async function keep({ desk, record, redraw }, note, text, moment) {
  draft = { case: null, text: "", caret: 0 };
  const before = note?.facts.text ?? "";
  if (text === before) redraw();
  else if (!note) await record("note_added", { text, about: ABOUT }, { stamp: moment, tap: false });
  else if (text) await desk.amend(note, { text });
  else await desk.withdraw([note]);
}

/** Draw to whom it was handed over, and the keys that record it. */
export function givenSection({ view, theCase, isOpen }) {
  const { words } = view;
  const given = rowsOf(theCase, "handover_given");
  return el("section", { class: "given" }, el("h2", { class: "lead" }, words.text("handover.given_title")),
    given.length ? given.map((row) => el("p", { class: "kept" }, icon("yes"), el("span", {}, lineOf(words, givenRow(row)))))
      : el("p", {}, words.text("handover.given_none")),
    isOpen ? takers(view, theCase) : null);
}

function givenRow({ facts, at }) {
  return { id: "given_at", values: {
    time: { at }, who: facts.who ? { word: `role.${facts.who}`, text: facts.who } : null, place: facts.place ? { text: facts.place } : null,
  } };
}

function takers(view, theCase) {
  const { words, stamp, record } = view;
  const place = theCase.plan?.place;
  return el("div", { class: "answers two" }, TAKERS.map((who) => key({
    name: `given-${who}`, label: words.text(`role.${who}`), stamp,
    onTap: (moment) => record("handover_given", { who, ...(place && { place }) }, { stamp: moment }),
  })), undoKey(view));
}

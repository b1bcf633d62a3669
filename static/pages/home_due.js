/**
 * The due list of the first screen: what is late, due and next, and the births that are open.
 */

import { place } from "../core/place.js";
import { time } from "../language.js";
import { el, say } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";

// Two births with all they can have; the rest stands among the open births.
const MOST = 8;

/** Draw what is due and the other open births, or nothing. */
export function duePart(view) {
  const rows = shown(view.dues());
  const others = view.openCases().filter((theCase) => theCase.case !== view.desk.caseId());
  if (!rows.length && !others.length) return null;
  return el("section", { class: "dues" },
    rows.length ? [el("h2", { class: "lead" }, view.words.text("home.due")), el("ul", {}, rows.map((item) => el("li", {}, dueRow(view, item))))] : null,
    others.length ? el("ul", {}, others.map((theCase) => el("li", {}, openRow(view, theCase)))) : null);
}

/**
 * Give the most urgent thing of each mother and each baby, with how many more are late or due.
 *
 * A look that has come due stands beside it: what was missed hours ago must not hide it.
 */
function shown(dues) {
  const firsts = new Map();
  const rows = [];
  for (const item of dues) {
    const whose = `${item.case}/${item.lane}`;
    const first = firsts.get(whose);
    if (first && item.state === "later") continue;
    if (first && !item.id.endsWith("_round")) first.more += 1;
    else rows.push({ ...item, more: 0 });
    if (!first) firsts.set(whose, rows.at(-1));
  }
  return rows.slice(0, MOST);
}

/** What changes the list as time passes. */
export function dueStamp(dues) {
  return dues.map((item) => `${item.case}${item.id}${item.minute}${item.state}`).join("|");
}

function dueRow(view, item) {
  const { words } = view;
  const mark = { late: () => say(words, "after.late", { time: time(item.late_at) }), due: () => words.text("after.due"), later: () => say(words, "after.due_at", { time: time(item.due_at) }) }[item.state]();
  return key({
    name: `due-${item.case}-${item.id}`, sign: { late: "clock", due: "on" }[item.state] ?? null, look: item.state === "later" ? null : "next", tag: item.state === "late" ? "late" : null,
    label: [item.label ? [words.text("home.bed", { label: item.label }), " · "] : null, words.text(`after.${item.lane}`), ": ", nameOf(words, item), item.more ? [" ", say(words, "home.due_more", { n: item.more })] : null],
    note: [el("span", { class: "mark" }, mark)], onTap: () => view.resume(item.case),
  });
}

function nameOf(words, { id }) {
  if (id.startsWith("apgar")) return words.text("after.apgar", { n: words.quantity(Number(id.split("_")[1]), "min") });
  return words.text(id === "team" ? "after.told_plain" : `after.${id}`);
}

function openRow(view, theCase) {
  const { words } = view;
  const where = words.text(`place.${place(theCase)}`);
  return el("button", { type: "button", class: "row", data: { key: `open-${theCase.case}` }, on: { click: () => view.resume(theCase.case) } }, icon("list"),
    el("span", {}, el("b", {}, theCase.label ? say(words, "home.resume_note", { label: words.text("home.bed", { label: theCase.label }), place: where }) : say(words, "home.resume_plain", { place: where }))), icon("more"));
}

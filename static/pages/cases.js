/**
 * Cases: the real births on this tablet, newest first, a page at a time.
 *
 * Practice births stand under Practice; only a demonstration, which holds nothing else, lists them here.
 */

import { place } from "../core/place.js";
import { modeOf, newestHeads, withCase } from "../heads.js";
import { dayTime } from "../language.js";
import { el, say, value } from "../ui/dom.js";
import { bedOf, header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";

export const PAGE = 20;

// What was read last, so that the page drawn anew shows it at once and keeps its place.
let last = { before: undefined, heads: null };

/** Draw one page of the history; the argument is the way here: the times before which each page began. */
export function casesPage(view) {
  const { words } = view;
  const trail = view.arg ?? [];
  const before = trail.at(-1);
  const list = el("div", { class: "history" });
  const main = el("main", { class: "cases" }, el("h1", { class: "lead", tabindex: "-1" }, words.text("cases.title")),
    el("p", {}, words.text("cases.here")), list);
  const show = (heads) => list.replaceChildren(...rows(view, heads, trail));

  if (last.before === before && last.heads) show(last.heads);
  readHeads(view, before).then((heads) => {
    last = { before, heads };
    show(heads);
  }, () => list.replaceChildren(el("p", { role: "status" }, words.text("cases.unreadable"))));
  return { node: el("div", { class: "screen cases-page scrolls" },
    header(words, { title: words.text("home.cases"), onBack: () => (trail.length ? view.go("cases", trail.slice(0, -1)) : view.go("home")) }), main) };
}

/** One more than a page is read, to know whether there are older ones. */
async function readHeads({ journal, isDemo }, before) {
  const heads = await newestHeads(journal, (head) => isDemo || modeOf(head) !== "practice", PAGE + 1, before);
  return Promise.all(heads.map((head) => withCase(journal, head)));
}

function rows(view, heads, trail) {
  const { words } = view;
  if (!heads.length) return [el("p", { class: "lead" }, words.text("cases.empty"))];
  const shown = heads.slice(0, PAGE);
  const hasOlder = heads.length > PAGE;
  return [
    el("ul", {}, shown.map((head) => row(view, head, trail))),
    el("div", { class: "paging" },
      trail.length ? key({ name: "newer", sign: "back", label: words.text("cases.newer"), onTap: () => view.go("cases", trail.slice(0, -1)) }) : null,
      hasOlder ? key({ name: "older", sign: "more", label: words.text("cases.older"), onTap: () => view.go("cases", [...trail, shown.at(-1).at]) }) : null),
  ];
}

function row(view, { case: id, at, closed, theCase }, trail) {
  const { words, desk, isWriter } = view;
  const isPractice = theCase.mode === "practice";
  const isElsewhere = !closed && isWriter && desk.caseId() !== id;
  const name = el("span", {}, el("b", {}, bedOf(words, theCase) || words.text("cases.no_bed")), isPractice ? [" ", el("span", { class: "practice-word" }, words.text("record.mode.practice"))] : null,
    el("small", {}, value(dayTime(at))),
    el("small", {}, closed ? words.text("place.closed") : say(words, "cases.open_at", { place: words.text(`place.${place(theCase)}`) })));
  const open = el("button", {
    type: "button", class: "row", data: { key: `case-${id}` }, on: { click: () => view.go("record", { id, from: { page: "cases", arg: trail } }) },
  }, name, isPractice ? el("span", { class: "ruled" }) : null, icon("more"));
  return el("li", { data: { mode: theCase.mode, state: closed ? "closed" : "open" } }, open,
    isElsewhere ? key({ name: `resume-${id}`, sign: "on", label: words.text("cases.resume"), onTap: () => view.resume(id) }) : null);
}

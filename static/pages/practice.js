/**
 * Practice: the told births to choose from, how long their waits are, and what was practised before.
 */

import { PACES, scriptOf } from "../core/practice.js";
import { modeOf, newestHeads, withCase } from "../heads.js";
import { dayTime } from "../language.js";
import { el, value } from "../ui/dom.js";
import { header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";

const SHOWN = 6;

// What was read last, so that the page drawn anew shows it at once.
let before = [];

/** Draw the list of practice births; the argument is the pace that was chosen. */
export function practicePage(view) {
  const { words } = view;
  const pace = view.arg ?? 1;
  const list = el("ul", { class: "facts" });
  const show = (cases) => list.replaceChildren(...cases.length ? cases.map((one) => earlier(view, one)) : [el("li", {}, el("p", {}, words.text("practice.none")))]);
  show(before);
  readEarlier(view.journal).then((cases) => { before = cases; show(cases); }, () => show([]));
  const main = el("main", { class: "drills" },
    el("h1", { class: "line", tabindex: "-1" }, words.text("practice.title")), el("p", {}, words.text("practice.about")),
    paces(view, pace), births(view, pace),
    el("section", {}, el("h2", { class: "lead" }, words.text("practice.before")), list));
  return { node: el("div", { class: "screen practice-page scrolls" }, header(words, { title: words.text("home.practice"), onBack: () => view.go("home") }), main) };
}

function paces(view, chosen) {
  const { words } = view;
  return el("section", { role: "group", "aria-label": words.text("practice.pace") }, el("h2", { class: "lead" }, words.text("practice.pace")),
    el("div", { class: "answers two" }, PACES.map((pace) => key({
      name: `pace-${pace}`, label: words.text(`practice.pace.${pace}`), pressed: pace === chosen, look: pace === chosen ? "on" : "",
      onTap: () => view.go("practice", pace),
    }))),
    el("p", {}, words.text("practice.pace_note")));
}

function births(view, pace) {
  const { words, scripts, stamp, isWriter } = view;
  const keys = scripts.list().map((script, index) => key({
    name: `play-${script.id}`, look: "next", stamp, label: words.text("practice.play", { n: index + 1, title: words.text(`practice.script.${script.id}.title`) }),
    onTap: (moment) => view.openCase("practice", moment, { ...script.post, script: script.id, pace }),
  }));
  keys.push(key({
    name: "play-free", stamp, label: words.text("practice.free"), note: words.text("practice.free_note"),
    onTap: (moment) => view.openCase("practice", moment),
  }));
  for (const button of keys) button.disabled = !isWriter;
  return el("div", { class: "answers two" }, keys);
}

/** The newest practice births that are over; a real one is never opened for it. */
async function readEarlier(journal) {
  const heads = await newestHeads(journal, (head) => head.closed && modeOf(head) === "practice", SHOWN);
  return Promise.all(heads.map((head) => withCase(journal, head)));
}

function earlier(view, { case: id, at, theCase }) {
  const { words } = view;
  const script = scriptOf(theCase)?.id;
  const title = script && words.has(`practice.script.${script}.title`) ? words.text(`practice.script.${script}.title`) : words.text("practice.free");
  return el("li", {}, el("button", { type: "button", class: "row", data: { key: `debrief-${id}` }, on: { click: () => view.go("debrief", { id }) } },
    el("span", {}, el("b", {}, title), el("small", {}, value(dayTime(at)))), icon("more")));
}

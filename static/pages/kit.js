/**
 * Kit check: every thing in one list, answered with one tap; the last answer counts.
 */

import { isDue } from "../kit.js";
import { dayTime } from "../language.js";
import { el, say } from "../ui/dom.js";
import { header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { holdingPart } from "./kit_holding.js";

const USES = ["weekly", "before_use"];
const ANSWERS = [["yes", "kit.there", "yes"], ["no", "kit.not_there", "no"], ["unsure", "app.not_sure", "unsure"]];
const CUP_ANSWERS = ANSWERS.slice(0, 2);
// Of the pump it is asked what it does, of all else whether it is there.
const DOES = /^pump_/;
const DOES_ANSWERS = [["yes", "app.yes", "yes"], ["no", "app.no", "no"], ANSWERS[2]];

/** Draw the kit check; the argument is "weekly" or "before_use". */
export function kitPage(view) {
  const { words, kit, arg } = view;
  const use = USES.includes(arg) ? arg : USES[0];
  const state = kit.look(use);
  const told = kit.told();
  const main = el("main", { class: "kit" },
    el("h1", { class: "lead", tabindex: "-1" }, headline(words, state)), uses(view, use),
    el("ul", { class: "things" }, state.things.map((thing) => el("li", { data: { thing: thing.id, state: thing.state } }, part(view, thing, use, told)))),
    // The card belongs to the kit, and must be had by whoever does not know the PIN.
    key({ name: "card", sign: "print", label: words.text("card.title"), note: words.text("card.open_note"), onTap: () => view.go("card", { from: { page: "kit", arg: use } }) }));
  return {
    node: el("div", { class: "screen kit-page scrolls" }, header(words, { title: words.text("kit.title"), onBack: () => view.go("home") }), main),
    tick: () => main.querySelector(".holding")?.dispatchEvent(new Event("look")),
  };
}

function headline(words, { complete, missing, unsure, open }) {
  if (complete) return [icon("yes"), " ", words.text("kit.state.complete")];
  const told = { missing, unsure, open };
  const lines = ["missing", "unsure", "open"].filter((name) => told[name].length)
    .map((name) => el("span", {}, say(words, `kit.state.${name}`, { n: told[name].length })));
  return [icon("kit"), " ", ...lines.flatMap((line, index) => (index ? [" · ", line] : [line]))];
}

function uses(view, use) {
  const { words } = view;
  return el("div", { class: "answers two", role: "group", "aria-label": words.text("kit.use") }, USES.map((one) => key({
    name: `use-${one}`, label: words.text(`kit.use.${one}`), sign: one === use ? "yes" : null, look: one === use ? "on" : null, pressed: one === use,
    onTap: () => view.go("kit", one),
  })));
}

function part(view, thing, use, told) {
  const { words, protocol } = view;
  const rows = protocol.kit.filter((row) => row[use] && (row.group ?? row.id) === thing.id);
  return [
    el("div", { class: "thing" }, el("h2", { class: "lead", id: `thing-${thing.id}` }, words.text(`kit.${thing.id}`)), el("p", {}, words.text(`kit.${thing.id}.how`)), when(view, thing)),
    ...rows.map((row) => (row.form === "drop" ? holdingPart(view, row, told.get(row.id), () => keys(view, row, told)) : keys(view, row, told))),
  ];
}

function when({ words, protocol, stamp }, { at }) {
  if (at === null) return null;
  const id = isDue(at, stamp().at, protocol.numbers.kit_days.value) ? "kit.old" : "kit.told";
  return el("p", { class: "quiet" }, say(words, id, { when: dayTime(at) }));
}

/** The answers of one row; what was measured goes with the answer. */
function keys(view, row, told, facts = {}) {
  const { words, kit, stamp } = view;
  const last = told.get(row.id)?.facts.answer;
  const answers = DOES.test(row.id) ? DOES_ANSWERS : row.group ? CUP_ANSWERS : ANSWERS;
  const name = row.group ? cupName(words, row) : words.text(`kit.${row.id}`);
  return el("div", { class: "thing-keys" }, row.group ? el("p", { class: "cup-name" }, name) : null,
    el("div", { class: `answers ${answers.length === 2 ? "two" : "three"}`, role: "group", "aria-label": name }, answers.map(([answer, id, sign]) => key({
      name: `${row.id}-${answer}`, label: words.text(id), sign, pressed: last === answer, look: last === answer ? "on" : null, stamp,
      onTap: (moment) => kit.check(row.id, { answer, ...facts }, moment),
    }))));
}

function cupName(words, { cup, mm }) {
  return words.listed([words.text(`cup.kind.${cup}`), words.quantity(mm, "mm")]);
}

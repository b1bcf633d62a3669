/**
 * Hand-over: what to tell whoever takes over, made from the entries, with notes apart.
 *
 * Read aloud, printed or shared as a file. Facts are never edited here; a note is its own
 * entry. For a case that is not on the desk the page only shows.
 */

import { handover } from "../core/handover.js";
import { dayTime } from "../language.js";
import { el, say } from "../ui/dom.js";
import { PARTS, handoverText, lineOf, plainText } from "../ui/handover_words.js";
import { bedOf, header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { shareFile } from "../ui/share.js";
import { givenSection, notesSection, noteOf } from "./handover_parts.js";

// Common practice, no source: how long a page that says minutes may lag behind.
const LOOK_AGAIN_MS = 1000;
const BY_HAND = ["name", "call", "given", "taken"];

/** Draw the hand-over; the argument is {theCase?, from?: {page, arg}}. */
export function handoverPage(view) {
  const { theCase: shown, from } = view.arg ?? {};
  const theCase = shown ?? view.theCase;
  if (!theCase) return gone(view);
  const isOpen = !shown && !theCase.closed && view.isWriter;
  const told = { view, theCase, isOpen, now: momentOf(view, theCase, !shown) };
  const facts = el("div", { class: "sbar" }, parts(told));
  const said = el("p", { class: "said", role: "status" });
  const main = el("main", { class: "handover", data: { mode: theCase.mode ?? "none" } },
    head(told), facts, notesSection(told), givenSection(told), byHand(view), foot(told));
  const node = el("div", { class: "screen handover-page scrolls" },
    header(view.words, { title: view.words.text("handover.title"), detail: [bedOf(view.words, theCase)], onBack: () => back(view, from) }),
    keys(told, said), main);
  return { node, tick: (later) => tick(facts, told, later) };
}

/** The case was closed or taken away: there is another page for that. */
function gone(view) {
  queueMicrotask(() => view.go("home"));
  return { node: el("div", { class: "screen handover-page" }) };
}

function back(view, from) {
  if (from) view.go(from.page, from.arg);
  else view.toCase();
}

/** An open case is told as of now, a closed one as of its last entry. */
function momentOf({ stamp }, theCase, isOnDesk) {
  return isOnDesk && !theCase.closed ? stamp() : theCase.clock ?? stamp();
}

function rows({ view, theCase, now }) {
  return handover(theCase, view.protocols.get(theCase.protocol) ?? view.protocol, now);
}

function keys(told, said) {
  const { words } = told.view;
  const name = `handover-${dayTime(told.now.at).replace(" ", "-").replace(":", "")}.txt`;
  const share = async () => {
    const end = await shareFile(name, fileText(told));
    if (end === "kept") said.replaceChildren(...say(words, "handover.shared", { name }));
    if (end === "failed") said.replaceChildren(words.text("handover.share_failed"));
  };
  return el("div", { class: "record-keys" },
    key({ name: "print", sign: "print", label: words.text("handover.print"), onTap: () => globalThis.print() }),
    key({ name: "share", sign: "send", label: words.text("handover.share"), onTap: share }), said);
}

function fileText(told) {
  const { view: { words }, theCase } = told;
  const note = noteOf(theCase);
  const mode = theCase.mode === "practice" ? [plainText(words, "app.practice")] : [];
  return handoverText(words, rows(told), [...mode, `${plainText(words, "handover.notes").toUpperCase()}\n${note ? note.facts.text : plainText(words, "handover.notes_none")}`,
    `${plainText(words, "app.caution")}\n${footText(told)}`]);
}

function head({ view: { words }, theCase }) {
  return el("div", { class: "handover-head" },
    el("h1", { class: "line", tabindex: "-1" }, words.text("handover.title")),
    theCase.mode === "practice" ? el("p", { class: "practice-mark" }, words.text("app.practice")) : null,
    el("p", { class: "aloud" }, words.text("handover.read")));
}

function parts(told) {
  const { words } = told.view;
  const found = rows(told);
  return PARTS.map((part) => el("section", { class: "sbar-part", data: { part } },
    el("h2", { class: "lead" }, words.text(`handover.part.${part}`)),
    el("ul", {}, found.filter((row) => row.part === part).map((row) => (
      // The name of a row is no class: other parts style "head" and "tier" as their own.
      el("li", { data: { group: row.id.split(".")[0], row: row.id } }, row.id === "state.suspected" || row.id === "state.stopped" ? icon("stop") : null, el("span", {}, lineOf(words, row))))))));
}

/** Lines that only a pen can fill: this tool keeps no names. */
function byHand({ words }) {
  return el("section", { class: "by-hand" }, BY_HAND.map((id) => el("p", {}, el("span", { class: "line-to-write" }), el("span", {}, words.text(`handover.by_hand.${id}`)))));
}

function foot(told) {
  const { words } = told.view;
  return el("footer", { class: "handover-foot" }, el("p", { class: "caution-line" }, words.text("app.caution")), el("p", {}, el("bdi", {}, footText(told))));
}

/** Which tool, protocol and case this text comes from. */
function footText({ view: { words, protocols }, theCase, now }) {
  const named = (id, ...told) => [words.text(id), ...told.map(words.isolated)].join(" ");
  const protocol = theCase.protocol ? named("record.protocol", protocols.get(theCase.protocol)?.id ?? "?", theCase.protocol) : words.text("app.not_recorded");
  const bed = theCase.label ? [bedOf(words, theCase)] : [];
  return words.listed([words.text("app.name"), protocol, ...bed, named("record.case", theCase.case), dayTime(now.at)]);
}

/** The minutes since go on while the page is open. */
function tick(facts, told, later) {
  if (!told.isOpen) return;
  const now = later.stamp();
  if (Math.abs(now.at - told.now.at) < LOOK_AGAIN_MS) return;
  // Minutes since the stop turn at the second of the stop, not with those of the wall clock.
  const before = JSON.stringify(rows(told));
  told.now = now;
  if (JSON.stringify(rows(told)) !== before) facts.replaceChildren(...parts(told));
}

/**
 * Debrief: a practice birth talked over by the rules, in plain and neutral words.
 */

import { fold } from "../core/case.js";
import { debrief } from "../core/debrief.js";
import { parse } from "../core/event.js";
import { scriptOf } from "../core/practice.js";
import { running } from "../language.js";
import { adviceText } from "../ui/advice_words.js";
import { el, say, value } from "../ui/dom.js";
import { header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";

// Whose words name the item of a finding.
const ITEMS = {
  skipped: "question", answered_late: "question", unsure: "question", answered_otherwise: "question", started_against: "verdict",
  rim_not_swept: "rim", suction_low: "stage", suction_high: "stage", suction_beyond_air: "stage", suction_untold: "stage",
  stop_unanswered: "limit", stop_late: "limit", not_recorded: "told", recorded_late: "told",
  care_skipped: "care", care_late: "care", round_missed: "lane",
};

/** Draw the debrief of a practice case; the argument is {id}. */
export function debriefPage(view) {
  const { words, journal, arg } = view;
  const main = el("main", { class: "debrief" }, title(words), el("p", { role: "status" }, words.text("debrief.loading")));
  journal.readCase(arg.id).then((lines) => {
    const events = lines.map(parse);
    // Nobody's real birth is held against a script.
    main.replaceChildren(...(fold(events).mode === "practice" ? whole(view, events) : [title(words), el("p", { role: "status" }, words.text("debrief.real"))]));
  }, () => main.replaceChildren(title(words), el("p", { role: "status" }, words.text("debrief.unreadable"))));
  return { node: el("div", { class: "screen debrief-page scrolls" },
    header(words, { title: words.text("home.practice"), onBack: () => view.go("practice") }), main) };
}

function title(words) {
  return el("h1", { class: "line", tabindex: "-1" }, words.text("debrief.title"));
}

function whole(view, events) {
  const { words, protocol, protocols, scripts, stamp, arg } = view;
  const theCase = fold(events);
  const rules = protocols.get(theCase.protocol) ?? protocol;
  const script = scripts.get(scriptOf(theCase)?.id);
  const found = debrief(events, rules, script, theCase.clock ?? stamp());
  return [
    title(words), el("p", { class: "practice-mark" }, words.text("app.practice")),
    script ? el("p", { class: "lead" }, words.text(`practice.script.${script.id}.lesson`)) : null,
    faults(words, found), start(words, found), stops(words, found), cautions(words, found, theCase),
    el("p", { class: "quiet" }, words.text("debrief.times")),
    el("div", { class: "answers two" },
      key({ name: "again", sign: "undo", look: "next", label: words.text("debrief.again"), onTap: () => view.go("practice") }),
      key({ name: "its-record", sign: "list", label: words.text("debrief.record"), onTap: () => view.go("record", { id: arg.id, from: { page: "debrief", arg } }) })),
  ].filter(Boolean);
}

function faults(words, found) {
  const { faults: rows } = found;
  return part(words, "faults", rows.length
    ? el("ol", { class: "found" }, rows.map((one) => el("li", { data: { fault: one.code } },
      el("span", { class: "when" }, value(running(one.ms))), el("span", {}, faultText(words, one, found)))))
    : el("p", { class: "kept" }, icon("yes"), el("span", {}, words.text("debrief.none"))));
}

/** Say one finding. */
export function faultText(words, { code, item, n }, found) {
  return say(words, `debrief.fault.${code}`, { item: item === null ? "" : itemText(words, ITEMS[code], item, found), n: n ?? "" });
}

function itemText(words, whose, item, { told }) {
  if (whose === "told") return words.text(told.find(({ row }) => row === item).say);
  const id = { question: `before.${item}.short`, verdict: `before.verdict.${item}` }[whose] ?? `debrief.${whose}.${item}`;
  return words.has(id) ? words.text(id) : item;
}

function start(words, { verdict, asked, of }) {
  const line = (id, values) => el("li", {}, say(words, id, values));
  const verdictText = (name) => ({ verdict: words.text(`before.verdict.${name}`) });
  return part(words, "start", el("ul", {},
    line("debrief.asked", { n: asked, all: of }), line("debrief.verdict_answers", verdictText(verdict.answers)),
    verdict.truth ? line("debrief.verdict_truth", verdictText(verdict.truth)) : null,
    line(`debrief.decided.${verdict.decision ?? "none"}`)));
}

function stops(words, { stops: rows }) {
  if (!rows.length) return part(words, "stops", el("p", {}, words.text("debrief.no_stop")));
  return part(words, "stops", el("ul", { class: "found" }, rows.map((one) => el("li", { data: { stop: one.limit } }, stop(words, one)))));
}

function stop(words, { limit, true_ms: since, shown_ms: shown, answered_ms: answered, choice, pulls_after: pulls }) {
  const at = (ms) => ({ time: running(ms) });
  const sentences = [
    say(words, "debrief.stop_true", at(since)),
    shown === null ? words.text("debrief.stop_not_shown") : say(words, "debrief.stop_shown", at(shown)),
    choice === null ? words.text("debrief.stop_choice.none") : say(words, `debrief.stop_choice.${choice}`, at(answered)),
    say(words, "debrief.stop_pulls", { n: pulls }),
  ];
  const id = `debrief.limit.${limit}`;
  return el("span", {}, el("b", {}, words.has(id) ? words.text(id) : limit), sentences.map((one) => [el("br"), one]).flat(2));
}

function cautions(words, { cautions: rows }, theCase) {
  const entry = ({ ms, message }) => theCase.timeline.find((row) => row.kind === "advice_shown" && row.ms === ms && row.facts.message === message);
  if (!rows.length) return part(words, "cautions", el("p", {}, words.text("debrief.no_caution")));
  return part(words, "cautions", el("ul", { class: "found" }, rows.map((one) => el("li", {},
    el("span", { class: "when" }, value(running(one.ms))), el("span", {}, adviceText(words, theCase, entry(one)))))));
}

function part(words, name, ...inner) {
  return el("section", { data: { part: name } }, el("h2", { class: "lead" }, words.text(`debrief.${name}`)), inner);
}

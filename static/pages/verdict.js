/**
 * The verdict with its reasons, all answers, and the decision.
 */

import { verdict } from "../core/checks.js";
import { el } from "../ui/dom.js";
import { half } from "../ui/half.js";
import { header, bedOf } from "../ui/header.js";
import { holdKey } from "../ui/hold.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { SIGNS, answeredRow, isAnswered, nextQuestion, openText } from "./before.js";

const ROLES = ["midwife", "senior", "doctor"];
const WHYS = ["baby_now", "too_far", "no_time", "other"];
const LOOKS = { ask: "caution", not_yet: "caution", refer: "stop" };

/** Draw the verdict; with the argument "override" the form to start all the same. */
export function verdictPage(view) {
  const { words, protocol, theCase, arg } = view;
  const weighed = verdict(theCase, protocol);
  const main = el("main", { class: "weigh" },
    el("section", { class: `weighed ${LOOKS[weighed.verdict] ?? "plain-verdict"}`, role: "status", data: { verdict: weighed.verdict } },
      icon(SIGNS[weighed.verdict]), el("h1", { class: "line", tabindex: "-1" }, words.text(`before.verdict.${weighed.verdict}`))),
    reasons(words, weighed),
    arg === "override" ? override(view, weighed) : decisions(view, weighed),
    answers(view),
    el("p", { class: "plain" }, words.text("app.caution")));
  const onBack = () => (arg === "override" ? view.go("verdict") : view.go("before", questionToShow(view)));
  return { node: el("div", { class: "screen verdict-page scrolls" }, header(words, { title: words.text("place.before"), detail: [bedOf(words, theCase)], onBack }), main) };
}

function questionToShow({ protocol, theCase }) {
  return (nextQuestion(protocol, theCase) ?? protocol.questions.at(-1)).id;
}

function reasons(words, weighed) {
  const { reasons: found, open } = weighed;
  if (!found.length && !open.length) return null;
  return el("section", { class: "reasons" },
    el("ul", {}, found.map((reason) => el("li", { data: { verdict: reason.verdict } }, icon(SIGNS[reason.verdict]), el("span", {}, words.text(reason.message))))),
    open.length ? el("p", {}, openText(words, weighed)) : null);
}

function decisions(view, weighed) {
  const { words, stamp, protocol, theCase } = view;
  const decide = (decision, told = {}) => (moment) => {
    view.record("decision_made", { decision, verdict: weighed.verdict, ...told }, { stamp: moment });
  };
  const keys = [];
  if (nextQuestion(protocol, theCase)) keys.push(key({ name: "next-question", label: words.text("before.next_question"), sign: "on", look: "next", onTap: () => view.go("before") }));
  if (weighed.verdict === "go") keys.push(key({ name: "proceed", label: words.text("before.go"), sign: "cup", look: "on", stamp, onTap: decide("proceed", { role: "midwife" }) }));
  if (weighed.verdict === "ask") {
    keys.push(key({ name: "call-senior", label: words.text("before.call_senior"), note: calledNote(words, theCase), sign: "call", stamp, onTap: (moment) => view.record("help_called", { what: "senior", who: "assistant" }, { stamp: moment }) }));
    keys.push(key({ name: "senior-agrees", label: words.text("before.senior_agrees"), sign: "cup", look: "next", stamp, onTap: decide("proceed", { role: "senior" }) }));
  }
  keys.push(key({ name: "refer", label: words.text("before.refer"), sign: "plan", look: weighed.verdict === "refer" ? "on" : "halt", stamp, onTap: decide("refer") }));
  if (weighed.verdict !== "go") keys.push(key({ name: "start-anyway", label: words.text("before.start_anyway"), sign: "cup", onTap: () => view.go("verdict", "override") }));
  return el("div", { class: "decide" }, keys);
}

function calledNote(words, theCase) {
  return theCase.calls.some((call) => call.what === "senior") ? "✓" : null;
}

/** Starting against the verdict is possible; it takes a role, a reason and a held key. */
function override(view, weighed) {
  const { words } = view;
  const told = half("override", { role: null, reason: null });
  const box = el("div", { class: "override" });
  const hold = holdKey({
    name: "override", label: words.text("before.override_hold"), again: words.text("app.press_again"), sign: "cup",
    onDone: () => view.record("decision_made", { decision: "proceed", verdict: weighed.verdict, override: true, ...told }),
  });

  function choices(field, ids, prefix) {
    return ids.map((id) => key({
      name: `${field}-${id}`, label: words.text(`${prefix}.${id}`), pressed: told[field] === id, look: told[field] === id ? "on" : "",
      onTap: () => { told[field] = id; show(); },
    }));
  }

  function show() {
    hold.disabled = told.role === null || told.reason === null;
    box.replaceChildren(
      el("p", { class: "lead" }, words.text("before.override_who")), el("div", { class: "answers three" }, choices("role", ROLES, "role")),
      el("p", { class: "lead" }, words.text("before.override_why")), el("div", { class: "answers two" }, choices("reason", WHYS, "before.why")),
      hold);
  }

  show();
  return box;
}

function answers(view) {
  const { protocol, theCase, words } = view;
  const answered = protocol.questions.filter((row) => isAnswered(row, theCase));
  if (!answered.length) return null;
  return el("section", { class: "sight all" }, el("h2", {}, words.text("before.answered")),
    el("ul", { class: "answered" }, answered.map((row) => answeredRow(view, row))));
}

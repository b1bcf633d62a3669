/**
 * Stop: two named choices and the agreed plan; once stopped, the plan step by step.
 */

import { standingStops } from "../core/alarm.js";
import { time } from "../language.js";
import { banner } from "../ui/banner.js";
import { el, say, value } from "../ui/dom.js";
import { bedOf, header } from "../ui/header.js";
import { holdKey } from "../ui/hold.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";
import { scalpKeys } from "./pull_sheets.js";

const MINUTE_MS = 60000;
// What to mind until somebody takes over; a second instrument is no way on.
const MINDS = ["no_second", "listen", "side", "ready"];
// Which reason for stopping goes with which limit.
const WHYS = { descent_pulls: "pulls", perineal_pulls: "pulls", pulls: "pulls", poor_pulls: "no_descent", detachments: "detachments", cup_minutes: "minutes", traction_minutes: "minutes", scalp_injury: "scalp" };

/** Draw the stop: asked for by a limit or by the midwife, or already done. */
export function stopPage(view) {
  const { theCase, words } = view;
  const isDone = theCase.stopped !== null || theCase.decision?.decision === "refer" && theCase.pulls.length === 0;
  const main = el("main", { class: `stopscreen ${isDone ? "done" : "asked"}` },
    isDone ? heading(words, theCase) : reasonPart(view), numbers(view),
    // Once stopped: the cup off, then the call for help; before that, the choice.
    isDone ? [theCase.cup_on ? cupOff(view) : null, agreed(view), steps(view), undoKey(view)] : [choices(view), agreed(view)]);
  const top = isDone ? header(words, { title: words.text("place.stop"), detail: [bedOf(words, theCase)], onBack: () => view.go("home") }) : null;
  return { node: el("div", { class: "screen stop-page" }, top, main), tick: (later) => tick(main, later) };
}

function reasonPart(view) {
  const { words, findings, measured, theCase } = view;
  const standing = standingStops(theCase, findings);
  if (standing.length) return banner(words, standing, measured, { heading: "h1", onTap: () => view.quiet(standing[0]) });
  return el("section", { class: "advice plain-stop" }, icon("stop"), el("h1", { class: "line", tabindex: "-1" }, words.text("stop.title")));
}

function heading(words, theCase) {
  const id = theCase.stopped ? "stop.stopped_title" : "stop.refer_title";
  return el("section", { class: "advice plain-stop" }, icon("stop"), el("h1", { class: "line", tabindex: "-1" }, words.text(id)));
}

function numbers({ words, measured, theCase }) {
  if (!theCase.applications.length && !theCase.pulls.length) return null;
  const one = (number, label, name) => el("div", {}, el("dd", { data: { since: name } }, value(String(number))), el("dt", {}, label));
  const stoppedFor = theCase.stopped ? Math.floor((measured.now_ms - theCase.stopped.ms) / MINUTE_MS) : null;
  return el("dl", { class: "since" },
    one(measured.pulls, words.text("pull.pulls"), "pulls"),
    one(Math.floor(measured.cup_ms / MINUTE_MS), words.text("app.min_since_cup"), "cup"),
    stoppedFor === null ? one(measured.detachments, words.text("pull.came_off"), "detachments") : one(stoppedFor, words.text("stop.since_stop"), "stop"));
}

function choices(view) {
  const { words, stamp, record, findings, theCase } = view;
  const standing = standingStops(theCase, findings);
  const answer = (choice, moment) => standing.forEach(({ limit }) => record("advice_answered", { limit, choice, role: "midwife" }, { stamp: moment }));
  const stop = (moment) => {
    answer("stopped", moment);
    record("vacuum_stopped", { why: WHYS[standing[0]?.limit] ?? "choice", ...(theCase.plan?.next && { next: theCase.plan.next }) }, { stamp: moment });
  };
  const goOn = (moment) => {
    answer("continued", moment);
    view.next("pull");
    if (!standing.length) view.go("pull");
  };
  return el("section", { class: "choices" },
    key({ name: "stopped", look: "on", sign: "plan", stamp, label: el("span", { class: "lead" }, words.text("stop.choose_stopped")), onTap: stop }),
    // Where no stop stands it records nothing, and a page that only reads may go back too.
    key({ name: "continues", sign: standing.length ? "cup" : "back", stamp: standing.length ? stamp : undefined, label: el("span", { class: "lead" }, words.text(standing.length ? "stop.choose_continue" : "stop.choose_back")), onTap: goOn }));
}

/** After stopping: cup off, leave, birth here, close; and what not to do. */
function steps(view) {
  const { words, stamp, record, theCase } = view;
  const place = theCase.plan?.place;
  return el("section", { class: "steps" },
    theCase.applications.length === 0 || theCase.cup_on ? null
      : el("p", { class: "kept" }, icon("yes"), el("span", {}, words.text("stop.cup_is_off"))),
    theCase.scalp_unchecked ? scalp(view) : null,
    theCase.transfer_left ? el("p", { class: "kept" }, icon("yes"), el("span", {}, say(words, "stop.left", { time: time(theCase.transfer_left.at) })))
      : key({ name: "leaves", sign: "road", stamp, label: place ? words.text("stop.leaves", { place }) : words.text("stop.leaves_plain"), onTap: (moment) => record("transfer_left", { ...(place && { place }) }, { stamp: moment }) }),
    theCase.transfer_left ? arrival(view) : null,
    key({ name: "baby-born", sign: "baby", stamp, label: words.text("stop.born_here"), onTap: (moment) => record("baby_born", {}, { stamp: moment }) }),
    el("ul", { class: "minds" }, MINDS.map((id) => el("li", {}, words.text(`stop.mind.${id}`)))),
    key({ name: "handover", sign: "send", label: words.text("handover.open"), onTap: () => view.go("handover", { from: { page: "stop", arg: null } }) }),
    key({ name: "record", sign: "list", label: words.text("after.record"), onTap: () => view.go("record", theCase.case) }),
    holdKey({ name: "close", label: words.text("after.close"), again: words.text("app.press_again"), sign: "yes", look: "", onDone: () => view.closeCase(theCase.transfer_left ? "transferred" : "complete") }));
}

function cupOff({ words, stamp, record }) {
  return key({ name: "cup-off", look: "on", sign: "cup", stamp, label: words.text("stop.cup_off"), onTap: (moment) => record("cup_removed", { why: "stop" }, { stamp: moment }) });
}

/** The transfer has left: when it arrives, and then that it did. */
function arrival({ words, stamp, record, theCase }) {
  const place = theCase.plan?.place;
  if (theCase.transfer_arrived) return el("p", { class: "kept" }, icon("yes"), el("span", {}, say(words, "stop.arrived", { time: time(theCase.transfer_arrived.at) })));
  return key({ name: "arrives", sign: "road", look: "next", stamp, label: place ? words.text("stop.arrives", { place }) : words.text("stop.arrives_plain"), onTap: (moment) => record("transfer_arrived", { ...(place && { place }) }, { stamp: moment }) });
}

/** The scalp is looked at after every time the cup came off, the last one too. */
function scalp(view) {
  const { words } = view;
  return el("div", { class: "scalp-row", role: "group", "aria-label": words.text("pull.scalp_ask") },
    el("p", { class: "lead" }, words.text("pull.scalp_ask")),
    el("div", { class: "answers three" }, scalpKeys(view)));
}

function agreed(view) {
  const { words, theCase, stamp, record } = view;
  const { plan } = theCase;
  const called = theCase.calls.findLast((call) => call.what === "transfer");
  const place = plan?.place;
  return el("section", { class: "agreed" },
    plan ? el("h2", {}, say(words, "stop.agreed", { time: time(plan.at) })) : null,
    el("p", { class: "lead" }, plan ? planName(words, plan) : words.text("stop.no_plan")),
    plan?.minutes ? el("ul", {}, el("li", {}, icon("road"), el("span", {}, value(words.span(plan.minutes))))) : null,
    called ? el("p", { class: "kept" }, icon("yes"), el("span", {}, say(words, "stop.called", { time: time(called.at) })))
      : key({
        name: "call", look: "next", sign: "call", stamp,
        label: el("span", { class: "lead" }, place ? say(words, "stop.calling", { place }) : words.text("stop.calling_plain")),
        note: words.text("stop.assistant_calls", { who: words.text(`role.${plan?.who ?? "assistant"}`) }),
        onTap: (moment) => record("help_called", { what: "transfer", who: plan?.who ?? "assistant" }, { stamp: moment }),
      }));
}

function planName(words, plan) {
  const id = `stop.next.${plan.next}`;
  return words.listed([words.has(id) ? words.text(id) : plan.next, plan.place]);
}

function tick(main, { measured, theCase }) {
  if (!theCase) return;
  const set = (name, number) => {
    const shown = main.querySelector(`[data-since=${name}] bdi`);
    if (shown) shown.textContent = String(number);
  };
  set("cup", Math.floor(measured.cup_ms / MINUTE_MS));
  if (theCase.stopped) set("stop", Math.floor((measured.now_ms - theCase.stopped.ms) / MINUTE_MS));
}

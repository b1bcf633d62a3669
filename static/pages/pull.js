/**
 * Pull: three numbers readable from afar, advice at its place, what to do now, one large key.
 *
 * The keys for what can happen keep their size and place. While a pull is open the row
 * below PULL holds what can happen in a pull; when it has ended, the same row asks whether
 * the head came down.
 */

import { visible } from "../core/alarm.js";
import { guide } from "../core/place.js";
import { limitRow } from "../core/protocol.js";
import { running } from "../language.js";
import { banner } from "../ui/banner.js";
import { el, say, value } from "../ui/dom.js";
import { fit } from "../ui/fit.js";
import { haltKey } from "../ui/halt.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";
import { heartSheet, scalpSheet } from "./pull_sheets.js";

const MINUTE_MS = 60000;

/** Draw the live screen; the argument "heart" opens the count of the fetal heart. */
export function pullPage(view) {
  const { words, theCase, measured, findings, arg } = view;
  const shown = visible(theCase, findings);
  const standing = findings.find((finding) => finding.level === "stop");
  // While a stop stands nobody is shown how to go on; the keys are there all the same.
  const now = standing && !measured.pull_open && !theCase.head_born && !theCase.scalp_unchecked ? "now.stop" : guide(theCase, measured);
  const node = el("main", { class: "pull", data: { open: measured.pull_open ? "" : null, phase: theCase.phase } },
    counts(view),
    banner(words, shown, measured, { onTap: standing ? () => tapStop(view, standing) : shown.length > 1 ? () => view.go("log", "advice") : null }),
    arg === "heart" ? null : el("div", { class: "now" }, el("h1", { class: "line" }, words.text(now)), moreOf(words, now)),
    ...body(view, arg));
  return { node, tick: (later) => tick(node, later), placed: () => fit(node) };
}

/** A red banner leads to the plan; while a pull is open it only grows quiet. */
function tapStop(view, finding) {
  if (view.measured.pull_open) view.quiet(finding);
  else view.go("stop");
}

function moreOf(words, now) {
  const id = now.replace("now.", "now.more.");
  return words.has(id) ? el("p", { class: "more" }, words.text(id)) : null;
}

function body(view, arg) {
  const { theCase } = view;
  if (arg === "heart") return [heartSheet(view)];
  if (theCase.head_born) return [birth(view), undoKey(view)];
  if (theCase.scalp_unchecked) return [scalpSheet(view), undoKey(view), haltKey(view)];
  return [pullKey(view), row(view), events(view), undoKey(view), haltKey(view)];
}

function counts(view) {
  const { words, measured, protocol, theCase } = view;
  const stop = (limit) => limitRow(protocol, limit).levels.at(-1).at;
  const perineal = theCase.phase === "perineal";
  const pulls = perineal ? measured.perineal_pulls : measured.descent_pulls;
  const minutes = Math.floor(measured.cup_ms / MINUTE_MS);
  return el("button", { type: "button", class: "counts bare", data: { key: "log" }, "aria-label": words.text("pull.see_log"), on: { click: () => view.go("log") } },
    count("pulls", words.text("pull.pulls"), measured.pulls, pulls, stop(perineal ? "perineal_pulls" : "descent_pulls")),
    count("minutes", words.text("app.min_since_cup"), minutes, minutes, stop("cup_minutes"), true),
    count("detachments", words.text("pull.came_off"), measured.detachments, measured.detachments, stop("detachments")));
}

function count(name, label, number, filled, cells, isFine = false) {
  const over = Math.max(0, filled - cells);
  const bar = Array.from({ length: cells + over }, (_, index) => el("i", { class: [index < filled ? "x" : "", index >= cells ? "over" : ""].join(" ").trim() || null }));
  return el("span", { class: "count", data: { count: name } },
    el("span", { class: "number" }, value(String(number))),
    el("span", { class: isFine ? "bar fine" : "bar", "aria-hidden": "true" }, bar), el("span", { class: "what" }, label));
}

function pullKey(view) {
  const { words, measured, stamp, record } = view;
  const isOpen = measured.pull_open === 1;
  return key({
    name: "pull", tag: "pullkey", sign: "cup", look: isOpen ? "on" : "next", pressed: isOpen, stamp,
    label: el("span", { class: "line" }, isOpen ? runningLabel(words, measured.pull_ms) : words.text("pull.pull")),
    note: words.text(isOpen ? "pull.pulling_note" : "pull.pull_note"),
    onTap: (moment) => record(isOpen ? "pull_ended" : "pull_began", { source: "key" }, { stamp: moment }),
  });
}

function runningLabel(words, ms) {
  return say(words, "pull.pulling", { time: running(ms) }, (time) => el("bdi", { dir: "ltr", data: { runs: "pull" } }, time));
}

function row(view) {
  const { theCase, measured } = view;
  const isUnjudged = !measured.pull_open && theCase.pulls.length > 0 && theCase.pulls.at(-1).descent === null;
  return isUnjudged ? judging(view) : happening(view);
}

/** One question after each pull, with the perineum as one of its answers. */
function judging(view) {
  const { words, stamp, record } = view;
  const judge = (descent, moment) => record("descent_judged", { descent }, { stamp: moment });
  const answers = [
    key({ name: "descent-yes", label: words.text("app.yes"), sign: "yes", stamp, onTap: (moment) => judge("yes", moment) }),
    view.theCase.phase === "descent" ? key({
      name: "descent-perineum", label: words.text("pull.to_perineum"), sign: "perineum", stamp,
      onTap: (moment) => { record("perineum_reached", {}, { stamp: moment }); judge("yes", moment); },
    }) : null,
    key({ name: "descent-no", label: words.text("app.no"), sign: "no", stamp, onTap: (moment) => judge("no", moment) }),
    key({ name: "descent-unsure", label: words.text("app.not_sure"), sign: "unsure", stamp, onTap: (moment) => judge("unsure", moment) }),
  ].filter(Boolean);
  return el("div", { class: `happen judge n${answers.length}`, role: "group", "aria-label": words.text("pull.head_down") }, answers);
}

function happening(view) {
  const { words, stamp, record, theCase, measured, findings } = view;
  const fact = (name, kind, label, sign) => key({ name, label: words.text(label), sign, stamp, onTap: (moment) => record(kind, {}, { stamp: moment }) });
  const keys = [
    fact("hiss", "hiss_heard", "pull.hiss", "hiss"),
    theCase.phase === "descent" ? fact("perineum", "perineum_reached", "pull.perineum", "perineum")
      : key({ name: "episiotomy", label: words.text("pull.episiotomy"), sign: "drop", stamp, onTap: (moment) => record("episiotomy_done", {}, { stamp: moment }) }),
    measured.hissing || !theCase.cup_on ? key({ name: "to-cup", label: words.text(theCase.cup_on ? "pull.to_cup" : "pull.cup_again"), sign: "gauge", look: findings.some((finding) => finding.level === "stop") ? "" : "next", onTap: () => view.go("cup") })
      : key({ name: "heart", label: words.text("pull.fetal_heart"), sign: "heart", onTap: () => view.go("pull", "heart") }),
  ];
  return el("div", { class: "happen n3" }, keys);
}

function events(view) {
  const { words, stamp, record } = view;
  const fact = (name, kind, label, sign) => key({ name, label: words.text(label), sign, stamp, onTap: (moment) => record(kind, {}, { stamp: moment }) });
  return el("div", { class: "events" },
    fact("detached", "cup_detached", "pull.detached", "detached"), fact("head-born", "head_born", "pull.head_out", "born"));
}

/** The head is out: suction to zero, cup off, then the moment of birth. */
function birth(view) {
  const { words, stamp, record, theCase } = view;
  const isOff = theCase.cup_removed.some((off) => off.ms >= theCase.head_born.ms);
  return el("div", { class: "sheet birth" },
    isOff ? el("p", { class: "kept" }, icon("yes"), el("span", {}, words.text("pull.cup_is_off")))
      : key({ name: "cup-off", label: words.text("pull.cup_off"), sign: "cup", look: "next", stamp, onTap: (moment) => record("cup_removed", { why: "birth" }, { stamp: moment }) }),
    key({ name: "baby-born", label: words.text("pull.born"), sign: "baby", look: isOff ? "on" : "next", stamp, onTap: (moment) => record("baby_born", {}, { stamp: moment }) }));
}

function tick(node, { measured }) {
  const clock = node.querySelector("[data-runs=pull]");
  if (clock && measured?.pull_ms !== null) clock.textContent = running(measured.pull_ms);
  const minutes = node.querySelector("[data-count=minutes] bdi");
  if (minutes) minutes.textContent = String(Math.floor(measured.cup_ms / MINUTE_MS));
}


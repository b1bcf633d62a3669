/**
 * Home: start, practice, the open case, and how the tablet stands.
 */

import { place } from "../core/place.js";
import { dayTime } from "../language.js";
import { unopened } from "../remarks.js";
import { el, say } from "../ui/dom.js";
import { bedOf, header, sinceOf } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { duePart, dueStamp } from "./home_due.js";
import { kitLine } from "../ui/kit_words.js";

const MINUTE_MS = 60000;
// Common practice, no source: after this long the woman may be another one.
const LONG_OPEN_MS = 6 * 60 * MINUTE_MS;

/** Draw the first screen. */
export function homePage(view) {
  const { words } = view;
  const main = el("main", { class: "home" },
    resumeKey(view), startKey(view), practiceKey(view), duePart(view),
    el("ul", { class: "facts" }, facts(view).map((fact) => el("li", {}, fact))),
    el("p", { class: "plain" }, words.text("app.caution"), " ", words.text("app.unsigned")));
  const drawn = dueStamp(view.dues());
  const tick = (later) => { if (dueStamp(later.dues()) !== drawn) later.redraw(); };
  return { node: el("div", { class: "screen home-page" }, header(words, { title: titleOf(view), heading: "h1" }), main), tick };
}

function titleOf({ words, link }) {
  return link.post()?.post ?? words.text("app.name");
}

function startKey(view) {
  const { words, stamp, isWriter, theCase } = view;
  const button = key({
    name: "start", sign: "cup", look: theCase ? "" : "next", tag: "start", stamp,
    label: el("span", { class: "start-word" }, words.text("home.start")), note: words.text("home.start_note"),
    onTap: (moment) => view.openCase("real", moment),
  });
  button.disabled = !isWriter;
  return button;
}

function practiceKey({ words, go }) {
  return key({
    name: "practice", tag: "practice", label: el("span", { class: "lead" }, words.text("home.practice")),
    note: words.text("home.practice_note"), onTap: () => go("practice"),
  });
}

function resumeKey(view) {
  const { words, theCase, measured, desk } = view;
  if (!theCase || theCase.closed) return null;
  const where = words.text(`place.${place(theCase)}`);
  const bed = bedOf(words, theCase);
  const told = bed ? say(words, "home.resume_note", { label: bed, place: where }) : say(words, "home.resume_plain", { place: where });
  return key({
    name: "resume", look: "on", tag: "resume",
    label: [el("small", {}, told), el("span", { class: "lead" }, since(words, theCase, measured))],
    note: el("span", { class: "goto" }, words.text("home.go_back"), icon("on")),
    onTap: () => view.resume(desk.caseId()),
  });
}

function since(words, theCase, measured) {
  const running = sinceOf(words, theCase, measured);
  if (running) return running;
  const { now_ms: open } = measured;
  if (open >= LONG_OPEN_MS) return say(words, "home.opened_long", { n: Math.floor(open / MINUTE_MS / 60) });
  return say(words, "home.opened", { n: Math.floor(open / MINUTE_MS) });
}

function facts(view) {
  const { words } = view;
  return [
    ...notes(view), remarksRow(view), kitRow(view), sending(view), shell(view), update(view),
    row("list", words.text("home.cases"), null, { name: "cases", onTap: () => view.go("cases") }),
    row("gauge", words.text("home.settings"), null, { name: "settings", onTap: () => view.go("settings") }),
  ].filter(Boolean);
}

function notes({ words, notices }) {
  const count = (codes) => notices.notes.filter(({ code }) => codes.includes(code)).reduce((sum, note) => sum + (note.count ?? 0), 0);
  const lost = count(["lost"]);
  const restored = count(["restored"]);
  return [
    lost ? row("caution", say(words, "home.lost", { n: lost })) : null,
    restored ? row("yes", say(words, "home.restored", { n: restored })) : null,
  ];
}

/** What the supervisor wrote leads to the births it is about. */
function remarksRow(view) {
  const n = unopened(view);
  return n ? row("list", say(view.words, "remarks.new", { n }), null, { name: "remarks", onTap: () => view.go("cases") }) : null;
}

function kitRow(view) {
  const { words, kit, stamp, protocol } = view;
  const { title, note, isFine } = kitLine(words, kit.look(), stamp().at, protocol.numbers.kit_days.value);
  return row(isFine ? "kit" : "caution", title, note, { name: "kit", onTap: () => view.go("kit") });
}

function sending(view) {
  const { words, link } = view;
  const { waiting, since: from, lastContact, failure, hub } = link.state();
  const lines = waiting
    ? [say(words, "home.waiting", { n: waiting }), reason(words, failure) ?? say(words, "home.waiting_since", { when: dayTime(from) })]
    : [words.text("home.all_sent"), contact(words, lastContact)];
  if (!waiting && lastContact === null) lines[0] = words.text("home.never_sent");
  // What the station has may still wait there for the hub.
  else if (!waiting && hub?.count) lines[1] = [say(words, "home.hub_waiting", { n: hub.count }), " ", say(words, "home.waiting_since", { when: dayTime(hub.since) })];
  return row("send", ...lines, { name: "send", onTap: () => link.send(), end: words.text("home.send_now") });
}

function reason(words, failure) {
  const told = { device_waiting: "home.station_waiting", waiting_full: "home.station_waiting", device_retired: "home.station_retired" }[failure];
  return told ? words.text(told) : null;
}

function contact(words, at) {
  return at === null ? null : say(words, "home.sent_at", { when: dayTime(at) });
}

function shell({ words, notices }) {
  if (notices.shell === null) return null;
  const is = notices.shell.ready ? "ready" : "not_ready";
  return row(notices.shell.ready ? "yes" : "caution", words.text(`home.${is}`), words.text(`home.${is}_note`));
}

function update(view) {
  const { words, notices } = view;
  if (notices.update === "waits") return row("clock", words.text("home.update_waits"));
  if (notices.update !== "ready") return null;
  return row("on", words.text("home.update"), null, { name: "update", onTap: () => view.takeUpdate() });
}

function row(sign, title, note, action) {
  const inner = [icon(sign), el("span", {}, el("b", {}, title), note ? el("small", {}, note) : null)];
  if (!action) return el("div", { class: "row" }, inner);
  return el("button", { type: "button", class: "row", data: { key: action.name }, on: { click: action.onTap } },
    inner, action.end ? el("span", { class: "end" }, action.end) : icon("more"));
}

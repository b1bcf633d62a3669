/**
 * The list of what was recorded in this case, to correct it: take back, put earlier, add a
 * pull that was missed. Nothing is ever erased; a correction is an entry of its own.
 */

import { visible } from "../core/alarm.js";
import { time } from "../language.js";
import { banner } from "../ui/banner.js";
import { el, say, value } from "../ui/dom.js";
import { eventDetail, eventText } from "../ui/event_words.js";
import { bedOf, header } from "../ui/header.js";
import { key } from "../ui/key.js";

// Common practice, no source: how far back a late tap usually is.
export const EARLIER_MIN = [1, 2, 5];
// Whose word a change is, and why it is made: chosen once, it goes with every change of this visit.
const ROLES = ["midwife", "assistant", "senior", "doctor"];
const WHYS = ["late", "slip", "learnt"];
let chosen = {};
const HIDDEN = new Set(["withdrawn", "amended", "advice_shown", "screen_woke", "case_opened"]);

/** Draw the list, newest first; the argument "missed" asks when a missed pull began, "advice" begins with what stands. */
export function logPage(view) {
  const { words, theCase, arg } = view;
  const rows = theCase.timeline.filter((row) => !HIDDEN.has(row.kind)).reverse();
  const main = el("main", { class: "log" },
    // Only where it was asked for: an entry that is being corrected must not move under the finger.
    arg === "advice" ? visible(theCase, view.findings).map((finding) => banner(words, [finding], view.measured)) : null,
    arg === "missed" ? missed(view) : key({ name: "missed", label: words.text("log.missed_pull"), sign: "cup", onTap: () => view.go("log", "missed") }),
    reasons(view),
    el("ol", { class: "entries" }, rows.map((row) => entry(view, row))));
  return {
    node: el("div", { class: "screen log-page scrolls" },
      header(words, { title: words.text("log.title"), heading: "h1", detail: [bedOf(words, theCase)], onBack: () => view.toCase() }), main),
  };
}

/** Who changes entries and why; nobody has to say it before a change. */
function reasons({ words, redraw }) {
  const row = (name, ids, prefix) => el("div", { class: "answers four", role: "group", "aria-label": words.text(`log.${name}`) }, ids.map((id) => key({
    name: `${name}-${id}`, label: words.text(`${prefix}.${id}`), pressed: chosen[name] === id, sign: chosen[name] === id ? "yes" : null,
    onTap: () => { chosen = { ...chosen, [name]: chosen[name] === id ? undefined : id }; redraw(); },
  })));
  const isTold = Object.values(chosen).some(Boolean);
  return el("details", { class: "reasons-of", open: isTold ? "" : null }, el("summary", { data: { key: "who-why" } }, words.text("log.who_why")),
    row("by", ROLES, "role"), row("why", WHYS, "log.why"));
}

function toldWith() {
  return Object.fromEntries(Object.entries(chosen).filter(([, id]) => id));
}

function entry(view, row) {
  const { words, theCase } = view;
  const marks = [row.void && "log.taken_back", row.amended && "log.amended", row.estimated && "log.estimated"].filter(Boolean);
  const told = [value(time(row.at)), " ", el("b", {}, eventText(words, row, theCase)), " ", eventDetail(words, row),
    marks.map((mark) => el("small", {}, words.text(mark)))];
  const isFixed = row.void || row.kind === "case_closed";
  return el("li", { class: row.void ? "void" : null, data: { kind: row.kind } },
    isFixed ? el("p", {}, told) : el("details", {}, el("summary", { data: { key: `entry-${row.log.slice(0, 6)}-${row.seq}` } }, told), corrections(view, row)));
}

function corrections(view, row) {
  const { words, desk, stamp } = view;
  const mark = `${row.log.slice(0, 6)}-${row.seq}`;
  if (row.kind === "clock_jumped") return jumpKeys(view, row, mark);
  return el("div", { class: "correct" },
    key({ name: `back-${mark}`, label: words.text("log.take_back"), sign: "undo", stamp, onTap: () => desk.withdraw([row]) }),
    EARLIER_MIN.map((n) => key({ name: `ago-${n}-${mark}`, label: say(words, "log.earlier", { n }), stamp, onTap: () => desk.amend(row, { ago: row.ago + n * 60 }, toldWith()) })));
}

function jumpKeys({ words, desk, stamp }, row, mark) {
  const moved = Math.round((row.facts.ms ?? 0) / 60000);
  return el("div", { class: "correct" }, el("p", {}, say(words, "log.clock_moved", { n: moved })),
    key({ name: `slept-${mark}`, label: words.text("log.slept"), stamp, onTap: () => desk.amend(row, { cause: "slept" }, toldWith()) }),
    key({ name: `set-${mark}`, label: words.text("log.clock_set"), stamp, onTap: () => desk.amend(row, { cause: "set" }, toldWith()) }));
}

/** A pull that nobody tapped, told with the time it began; it is taken to have lasted half a minute. */
function missed(view) {
  const { words, record, stamp } = view;
  return el("section", { class: "missed" }, el("p", { class: "lead" }, words.text("log.missed_ago")),
    el("div", { class: "answers three" }, EARLIER_MIN.map((n) => key({
      name: `missed-${n}`, label: say(words, "log.minutes_ago", { n }), stamp,
      onTap: (moment) => {
        view.next("log");
        record("pull_began", {}, { stamp: moment, ago: n * 60 });
        record("pull_ended", {}, { stamp: moment, ago: n * 60 - 30 });
      },
    }))));
}

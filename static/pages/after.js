/**
 * After: two lanes, baby and mother, with what is late, due, for later and done.
 */

import { time } from "../language.js";
import { bleedingAdvice } from "../ui/bleeding_advice.js";
import { el, say, value } from "../ui/dom.js";
import { bedOf, header } from "../ui/header.js";
import { holdKey } from "../ui/hold.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { undoKey } from "../ui/undo.js";
import { watch } from "../core/newborn.js";
import { usedCup } from "../core/measures.js";
import { apart, careItems, standing } from "./after_items.js";
import { belowRow, itemRow } from "./after_rows.js";
import { afterSheet, framed } from "./after_sheets.js";
import { tierBanner, tierSheet } from "./after_tier.js";
import { transferSheet } from "./after_transfer.js";

const MINUTE_MS = 60000;
const LONG_MIN = 180;
// Common practice, no source: how long what is due may lag behind; the minutes run on.
const LOOK_AGAIN_MS = 1000;
const SEXES = ["girl", "boy", "unsure"];
const SHEETS = { tier: tierSheet, transfer: transferSheet };

/** Draw the screen after a birth; the argument names what is open: "item", or "item/how far". */
export function afterPage(view) {
  const { words, theCase, arg } = view;
  if (!theCase?.baby_born || theCase.closed) return gone(view);
  const items = itemsOf(view);
  const sheet = sheetOf(view, items);
  const main = el("main", { class: "after" }, born(view, sheet ? null : undoKey(view)), tierBanner(view), sheet ?? lanes(view, items), sheet ? null : ends(view));
  const node = el("div", { class: "screen after-page scrolls" },
    header(words, { title: words.text("place.after"), detail: [bedOf(words, theCase)], onBack: () => (arg ? view.go("after") : view.go("home")) }), main);
  const drawn = stamped(view, items);
  let looked = view.stamp().tick;
  const isTime = (now) => { if (now - looked < LOOK_AGAIN_MS) return false; looked = now; return true; };
  return { node, tick: (later) => tick(main, later, drawn, isTime) };
}

function itemsOf({ theCase, protocol, stamp }) {
  return careItems(theCase, protocol, stamp());
}

/** The birth was taken back, or the case is closed: there is another page for that. */
function gone(view) {
  queueMicrotask(() => (view.theCase ? view.toCase() : view.go("home")));
  return { node: el("div", { class: "screen after-page" }) };
}

function sheetOf(view, items) {
  if (!view.arg) return null;
  const [id, at = null] = view.arg.split("/");
  if (SHEETS[id]) return framed(view, SHEETS[id](view));
  const item = items.find((one) => one.id === id) ?? apart(id);
  return item ? afterSheet(view, item, at) : null;
}

/** The time since birth; beside it Undo, which at the end of two long lanes nobody would find in time. */
function born({ words, theCase, measured }, undo) {
  const minutes = minutesSince(theCase, measured);
  return el("section", { class: "born" },
    el("h1", { class: "minutes", tabindex: "-1" }, el("b", { data: { since: "birth" } }, value(sinceText(words, minutes))), " ", el("span", { class: "what" }, words.text(minutes < LONG_MIN ? "after.since" : "after.since_long"))),
    el("p", {}, say(words, "after.born_at", { time: time(theCase.baby_born.at) })), undo);
}

function sinceText(words, minutes) {
  return minutes < LONG_MIN ? String(minutes) : words.span(minutes);
}

function minutesSince(theCase, measured) {
  return Math.max(0, Math.floor((measured.now_ms - theCase.baby_born.ms) / MINUTE_MS));
}

function lanes(view, items) {
  const names = inOrder(items);
  const low = firstOpen(items, names[1]);
  return el("div", { class: "lanes" }, low ? belowRow(view, low) : null, names.map((name) => lane(view, name, items)));
}

/** On a phone one lane stands under the other: whose open thing must be done first comes first. */
function inOrder(items) {
  return endOf(firstOpen(items, "mother")) < endOf(firstOpen(items, "baby")) ? ["mother", "baby"] : ["baby", "mother"];
}

/** Give the open thing of a lane that must be done first, or undefined. */
function firstOpen(items, name) {
  const open = items.filter((item) => item.lane === name && ["late", "due"].includes(item.state));
  return open.reduce((first, item) => (first === undefined || endOf(item) < endOf(first) ? item : first), undefined);
}

function endOf(item) {
  return item?.late_at ?? Infinity;
}

function lane(view, name, items) {
  const { words, theCase } = view;
  return el("section", { class: "lane", data: { lane: name } }, el("h2", { class: "lead" }, words.text(`after.${name}`)),
    name === "baby" ? [usedCup(theCase) ? hat(words) : null, sex(view)] : bleedingAdvice(view),
    el("ul", {}, items.filter((item) => item.lane === name).map((item) => el("li", { data: { item: item.id, state: item.state } }, itemRow(view, item)))));
}

function hat(words) {
  return el("p", { class: "hat" }, icon("baby"), el("b", {}, words.text("after.no_hat")));
}

/** Girl or boy belongs to the birth itself, and stays changeable. */
function sex(view) {
  const { words, theCase, desk } = view;
  const birth = standing(theCase).findLast((row) => row.kind === "baby_born");
  return el("div", { class: "answers three sexes", role: "group", "aria-label": words.text("after.sex") }, SEXES.map((id) => {
    const isChosen = theCase.baby_born.sex === id;
    return key({ name: `sex-${id}`, label: words.text(`after.${id}`), sign: isChosen ? "yes" : id === "unsure" ? "unsure" : null, pressed: isChosen, stamp: view.stamp, onTap: () => desk.amend(birth, { sex: id }) });
  }));
}

function ends(view) {
  const { words, theCase } = view;
  return el("div", { class: "ends" },
    key({ name: "record", sign: "list", label: words.text("after.record"), onTap: () => view.go("record", theCase.case) }),
    key({ name: "handover", sign: "send", label: words.text("handover.open"), onTap: () => view.go("handover", { from: { page: "after", arg: null } }) }),
    key({ name: "to-transfer", sign: "road", label: words.text("after.transfer"), onTap: () => view.go("after", "transfer") }),
    holdKey({ name: "close", label: words.text("after.close"), again: words.text("app.press_again"), sign: "yes", look: "", onDone: () => view.closeCase(theCase.transfer_left ? "transferred" : "complete") }));
}

/** What makes the lanes draw themselves anew as time passes. */
function stamped({ theCase, protocol, measured, stamp }, items) {
  const isLong = minutesSince(theCase, measured) >= LONG_MIN;
  return [isLong, watch(theCase, protocol, stamp()).tier, ...items.map(({ id, state, due_at: at }) => `${id}${state}${at}`)].join("|");
}

/** The minutes run; when something falls due the lanes are drawn anew. */
function tick(main, later, drawn, isTime) {
  const { words, theCase, measured, arg } = later;
  if (!theCase?.baby_born || theCase.closed) return;
  const shown = main.querySelector("[data-since=birth] bdi");
  const minutes = minutesSince(theCase, measured);
  shown.textContent = sinceText(words, minutes);
  if (!arg && isTime(later.stamp().tick) && stamped(later, itemsOf(later)) !== drawn) later.redraw();
}

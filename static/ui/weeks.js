/**
 * The weeks of pregnancy: typed, or worked out from a date and shown before they are taken.
 */

import { gestationDays, gestationFromDue, weeksDays } from "../core/gestation.js";
import { dayTime } from "../language.js";
import { el, say, value } from "./dom.js";
import { half, letGo } from "./half.js";
import { icon } from "./icons.js";
import { key } from "./key.js";
import { keypad } from "./keypad.js";

// Common practice, no source: between these a birth by the cup can be meant at all.
const LEAST = 20;
const MOST = 45;
const DATES = { "before.last_period": gestationDays, "before.due_date": gestationFromDue };

/** Make the pad for the weeks; `answer(id, moment, number)` gets "value" and the days. */
export function weeksPad(view, answer) {
  const { words, stamp } = view;
  const told = half("gestation", { weeks: null, by: null, date: "" });
  const pad = keypad({
    words, stamp, name: "weeks", unit: words.text("before.weeks"), most: 2, low: LEAST, high: MOST, okLabel: words.text("keypad.ok"),
    onDone: (text, moment) => {
      told.weeks = Number(text);
      daysPart(view, pad, told.weeks, moment, answer).focus();
    },
  });
  pad.append(byDate(view, told, answer));
  if (told.weeks !== null) daysPart(view, pad, told.weeks, null, answer);
  return pad;
}

/** After the weeks the odd days are asked, in the same place; gives the first key. */
function daysPart(view, pad, weeks, moment, answer) {
  const { words, stamp } = view;
  const days = [0, 1, 2, 3, 4, 5, 6].map((day) => key({
    name: `days-${day}`, label: [el("b", { class: "num" }, value(`${weeks}+${day}`))], stamp,
    onTap: (later) => answer("value", later ?? moment, weeks * 7 + day),
  }));
  // Without a way back a slip in the weeks could only be answered wrongly first.
  const anew = key({ name: "weeks-anew", label: words.text("before.weeks"), sign: "back", onTap: () => { letGo(); view.redraw(); } });
  pad.replaceChildren(el("div", { class: "answers four" }, days, anew));
  pad.append(el("p", {}, say(words, "before.weeks_days", { w: weeks, d: "0–6" })));
  return days[0];
}

/**
 * The field of the browser is only the means of picking: it writes a date as the browser likes, day or month
 * first. What counts stands below it, as the record writes it, and one key takes it.
 */
function byDate(view, told, answer) {
  const { words } = view;
  const found = el("output", { class: "dated", "aria-live": "polite" });
  const fields = Object.keys(DATES).map((by) => el("input", {
    type: "date", max: "9999-12-31", value: told.by === by ? told.date : null, data: { by },
    on: { change: (event) => pick(event.target), blur: (event) => { if (event.target.validity.badInput) pick(event.target); } },
  }));

  function pick(input) {
    // One date counts, and no other one is left standing beside it.
    for (const other of fields) if (other !== input) other.value = "";
    Object.assign(told, { by: input.dataset.by, date: input.value });
    show(input.validity.badInput);
    found.scrollIntoView({ block: "nearest" });
  }

  function show(isBroken) {
    const read = told.date === "" && !isBroken ? null : readDate(told, view.stamp().at);
    for (const input of fields) input.setAttribute("aria-invalid", String(input.dataset.by === told.by && Boolean(read?.refused)));
    found.replaceChildren(...(read ? foundPart(view, told, read, answer) : []));
  }

  show(false);
  return el("details", { class: "by-date" }, el("summary", { data: { key: "by-date" } }, words.text("before.by_date")),
    fields.map((input) => el("label", {}, words.text(input.dataset.by), input)), found);
}

/** Work out the days at a moment: {days, refused}, where `refused` names the words for why they are not taken. */
function readDate({ by, date }, at) {
  let days;
  try {
    days = DATES[by](date, dayTime(at).slice(0, 10));
  } catch (error) {
    if (error.code !== "date_malformed") throw error;
    return { refused: "before.date_broken" };
  }
  if (days < 0) return { days, refused: "before.date_ahead" };
  if (days < LEAST * 7) return { days, refused: "before.date_early" };
  return { days, refused: days > MOST * 7 ? "before.date_late" : null };
}

function foundPart(view, { by, date }, { days, refused }, answer) {
  const { words, stamp } = view;
  const day = date === "" ? null : el("p", {}, words.text(by), el("b", { class: "num" }, value(date)));
  if (refused) return [day, el("p", { class: "within" }, icon("caution"), el("span", {}, say(words, refused, { low: LEAST, high: MOST })))].filter(Boolean);
  const [w, d] = weeksDays(days);
  return [day, key({
    name: "take-date", look: "next", sign: "yes", stamp, label: [el("b", { class: "num" }, value(`${w}+${d}`)), el("span", {}, say(words, "before.weeks_days", { w, d }))],
    note: words.text("before.date_take"), onTap: (moment) => answer("value", moment, days),
  })];
}

/**
 * Whether the pump holds: the gauge is read twice, a minute apart, in the post's own unit.
 */

import { pascals, readingFromPascals, shownDecimals } from "../core/units.js";
import { running } from "../language.js";
import { el, say } from "../ui/dom.js";
import { letGo } from "../ui/half.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { keypad } from "../ui/keypad.js";

const MOST_DIGITS = 4;
const MOST = 900;

// What was read so far; the page may be drawn anew at any time.
let reading = null;

/** Draw the check of a row of form "drop": its answers, or the readings while they are taken. */
export function holdingPart(view, row, event, answers) {
  const { words, stamp } = view;
  if (reading) return el("div", { class: "holding", on: { look: ({ target }) => tick(view, row, target) } }, reads(view, row));
  return [
    shown(view, row, event),
    answers(),
    key({ name: "read-twice", sign: "gauge", label: words.text("kit.pump_holds.read"), onTap: () => { reading = { unit: view.link.post()?.gauge_unit ?? "kpa" }; view.redraw(); }, stamp }),
  ];
}

function reads(view, row) {
  const { words, stamp, redraw } = view;
  const { unit, first } = reading;
  const symbol = words.quantity("", unit).trim();
  const ask = (id, onRead) => [el("p", { class: "lead" }, words.text(id)), keypad({
    words, stamp, name: id, unit: symbol, decimals: shownDecimals(unit), most: MOST_DIGITS, high: MOST, okLabel: words.text("keypad.ok"),
    onDone: (text, moment) => {
      letGo();
      onRead(thousandths(text), moment ?? stamp());
    },
  })];
  const leave = key({ name: "read-leave", label: words.text("app.cancel"), onTap: () => { reading = null; letGo(); redraw(); } });
  if (first === undefined) return [ask("kit.pump_holds.first", (read, moment) => { reading = { ...reading, first: read, tick: moment.tick }; redraw(); }), leave];
  return [el("p", { class: "lead", data: { runs: "hold" }, role: "status" }, waiting(view, row)),
    ask("kit.pump_holds.then", (read, moment) => keep(view, row, read, moment)), leave];
}

/** Both readings go with the answer, which is the person's own to change; read too early, nobody can tell. */
async function keep({ kit }, row, then, moment) {
  const { unit, first, tick: began } = reading;
  reading = null;
  const isEarly = moment.tick - began < row.seconds * 1000;
  const lost = Math.max(0, pascals(unit, first) - pascals(unit, then));
  await kit.check(row.id, { answer: lost > row.most ? "no" : isEarly ? "unsure" : "yes", value: lost, first, then, unit }, moment);
}

function shown({ words }, row, event) {
  if (event?.facts.unit === undefined) return null;
  const { first, then, unit, value: lost } = event.facts;
  const most = words.reading(unit, readingFromPascals(unit, row.most));
  return el("div", { class: "readings" }, el("p", {}, say(words, "kit.pump_holds.fell", { first: words.reading(unit, first), then: words.reading(unit, then) })),
    el("p", { class: "quiet" }, say(words, "kit.pump_holds.most", { most })),
    lost > row.most ? el("p", { class: "advice caution" }, icon("caution"), el("span", {}, words.text("kit.pump_holds.lost"))) : null);
}

function waiting({ words, stamp }, row) {
  const left = row.seconds * 1000 - (stamp().tick - reading.tick);
  return left > 0 ? say(words, "kit.pump_holds.wait", { time: running(left + 999) }) : words.text("kit.pump_holds.now");
}

function tick(view, row, box) {
  box.querySelector("[data-runs=hold]")?.replaceChildren(...[waiting(view, row)].flat());
}

function thousandths(text) {
  const [whole, part = ""] = text.split(".");
  return Number(whole) * 1000 + Number(part.padEnd(3, "0").slice(0, 3));
}

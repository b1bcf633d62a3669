/**
 * Say what the gauge shows: one tap for the usual readings, a keypad for any other.
 */

import { formatReading, pascals, shownDecimals } from "../core/units.js";
import { el, value } from "../ui/dom.js";
import { floorShown } from "../ui/gauge.js";
import { half, letGo } from "../ui/half.js";
import { key } from "../ui/key.js";
import { keypad } from "../ui/keypad.js";
import { suctionRow, topReading } from "./suction_band.js";

// Round readings within the working band, in thousandths of each unit.
const ROUND = {
  kpa: [60000, 70000, 80000],
  mmhg: [450000, 500000, 550000, 600000],
  kgf_cm2: [620, 700, 800],
  bar: [600, 700, 800],
  inhg: [18000, 20000, 22000, 23600],
};
const SHORT_SIGN = 3;
// More than the air can press with anywhere.
const MOST_PA = 110000;

/** Make the keys for one stage of suction. */
export function suctionAnswers(view, step) {
  const { words, stamp, theCase } = view;
  const unit = theCase.gauge_unit;
  const row = suctionRow(view.protocol, step.stage);
  const readings = usual(view, row);
  const box = el("div", { class: "suction-answers" });
  const asked = half(`gauge ${step.id}`, { other: false });
  const set = (reading, moment) => {
    letGo();
    return view.record("suction_set", { stage: step.stage, pa: pascals(unit, reading), unit, reading }, { stamp: moment });
  };

  const keys = readings.map((reading) => key({
    name: `reading-${reading}`, look: reading < row.floor[unit] ? "" : "next", stamp,
    label: [el("b", { class: "lead" }, stacked(words, unit, reading))], onTap: (moment) => set(reading, moment),
  }));
  const other = key({ name: "other-reading", label: words.text("cup.other_value"), sign: "gauge", onTap: askOther });

  function askOther() {
    asked.other = true;
    const pad = keypad({
      words, stamp, name: `reading ${step.id}`, unit: words.quantity("", unit).trim(), decimals: shownDecimals(unit), most: 4, okLabel: words.text("keypad.ok"),
      high: formatReading(unit, floorShown(unit, MOST_PA)), onDone: (text, moment) => set(Math.round(Number(text) * 1000), moment),
    });
    box.replaceChildren(el("p", {}, words.text("cup.gauge_shows")), pad);
  }

  if (readings.some((reading) => reading < row.floor[unit])) box.append(el("p", { class: "note" }, words.text("cup.height_note")));
  box.append(el("div", { class: `answers ${keys.length > 2 ? "many" : "three"}` }, keys, other));
  if (asked.other) askOther();
  return box;
}

/** A reading whose unit may stand below its number, and a long one smaller: four keys share the width of a screen. */
export function stacked(words, unit, reading) {
  const [text, sign] = [words.reading(unit, reading), words.symbol(unit)].map((one) => one.replaceAll("\u00a0", " "));
  const shown = value(text);
  const at = text.indexOf(sign);
  if (sign.length > SHORT_SIGN) shown.replaceChildren(text.slice(0, at), el("small", {}, sign), text.slice(at + sign.length));
  return shown;
}

/** The readings offered: what the band and the height of the post allow. */
function usual(view, row) {
  const unit = view.theCase.gauge_unit;
  if (row.show) return [row.show[unit]];
  const top = topReading(view, row, unit);
  const round = ROUND[unit].filter((reading) => reading <= top);
  return round.includes(top) ? round.slice(-3) : [...round.slice(-2), top];
}

/**
 * Say the values of a record: facts beside their names, gaps, readings, lengths of time.
 */

import { running } from "../language.js";
import { el, value } from "../ui/dom.js";
import { eventDetail, eventText } from "../ui/event_words.js";

/** Draw one fact beside its name; nothing told is drawn as a gap. */
export function fact(words, label, told) {
  return el("div", { class: "fact" }, el("dt", {}, label), el("dd", {}, told ?? gap(words)));
}

/** Say that nothing was recorded, where it would stand. */
export function gap(words) {
  return el("span", { class: "gap" }, words.text("app.not_recorded"));
}

/** Say a text if there is one, else give null. */
export function told(words, id) {
  return words.has(id) ? words.text(id) : null;
}

/** Say a reading in its own unit with kPa beside it, as nodes; null when none was told. */
export function readingText(words, set) {
  if (!set) return null;
  const { unit, reading, pa } = set.facts ?? set;
  const kpa = Number.isInteger(pa) ? words.reading("kpa", pa) : null;
  if (!Number.isInteger(reading) || !unit) return kpa ? value(kpa) : null;
  const own = value(words.reading(unit, reading));
  return unit === "kpa" || !kpa ? own : [own, " (", value(kpa), ")"];
}

/** Show a moment as minutes and seconds from the record's first minute, with a sign. */
export function fromZero(ms) {
  return `${ms <= -1000 ? "\u2212" : "+"}${running(Math.abs(ms))}`;
}

/** Show a length of time in ms as minutes and seconds with the unit. */
export function lengthText(words, ms) {
  return value(words.quantity(running(ms), "min"));
}

/** Say an amount of a medicine and how it was given, or "". */
export function amountText(words, { dose, unit, route }) {
  const amount = dose && unit ? words.whole(`after.amount.${unit}`, { n: String(dose / 1000).replace(".", words.decimal) }) : "";
  return [amount, route ? told(words, `after.route.${route}`) : ""].filter(Boolean).join(" ");
}

/** Say all that an entry holds, also of kinds that other lists say in one word. */
export function detailText(words, row, theCase) {
  const more = MORE[row.kind];
  return words.listed([eventDetail(words, row), more ? more(words, row.facts, theCase) : ""]);
}

const MORE = {
  case_opened: (words, { mode }) => told(words, `record.mode.${mode}`) ?? "",
  plan_agreed: (words, { who, minutes }) => words.listed([who && told(words, `role.${who}`), minutes !== undefined && words.span(minutes)]),
  decision_made: (words, { role, override, reason }) => words.listed([role && told(words, `role.${role}`), override && words.text("record.override"), reason && (told(words, `before.why.${reason}`) ?? reason)]),
  medicine_given: (words, facts) => words.listed([amountText(words, facts), facts.allergy && told(words, `after.allergy.${facts.allergy}`)]),
  placenta_delivered: (words, { complete }) => told(words, `after.placenta.${complete}`) ?? "",
  clock_jumped: (words, { ms }) => words.quantity(Math.round(ms / 1000), "s"),
  withdrawn: (words, facts, theCase) => targetText(words, facts, theCase),
  amended: (words, facts, theCase) => words.listed([targetText(words, facts, theCase), changesText(words, facts, theCase), ...reasonTexts(words, facts)]),
};

/** Say why an entry was changed, and whose word it is. */
function reasonTexts(words, { why, by }) {
  return [why && words.text("record.why", { why: told(words, `log.why.${why}`) ?? why }), by && words.text("record.by", { by: told(words, `role.${by}`) })];
}

/** Say what an entry was changed to: its facts, or how much earlier it happened. */
function changesText(words, facts, theCase) {
  const target = targetOf(facts, theCase);
  const changes = Object.fromEntries(Object.entries(facts).filter(([name]) => name.startsWith("set_")).map(([name, fact]) => [name.slice(4), fact]));
  if (!target) return "";
  const { ago, ...set } = changes;
  return words.listed([Object.keys(set).length ? detailText(words, { kind: target.kind, facts: { ...target.facts, ...set } }, theCase) : "",
    ago === undefined ? "" : words.text("log.earlier", { n: Math.round(ago / 60) })]);
}

/** Name the entry that a correction is about. */
function targetText(words, facts, theCase) {
  const target = targetOf(facts, theCase);
  return target ? eventText(words, target, theCase) : "";
}

function targetOf({ target_log: log, target_seq: seq }, theCase) {
  return theCase.timeline.find((row) => row.log === log && row.seq === seq);
}

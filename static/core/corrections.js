/**
 * Put events in order and apply what later ones withdraw or amend.
 *
 * Nothing is erased: an event that was withdrawn stays in the list and is marked.
 */

import { seal } from "./event.js";
import { fits, kindOf } from "./kinds.js";

// Without its opening a case could not be named, so that one is never withdrawn.
const FIXED = ["case_opened"];

/**
 * Order events and apply corrections.
 *
 * Gives [entries, anomalies]: entries {event, facts, ago, void, amended} in order of
 * the log, anomalies {code, log, seq}. Events told twice count once.
 */
export function corrected(events) {
  const anomalies = [];
  const entries = inOrder(events).map((event) => entryOf(event, anomalies));
  const places = new Map();
  entries.forEach((entry, index) => {
    const place = placeOf(entry.event);
    places.set(place, [...places.get(place) ?? [], index]);
  });
  withdraw(entries, places, anomalies);
  amend(entries, places, anomalies);
  return [entries, anomalies];
}

/**
 * Order events by log and number; a log that began earlier comes first.
 *
 * The log in which the case was opened comes before all others, whatever the clock
 * said then: a tablet whose battery was flat may start again in another year.
 */
export function inOrder(events) {
  const lineOf = linesAmong(events);
  const once = new Map(events.map((event) => [`${placeOf(event)} ${lineOf(event)}`, event]));
  const first = new Map();
  for (const { log, at } of once.values()) first.set(log, Math.min(first.get(log) ?? at, at));
  const opening = openingLog([...once.values()]);
  const byLine = (a, b) => (a.log !== opening) - (b.log !== opening)
    || first.get(a.log) - first.get(b.log)
    || compare(a.log, b.log) || a.seq - b.seq || compareBytes(lineOf(a), lineOf(b));
  return [...once.values()].sort(byLine);
}

/** Give what tells two events of one place apart: the line, costly to write, only where a place is shared. */
function linesAmong(events) {
  const held = new Map();
  for (const event of events) held.set(placeOf(event), (held.get(placeOf(event)) ?? 0) + 1);
  return (event) => (held.get(placeOf(event)) > 1 ? seal(event) : "");
}

function placeOf({ log, seq }) {
  return `${log}/${seq}`;
}

function openingLog(events) {
  const opened = events.filter((event) => event.kind === "case_opened")
    .sort((a, b) => a.at - b.at || compare(a.log, b.log));
  return opened.length ? opened[0].log : null;
}

/** Name something odd about an event, for the record and the review. */
export function anomaly(code, event) {
  return { code, log: event.log, seq: event.seq };
}

function entryOf(event, anomalies) {
  const specs = kindOf(event.kind)?.facts ?? {};
  // A fact that is not what its row asks is kept in the log and left out of the case.
  const facts = Object.fromEntries(Object.entries(event.facts)
    .filter(([name, fact]) => !Object.hasOwn(specs, name) || fits(specs[name], fact)));
  if (Object.keys(facts).length < Object.keys(event.facts).length) anomalies.push(anomaly("fact_refused", event));
  return { event, facts, ago: event.ago, void: false, amended: false };
}

function compare(a, b) {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

function compareBytes(a, b) {
  // By code point, as UTF-8 bytes sort; JavaScript's own order is by UTF-16 unit.
  const left = [...a], right = [...b];
  const length = Math.min(left.length, right.length);
  for (let i = 0; i < length; i += 1) {
    const gap = left[i].codePointAt(0) - right[i].codePointAt(0);
    if (gap !== 0) return gap;
  }
  return left.length - right.length;
}

function targetOf(entry, index, places) {
  const { target_log: log, target_seq: seq } = entry.facts;
  const earlier = (places.get(`${log}/${seq}`) ?? []).filter((place) => place < index);
  return earlier.length ? earlier.at(-1) : null;
}

function withdraw(entries, places, anomalies) {
  // From the last to the first, so that a withdrawal can itself be withdrawn.
  for (let index = entries.length - 1; index >= 0; index -= 1) {
    const entry = entries[index];
    if (entry.event.kind !== "withdrawn" || entry.void) continue;
    const target = targetOf(entry, index, places);
    if (target === null) anomalies.push(anomaly("target_missing", entry.event));
    else if (FIXED.includes(entries[target].event.kind)) anomalies.push(anomaly("target_fixed", entry.event));
    else entries[target].void = true;
  }
}

function amend(entries, places, anomalies) {
  entries.forEach((entry, index) => {
    if (entry.event.kind !== "amended" || entry.void) return;
    const target = targetOf(entry, index, places);
    if (target === null) {
      anomalies.push(anomaly("target_missing", entry.event));
      return;
    }
    const changes = Object.entries(entry.facts)
      .filter(([name]) => name.startsWith("set_")).map(([name, value]) => [name.slice(4), value]);
    if (isAmended(entries[target], changes)) entries[target].amended = true;
    else anomalies.push(anomaly("amend_refused", entry.event));
  });
}

function isAmended(entry, changes) {
  const row = kindOf(entry.event.kind);
  const specs = { ...row?.facts, ago: { type: "int", min: 0, max: 604800 } };
  if (!changes.length || !changes.every(([name, value]) => Object.hasOwn(specs, name) && fits(specs[name], value))) return false;
  for (const [name, value] of changes) {
    if (name === "ago") entry.ago = value;
    else entry.facts = { ...entry.facts, [name]: value };
  }
  return true;
}

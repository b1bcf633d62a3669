/**
 * Tell what is due for mother and baby after the birth, and what is late.
 *
 * Rounds of looking follow from the tier and the hours; single things each have their time.
 * Both are rows of the protocol, in minutes since the birth. Knows no clock.
 */

import { nowInCase } from "./measures.js";
import { MINUTE_MS, watch } from "./newborn.js";

// A round told this long before its time counts for it. Common practice, no source.
export const EARLY_MIN = 10;
const ORDER = { late: 0, due: 1, later: 2 };

/**
 * List what is open after the birth, what is most overdue first.
 *
 * Each is {id, lane, minute, due_ms, late_ms, state}: state "later", "due" or "late";
 * due_ms on the case's clock; minute since birth. Nothing before the birth or once closed.
 */
export function due(theCase, protocol, now) {
  if (theCase.baby_born === null || theCase.closed !== null) return [];
  const { ms: nowMs } = nowInCase(theCase, now);
  return [...rounds(theCase, protocol, now, nowMs), ...single(theCase, protocol, nowMs)]
    .sort((a, b) => ORDER[a.state] - ORDER[b.state] || a.due_ms - b.due_ms);
}

/** Give the rounds of one lane with what became of them: [{minute, due_ms, done_ms}]. */
export function roundsOf(theCase, protocol, now, lane) {
  const { ms: nowMs } = nowInCase(theCase, now);
  return assigned(times(theCase, protocol, now, nowMs)[lane], told(theCase, lane));
}

function rounds(theCase, protocol, now, nowMs) {
  const found = [];
  for (const [lane, planned] of Object.entries(times(theCase, protocol, now, nowMs))) {
    const slots = assigned(planned, told(theCase, lane));
    const after = slots.slice(slots.findLastIndex((slot) => slot.done_ms !== null) + 1);
    // Rounds that were missed are in the record; what is open is one round: the first
    // that was missed says since when.
    const slot = after.find((one) => one.due_ms <= nowMs) ?? after[0];
    const grace = protocol.rounds.grace_min * MINUTE_MS;
    if (slot) found.push(item(`${lane}_round`, lane, slot, nowMs, slot.due_ms + grace));
  }
  return found;
}

/** Minutes since birth at which each lane is looked at, as far as they are known now. */
function times(theCase, protocol, now, nowMs) {
  const bornMs = theCase.baby_born.ms;
  const rows = protocol.rounds;
  const watched = watch(theCase, protocol, now);
  const baby = watched.tier === 3 ? flaggedTimes(rows.flagged, watched.since_ms, bornMs, nowMs)
    : rows.baby[String(watched.tier)];
  const placed = (minutes) => minutes.map((minute) => ({ minute, due_ms: bornMs + minute * MINUTE_MS }));
  return { baby: placed(baby), mother: placed(rows.mother) };
}

/** Every 15 min for 2 h from the red flag, then hourly, one further than now. */
function flaggedTimes(row, sinceMs, bornMs, nowMs) {
  const begin = Math.floor(Math.max((sinceMs ?? bornMs) - bornMs, 0) / MINUTE_MS);
  const until = Math.floor(Math.max(nowMs - bornMs, 0) / MINUTE_MS);
  const found = [];
  let minute = begin;
  do {
    minute += minute - begin < row.first_for ? row.first_every : row.then_every;
    found.push(minute);
  } while (minute <= until);
  return found;
}

function told(theCase, lane) {
  return theCase.care.filter((one) => one.kind === `${lane}_observed` && one.facts.what === "round")
    .map((one) => one.ms).sort((a, b) => a - b);
}

/** Give each round the telling that belongs to it: the last time that had come, or nearly. */
function assigned(planned, tellings) {
  const slots = planned.map((time) => ({ ...time, done_ms: null }));
  for (const ms of tellings) {
    const slot = slots.findLast((one) => one.due_ms - EARLY_MIN * MINUTE_MS <= ms);
    if (slot) slot.done_ms = ms;
  }
  return slots;
}

function single(theCase, protocol, nowMs) {
  const bornMs = theCase.baby_born.ms;
  return protocol.care.filter((row) => !theCase.care.some((one) => matches(row, one))).map((row) => {
    const slot = { minute: row.due_min, due_ms: bornMs + row.due_min * MINUTE_MS };
    return item(row.id, row.lane, slot, nowMs, bornMs + row.late_min * MINUTE_MS);
  });
}

function matches(row, one) {
  return one.kind === row.kind && Object.entries(row.facts).every(([name, value]) => one.facts[name] === value);
}

function item(id, lane, slot, nowMs, lateMs) {
  const reached = nowMs >= slot.due_ms ? "due" : "later";
  return { id, lane, minute: slot.minute, due_ms: slot.due_ms, late_ms: lateMs, state: nowMs >= lateMs ? "late" : reached };
}

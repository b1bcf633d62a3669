/**
 * Tell what is due for mother and baby after the birth, and what is late.
 *
 * Rounds of looking follow from the tier and the hours; single things each have their time.
 * Both are rows of the protocol, in minutes since the birth. Knows no clock.
 */

import { nowInCase, usedCup } from "./measures.js";
import { MINUTE_MS, watch } from "./newborn.js";

// Nobody stays at a post for longer, and a clock that jumped must not make endless rounds.
const LONGEST_MIN = 7 * 24 * 60;
const ORDER = { late: 0, due: 1, later: 2 };

/**
 * List what is open after the birth, what is most overdue first.
 *
 * What is late or due stands in the order in which it becomes late, the rest as it falls due.
 * Each is {id, lane, minute, due_ms, late_ms, state}: state "later", "due" or "late";
 * due_ms on the case's clock; minute since birth. Nothing before the birth or once closed.
 */
export function due(theCase, protocol, now) {
  if (theCase.baby_born === null || theCase.closed !== null) return [];
  const { ms: nowMs } = nowInCase(theCase, now);
  return [...rounds(theCase, protocol, now, nowMs), ...single(theCase, protocol, nowMs)]
    .sort((a, b) => ORDER[a.state] - ORDER[b.state] || urgency(a) - urgency(b));
}

function urgency(one) {
  return one.state === "later" ? one.due_ms : one.late_ms;
}

/**
 * Give the rounds of one lane with what became of them.
 *
 * Each is {minute, due_ms, from_ms, done_ms}: a round told at from_ms or later counts for
 * it; done_ms is null as long as none was. None before the birth.
 */
export function roundsOf(theCase, protocol, now, lane) {
  if (theCase.baby_born === null) return [];
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
  const isFlagged = watched.tier === 3;
  const begin = isFlagged ? minutesAfter(bornMs, watched.since_ms) : 0;
  const baby = isFlagged ? flaggedTimes(rows.flagged, begin, minutesAfter(bornMs, nowMs))
    : rows.baby[String(watched.tier)];
  return {
    baby: slotsAt(baby, begin, bornMs, rows.early_min),
    mother: slotsAt(rows.mother, 0, bornMs, rows.early_min),
  };
}

function minutesAfter(bornMs, ms) {
  return Math.floor(Math.max(ms - bornMs, 0) / MINUTE_MS);
}

/**
 * Lay rounds in time: each may be told somewhat early.
 *
 * By a third of the time since the round before at most, or a round told late would count
 * for the next one and leave a gap that no row allows.
 */
function slotsAt(minutes, begin, bornMs, earlyMin) {
  return minutes.map((minute, index) => {
    const gap = minute - (index ? minutes[index - 1] : begin);
    const early = Math.min(earlyMin * MINUTE_MS, Math.floor(gap * MINUTE_MS / 3));
    const dueMs = bornMs + minute * MINUTE_MS;
    return { minute, due_ms: dueMs, from_ms: dueMs - early };
  });
}

/** Close together at first, from the red flag on, then wider; one further than now. */
function flaggedTimes(row, begin, nowMinute) {
  const until = Math.min(nowMinute, begin + LONGEST_MIN);
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

/** Give each round the telling that belongs to it: the last round that could be told then. */
function assigned(planned, tellings) {
  const slots = planned.map((time) => ({ ...time, done_ms: null }));
  for (const ms of tellings) {
    const slot = slots.findLast((one) => one.from_ms <= ms);
    if (slot) slot.done_ms = ms;
  }
  return slots;
}

function single(theCase, protocol, nowMs) {
  const bornMs = theCase.baby_born.ms;
  return protocol.care.filter((row) => concerns(row, theCase) && !theCase.care.some((one) => matches(row, one))).map((row) => {
    const slot = { minute: row.due_min, due_ms: bornMs + row.due_min * MINUTE_MS };
    return item(row.id, row.lane, slot, nowMs, bornMs + row.late_min * MINUTE_MS);
  });
}

/** Tell whether a row of care is meant for this birth: some only where a cup was used. */
export function concerns(row, theCase) {
  return row.only !== "cup" || usedCup(theCase);
}

/** Tell whether an entry does what a row asks, and says nothing that leaves it open. */
export function matches(row, { kind, facts }) {
  return kind === row.kind
    && Object.entries(row.facts).every(([name, value]) => isOne(facts[name], value))
    && !Object.entries(row.unless ?? {}).some(([name, value]) => isOne(facts[name], value));
}

function isOne(told, wanted) {
  return Array.isArray(wanted) ? wanted.includes(told) : told === wanted;
}

function item(id, lane, slot, nowMs, lateMs) {
  const reached = nowMs >= slot.due_ms ? "due" : "later";
  return { id, lane, minute: slot.minute, due_ms: slot.due_ms, late_ms: lateMs, state: nowMs >= lateMs ? "late" : reached };
}

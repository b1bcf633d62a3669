/**
 * Go through a birth once more, event by event, and see what the rules said at each.
 *
 * The case is folded anew before and after every event, as the tablet did, so that each stop
 * has the moment at which it first held: at a tap, or to the millisecond between two.
 */

import { visible } from "./alarm.js";
import { fold } from "./case.js";
import { corrected } from "./corrections.js";
import { advise } from "./limits.js";
import { nowInCase } from "./measures.js";

/**
 * Give {steps, stops}: what each event met, and when each stop first held.
 *
 * steps are {event, before, after, stops}: the case before and after the event, and the
 * ids of the stops that held just before it. stops are {limit, message, true_ms} in order.
 */
export function walk(events, protocol, now) {
  const told = left(events);
  const stamps = [...told.map(({ at, boot, tick }) => ({ at, boot, tick })), now];
  const steps = [];
  const stops = [];
  let theCase = fold([]);
  told.forEach((event, index) => {
    const after = fold(told.slice(0, index + 1));
    const held = stopsOf(theCase, protocol, stamps[index]).map((one) => one.limit);
    steps.push({ event, before: theCase, after, stops: held });
    begun(stops, after, protocol, stamps[index], stamps[index + 1]);
    theCase = after;
  });
  return { steps, stops };
}

/** Leave out what was taken back; it counts for nothing. */
function left(events) {
  const [entries] = corrected(events);
  return entries.filter((entry) => !entry.void).map((entry) => entry.event).filter((event) => event.kind !== "withdrawn");
}

function stopsOf(theCase, protocol, now) {
  return visible(theCase, advise(theCase, protocol, now)).filter((one) => one.level === "stop");
}

/** Add the stops that begin to hold from one event up to the next. */
function begun(stops, theCase, protocol, start, end) {
  for (const one of stopsOf(theCase, protocol, start)) add(stops, one, nowInCase(theCase, start).ms);
  for (const one of stopsOf(theCase, protocol, end)) {
    if (stops.some((known) => known.limit === one.limit)) continue;
    add(stops, one, nowInCase(theCase, firstAt(theCase, protocol, start, end, one.limit)).ms);
  }
}

function add(stops, finding, ms) {
  if (stops.some((known) => known.limit === finding.limit)) return;
  stops.push({ limit: finding.limit, message: finding.message, true_ms: ms });
}

/** Halve the time until the first millisecond at which a limit holds is found. */
function firstAt(theCase, protocol, start, end, limit) {
  if (start.boot !== end.boot) return end;
  let low = 0;
  let high = Math.max(end.tick - start.tick, 0);
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (stopsOf(theCase, protocol, later(start, middle)).some((one) => one.limit === limit)) high = middle;
    else low = middle;
  }
  return later(start, high);
}

function later({ at, boot, tick }, ms) {
  return { at: at + ms, boot, tick: tick + ms };
}

/**
 * Measure a recording: how long, how loud, and how much silence lies before and after the words.
 */

// From the decisions on recorded sentences; judged by ear, no other source.
const SHORTEST_S = 0.5;
const LONGEST_S = 12;
const QUIETEST = 0.1;
const LOUDEST = 0.98;
const GAP_S = 0.5;
// Speech is far above this part of its own peak, the noise of a room below it.
const HEARD = 0.1;

/** Name what is wrong with samples from -1 to 1: short, long, quiet, loud, gap_start, gap_end. */
export function faults(samples, rate) {
  const found = [];
  const seconds = samples.length / rate;
  if (seconds < SHORTEST_S) found.push("short");
  if (seconds > LONGEST_S) found.push("long");
  const peak = samples.reduce((most, one) => Math.max(most, Math.abs(one)), 0);
  if (peak < QUIETEST) return [...found, "quiet"];
  if (peak > LOUDEST) found.push("loud");
  const isHeard = (one) => Math.abs(one) >= peak * HEARD;
  const first = samples.findIndex(isHeard);
  const last = samples.findLastIndex(isHeard);
  if (first / rate > GAP_S) found.push("gap_start");
  if ((samples.length - 1 - last) / rate > GAP_S) found.push("gap_end");
  return found;
}

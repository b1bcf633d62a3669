/**
 * The only reader of wall time and of the page's own monotonic time.
 *
 * The wall clock survives a restart and a sleep, and may jump. The tick never
 * jumps, begins anew with each page and stands still while the tablet sleeps.
 */

import { randomHex } from "./bytes.js";

const JUMP_MS = 5000;
const WAKING = ["visibilitychange", "pageshow", "resume", "focus"];

/**
 * Make the clock of one page run: {boot, stamp, watch}.
 *
 * `stamp()` gives {at: wall ms UTC, boot: 8 hex, tick: monotonic ms}. `watch(onJump)`
 * gives a function to call at every look; it reports {ms, cause} when the wall
 * moved more than 5 s against the tick since the last look. Cause is "set" when
 * the wall went back, else "unknown": a sleep and a clock set forward look alike.
 */
export function startClock({ wall = () => Date.now(), tick = () => performance.now() } = {}) {
  const boot = randomHex(4);
  const stamp = () => ({ at: Math.round(wall()), boot, tick: Math.round(tick()) });

  function watch(onJump) {
    let last = stamp();
    return () => {
      const now = stamp();
      const ms = (now.at - last.at) - (now.tick - last.tick);
      last = now;
      if (Math.abs(ms) > JUMP_MS) onJump({ ms, cause: ms < 0 ? "set" : "unknown" });
    };
  }

  return { boot, stamp, watch };
}

/**
 * Call `look` at every interval (ms) and whenever the page comes back to life.
 *
 * Timers are slowed, frozen and dropped while hidden, so what is due is worked
 * out from the clock at each look. Gives a function that stops it.
 */
export function lookOften(look, every = 250) {
  const timer = setInterval(look, every);
  // While capturing, the window hears what is sent to the document as well; also that a key got the focus, which wakes nothing.
  const hear = (event) => { if (event.type !== "focus" || event.target === window) look(); };
  for (const name of WAKING) window.addEventListener(name, hear, true);
  return () => {
    clearInterval(timer);
    for (const name of WAKING) window.removeEventListener(name, hear, true);
  };
}

/** Split due times (wall ms, {at, …}) into those that have come, with how late, and the rest. */
export function dueAt(dues, now) {
  const ripe = dues.filter(({ at }) => at <= now).map((due) => ({ ...due, late: now - due.at }));
  return { ripe, waiting: dues.filter(({ at }) => at > now) };
}

/**
 * The PIN of this tablet: what it closes, how it is tried, and how it is let go.
 *
 * It stops the curious, not someone who copies the disk. Only its salted hash is kept,
 * in both stores of the journal. Wrong tries are counted before they are looked at, so
 * that starting the page again wins nothing; they slow down and never end.
 */

import { base64url } from "./bytes.js";

const ROW = "pin";
const ITERATIONS = 600000;
const SALT_BYTES = 16;
const HASH_BITS = 256;
// Common practice, no source: three tries at once, then ever longer waits, at most five minutes.
const WAITS_S = [0, 0, 0, 5, 15, 30, 60, 120, 300];
const OPEN_MS = 5 * 60 * 1000;
const AGAIN_MS = 2000;
const PATIENCE_MS = 3000;
export const LEAST_DIGITS = 4;
export const MOST_DIGITS = 8;

/**
 * Open the lock: {begin, look, touch, close, isSet, isShut, isUnknown, waitMs, tryPin, setPin, clear, hear}.
 *
 * parts: journal, device, stamp() -> {at, tick}, isWriter. Closed again five minutes after
 * the last touch, by whichever of the two clocks went further, and when the page is hidden.
 */
export function openLock({ journal, device, stamp, isWriter, onChange }) {
  let row = {};
  let isRead = false;
  let readTick = -Infinity;
  let touched = null;

  /** Read the PIN's row; while the store cannot be read the lock stays shut. */
  async function begin() {
    readTick = stamp().tick;
    try {
      row = await journal.readMeta(ROW) ?? row;
      isRead = true;
    } catch (error) {
      if (error.code !== "journal_refused") throw error;
    }
  }

  async function keep(changes) {
    row = { ...row, ...changes, at: Math.max(stamp().at, (row.at ?? 0) + 1) };
    // A disk that takes nothing must not keep the tablet shut: the journal goes on trying.
    await Promise.race([journal.writeMeta(ROW, row), new Promise((resolve) => setTimeout(resolve, PATIENCE_MS))]);
  }

  const isSet = () => row.hash !== undefined && row.hash !== null;

  /** Tell whether what the PIN closes is closed now. */
  function isShut() {
    return !isRead || (isSet() && !isFresh());
  }

  function isFresh() {
    if (touched === null) return false;
    const { at, tick } = stamp();
    return Math.max(Math.abs(at - touched.at), tick - touched.tick) < OPEN_MS;
  }

  /** At every look: close what has been open for too long, and read again what could not be read. */
  function look() {
    if (touched !== null && !isFresh()) touched = null;
    if (!isRead && stamp().tick - readTick > AGAIN_MS) begin().then(() => isRead && onChange());
  }

  /** A finger on an open page keeps it open. */
  function touch() {
    if (touched !== null && isFresh()) touched = stamp();
  }

  /** Close it now. */
  function close() {
    touched = null;
  }

  /** Give how long the next try must wait, in ms; a clock set back begins the wait anew. */
  function waitMs() {
    const wait = WAITS_S[Math.min(row.failed ?? 0, WAITS_S.length - 1)] * 1000;
    const { at } = stamp();
    if ((row.tried_at ?? 0) > at) row = { ...row, tried_at: at };
    return Math.max(0, wait - (at - (row.tried_at ?? 0)));
  }

  /** Try a PIN: whether it opened. Gives false without looking while a wait runs. */
  async function tryPin(digits) {
    if (!isWriter || !isSet() || waitMs() > 0) return false;
    await keep({ failed: (row.failed ?? 0) + 1, tried_at: stamp().at });
    if (await hashed(digits, row.salt, row.iterations) !== row.hash) return false;
    touched = stamp();
    await keep({ failed: 0 });
    return true;
  }

  /** Set or change the PIN; the tablet stays open for the one who set it. */
  async function setPin(digits) {
    const salt = crypto.getRandomValues(new Uint8Array(SALT_BYTES));
    const hash = await hashed(digits, salt, ITERATIONS);
    touched = stamp();
    await keep({ salt, hash, iterations: ITERATIONS, failed: 0, tried_at: 0 });
  }

  /** Let go of the PIN; `reset` is the station's word for it, {log, seq}, if there was one. */
  function clear(reset) {
    return keep({ salt: null, hash: null, failed: 0, tried_at: 0, ...(reset && { reset }) });
  }

  /** Hear what a station sent down, its own events in order: each reset for this tablet is followed once. */
  async function hear(events) {
    if (!isWriter || !isRead) return;
    const mine = events.filter(({ kind, facts }) => kind === "pin_reset" && facts.device === device.id);
    const last = mine.at(-1);
    if (!last || (row.reset?.log === last.log && row.reset.seq >= last.seq)) return;
    await clear({ log: last.log, seq: last.seq });
  }

  return { begin, look, touch, close, isSet, isShut, isUnknown: () => !isRead, waitMs, tryPin, setPin, clear, hear };
}

async function hashed(digits, salt, iterations) {
  const key = await crypto.subtle.importKey("raw", new TextEncoder().encode(digits), "PBKDF2", false, ["deriveBits"]);
  const bits = await crypto.subtle.deriveBits({ name: "PBKDF2", hash: "SHA-256", salt, iterations }, key, HASH_BITS);
  return base64url(new Uint8Array(bits));
}

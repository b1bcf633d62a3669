/**
 * The hash chain over one log: h(0) names the log, h(n) covers its first n lines.
 *
 * Hashes are hexadecimal here and on the wire; a place is {seq, hash}.
 */

import { fromHex, hex, sha256 } from "./bytes.js";

const utf8 = new TextEncoder();

/** Give the place before the first line of a log. */
export async function beginning(log) {
  return { seq: 0, hash: hex(await sha256(utf8.encode(`log/1\n${log}`))) };
}

/** Give the place after one more line. */
export async function after(place, line) {
  const text = utf8.encode(line);
  const whole = new Uint8Array(32 + text.length);
  whole.set(fromHex(place.hash));
  whole.set(text, 32);
  return { seq: place.seq + 1, hash: hex(await sha256(whole)) };
}

/** Give the place after several lines. */
export async function afterAll(place, lines) {
  let reached = place;
  for (const line of lines) reached = await after(reached, line);
  return reached;
}

/**
 * Give the place after the line with this number, or after the last one there is.
 *
 * `readLog(log, after)` gives the next lines, none at the end; `from` is a place already
 * reached, no further than that line.
 */
export async function placeAt(log, seq, readLog, from = null) {
  let place = from ?? await beginning(log);
  while (place.seq < seq) {
    const lines = (await readLog(log, place.seq)).slice(0, seq - place.seq);
    if (!lines.length) break;
    place = await afterAll(place, lines);
  }
  return place;
}

/**
 * Find the last of some places, [[log, seq, hash], …], that lies on our own chain.
 *
 * `readLog(log, after)` gives the next lines, none at the end. Gives the beginning
 * when no place is ours: the station takes a log from there at any time.
 */
export async function lastShared(log, leaves, readLog) {
  const wanted = leaves.filter(([theirs]) => theirs === log);
  const furthest = Math.max(0, ...wanted.map(([, seq]) => seq));
  let place = await beginning(log);
  let shared = place;
  while (place.seq < furthest) {
    const lines = await readLog(log, place.seq);
    if (lines.length === 0) break;
    for (const line of lines) {
      place = await after(place, line);
      if (wanted.some(([, seq, hash]) => seq === place.seq && hash === place.hash)) shared = place;
    }
  }
  return shared;
}

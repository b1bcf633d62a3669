/** Make the next batch of a log: a signed header and as many lines as fit. */

import { afterAll } from "./chain.js";

const LARGEST_PACKED = 64 * 1024;
const PAGE = 500;

/**
 * Make the batch that follows a place: {body, count, head}.
 *
 * parts: journal, device. `bytes` is the size of the lines to aim at, before
 * compression. `head` is the place after the batch; `body` is gzip.
 */
export async function nextBatch({ journal, device }, log, place, bytes) {
  const lines = fitting(await journal.readLog(log, place.seq, PAGE), bytes);
  const head = await afterAll(place, lines);
  const header = await signedHeader(device, log, place, lines.length, head);
  const body = await packed([header, ...lines]);
  if (body.byteLength <= LARGEST_PACKED || lines.length === 1) return { body, count: lines.length, head };
  return nextBatch({ journal, device }, log, place, bytes / 2);
}

/** Give as many of some lines as fit into so many letters, one at least. */
export function fitting(lines, bytes) {
  let sum = 0;
  // A letter outside ASCII is up to three bytes, so this may overshoot; the station's bound is far off.
  const count = lines.findIndex((line) => { sum += line.length + 1; return sum > bytes; });
  return count < 0 ? lines : lines.slice(0, Math.max(1, count));
}

/** Write the first line of a batch: count lines after a place, up to head. */
export async function signedHeader(device, log, place, count, head) {
  const told = [log, place.seq + 1, count, place.hash, head.hash];
  const signature = await device.sign(["batch/1", ...told].join("\n"));
  return JSON.stringify({
    batch: 1, log, seq: place.seq + 1, n: count, prev: place.hash, head: head.hash,
    device: device.id, alg: "ES256", signature,
  });
}

function packed(lines) {
  const stream = new Blob([lines.map((line) => `${line}\n`).join("")]).stream();
  return new Response(stream.pipeThrough(new CompressionStream("gzip"))).arrayBuffer();
}

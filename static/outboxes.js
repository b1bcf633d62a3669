/**
 * Fetch what comes down: the station's own lines, and those of the hubs behind it.
 *
 * Nothing is kept before its log is proven whole, up to the end that the station
 * names: the chain leads there, and a signature covers that end. Whose key it is the
 * station vouches for, at first sight; a log that was one's stays that one's.
 */

import { fromBase64url, nameOfKey } from "./bytes.js";
import { afterAll, beginning } from "./chain.js";
import { ChecklistError } from "./errors.js";

const KEY = { name: "ECDSA", namedCurve: "P-256" };
const RULE = { name: "ECDSA", hash: "SHA-256" };
// These concern one log; the others may still come.
const OF_ONE_LOG = new Set(["chain_mismatch", "signature_wrong", "log_foreign", "not_found"]);

/**
 * Fetch every outbox that the heads name: {received, failure}; failure is an error or null.
 *
 * line: get(path) -> {text, head}; journal; cursor, whose `outbox` and `outboxes`
 * {log: {seq, hash, device}} say what is held; keep(changes), durable when it resolves.
 */
export async function receiveAll(line, heads) {
  let received = 0;
  let failure = null;
  for (const leaf of named(heads)) {
    try {
      received += await receive(line, leaf, heads);
    } catch (error) {
      if (!OF_ONE_LOG.has(error.code)) throw error;
      failure = error;
    }
  }
  return { received, failure };
}

/** Give what a cursor says is held: log -> {seq, hash}; one of before names the station's own log alone. */
export function heldOf({ outbox, outboxes } = {}) {
  return { ...outbox && { [outbox.log]: outbox }, ...outboxes };
}

/** Give the lines of every outbox held, log by log, oldest first. */
export async function readAll(journal, cursor) {
  const read = Object.entries(heldOf(cursor)).map(([log, { seq }]) => journal.readInbox(log, 0, seq));
  return (await Promise.all(read)).flat();
}

/** The station's own log first; a station of before names no other. */
function named({ outbox, outboxes }) {
  return outboxes ?? (outbox ? [outbox] : []);
}

async function receive(line, [log, last, end], heads) {
  const isOwn = heads.outbox?.[0] === log;
  const held = await whole(line, log, line.cursor.outboxes[log] ?? (isOwn && line.cursor.outbox?.log === log ? line.cursor.outbox : null));
  if (held && held.seq === last && held.hash === end) return 0;
  const device = await signer(log, last, end, heads, isOwn);
  if (held?.device && device && held.device !== device) throw new ChecklistError("log_foreign", { log });
  // One that was restored from a backup may have written another history of its log.
  const place = held && held.seq < last ? { seq: held.seq, hash: held.hash } : await beginning(log);
  const found = await follow(line, log, place, last, end) ?? await follow(line, log, await beginning(log), last, end);
  if (!found) throw new ChecklistError("chain_mismatch", { log });
  await Promise.all(found.lines.map((text, index) => line.journal.appendInbox(text, log, found.after + 1 + index)));
  const reached = { seq: last, hash: end, device };
  await line.keep({
    outboxes: { ...line.cursor.outboxes, [log]: reached },
    ...isOwn && { outbox: { log, seq: last, hash: end } },
  });
  return found.lines.length;
}

/** Give what is said to be held of a log, or null when a line of it is missing: then all of it is fetched again. */
async function whole({ journal }, log, held) {
  return held && await journal.countInbox(log, held.seq) === held.seq ? held : null;
}

/** Read from a place on to the end that was named: {lines, after}, or null when the chain leads elsewhere. */
async function follow({ get }, log, place, last, end) {
  const lines = [];
  let reached = place;
  while (reached.seq < last) {
    const { text } = await get(`/v1/logs/${log}/events?after=${reached.seq}`);
    // More may have been written since the end was named; that comes next time.
    const more = text.split("\n").filter(Boolean).slice(0, last - reached.seq);
    if (more.length === 0) return null;
    lines.push(...more);
    reached = await afterAll(reached, more);
  }
  return reached.hash === end ? { lines, after: place.seq } : null;
}

/**
 * Give the device that signed for the end of a log; null from a station of before, for its own.
 *
 * Raises signature_wrong, or log_foreign when the log is not the station's own as it says.
 */
async function signer(log, last, end, heads, isOwn) {
  const proof = heads.proofs?.[log];
  if (!proof) {
    if (isOwn && !heads.proofs) return null;
    throw new ChecklistError("signature_wrong", { log });
  }
  const header = JSON.parse(proof.header);
  const point = fromBase64url(proof.key);
  const device = await nameOfKey(point);
  const fits = header.log === log && header.head === end && header.seq + header.n - 1 === last && header.device === device;
  if (!fits || !await isSigned(point, header)) throw new ChecklistError("signature_wrong", { log });
  if (isOwn && device !== heads.station) throw new ChecklistError("log_foreign", { log });
  return device;
}

async function isSigned(point, { log, seq, n, prev, head, signature }) {
  const key = await crypto.subtle.importKey("raw", point, KEY, false, ["verify"]);
  const told = new TextEncoder().encode(["batch/1", log, seq, n, prev, head].join("\n"));
  return crypto.subtle.verify(RULE, key, fromBase64url(signature), told);
}

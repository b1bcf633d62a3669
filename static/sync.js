/**
 * One exchange with a station: send what it lacks, compare, fetch what it says.
 *
 * What was agreed before is only a hint: the station's own answer decides what
 * is sent. Only durable lines are read here, and nothing is ever cleared.
 */

import { nextBatch } from "./batch.js";
import { beginning, lastShared } from "./chain.js";
import { ChecklistError } from "./errors.js";
import { readAll, receiveAll } from "./outboxes.js";
import { wireTo } from "./wire.js";

const SIZES = { smallest: 8 * 1024, first: 64 * 1024, largest: 128 * 1024 };
const MOST_REWINDS = 3;
// These concern one log; the others may still go.
const OF_ONE_LOG = new Set(["chain_mismatch", "head_mismatch", "event_malformed", "log_foreign", "unknown_prev"]);

/**
 * Exchange once: {sent, received, forked, at, ahead, demo}.
 *
 * parts: journal, device, fetch, wall() ms, name of the device (may be "").
 * station: its origin, "" for the page's own. `ahead` is how many ms the station's
 * clock is ahead. Raises station_unreachable, device_waiting, device_retired, …
 */
export async function exchange(parts, station) {
  const wire = wireTo(parts, station);
  const epoch = parts.journal.epoch();
  const cursor = { ...emptyCursor(), ...await parts.journal.readCursor(station) };
  const session = { ...parts, station, wire, cursor, epoch, sent: 0, failure: null };
  if (cursor.device !== parts.device.id) await introduce(session);
  await sendAll(session);
  const heads = await askHeads(session);
  // To a device it does not admit a station tells nothing, which is not the same as holding nothing.
  if (heads.device !== "admitted") throw new ChecklistError(`device_${heads.device}`, { device: parts.device.id });
  if (await rewind(session, heads)) await sendAll(session);
  const { received, failure } = await receiveAll(downward(session), heads);
  const at = parts.wall();
  const { sealing = null, held, leaves } = heads;
  const hub = held ?? null;
  await keep(session, { at, ahead: heads.time - at, incarnation: heads.incarnation, sealing, held: held ?? leaves, hub });
  if (session.failure ?? failure) throw session.failure ?? failure;
  const { sent, cursor: { ahead } } = session;
  return { sent, received, at, ahead, demo: heads.demo === true };
}

/** Tell how many events a station has not acknowledged and since when (wall ms, or null). */
export async function waiting(journal, station) {
  const { logs, at } = { ...emptyCursor(), ...await journal.readCursor(station) };
  return { ...await lacking(journal, (log) => logs[log]?.seq ?? 0), lastContact: at };
}

/**
 * Tell how many events the hub behind a station does not hold and since when, as last heard.
 *
 * null while there is no hub. What the station does not hold yet counts too.
 */
export async function waitingAtHub(journal, station) {
  const { hub } = { ...emptyCursor(), ...await journal.readCursor(station) };
  if (hub === null) return null;
  return lacking(journal, (log) => Math.max(0, ...hub.filter(([name]) => name === log).map(([, seq]) => seq)));
}

/** Give the lines of the station and of the hubs behind it, log by log, oldest first. */
export async function readDown(journal, station) {
  return readAll(journal, { ...emptyCursor(), ...await journal.readCursor(station) });
}

/** Give the lines that a station has sent down, oldest first. */
export async function readStation(journal, station) {
  const { outbox } = { ...emptyCursor(), ...await journal.readCursor(station) };
  return outbox ? journal.readInbox(outbox.log, 0, outbox.seq) : [];
}

/** Give what a file for the hub needs: {sealing, held}, its statement and what it holds; as last heard. */
export async function readAim(journal, station) {
  const { sealing, held } = { ...emptyCursor(), ...await journal.readCursor(station) };
  return { sealing, held };
}

async function lacking(journal, heldOf) {
  let count = 0;
  let since = null;
  for (const [log, last] of await journal.readTips()) {
    const held = heldOf(log);
    if (held >= last) continue;
    count += last - held;
    const [line] = await journal.readLog(log, held, 1);
    since = Math.min(since ?? Infinity, JSON.parse(line).at);
  }
  return { count, since };
}

/** What the fetching of outboxes needs of a session. */
function downward(session) {
  const { journal, cursor, wire } = session;
  return { journal, cursor, get: (path) => known(session, () => wire.get(path)), keep: (changes) => keep(session, changes) };
}

function emptyCursor() {
  return {
    device: null, logs: {}, outbox: null, outboxes: {}, hub: null, incarnation: null, size: SIZES.first, at: null, ahead: 0, sealing: null, held: [],
  };
}

function keep(session, changes) {
  Object.assign(session.cursor, changes);
  return session.journal.writeCursor(session.station, session.cursor, session.epoch);
}

/** Make this device known to the station; raises device_waiting until a person admits it. */
async function introduce(session) {
  const { device, name = "", wire } = session;
  const signature = await device.sign(`device/1\n${device.key}`);
  const body = JSON.stringify({ key: device.key, name, signature });
  const { state } = await wire.post("/v1/devices", body, { "Content-Type": "application/json" });
  if (state === "waiting") throw new ChecklistError("device_waiting", { device: device.id });
  await keep(session, { device: device.id });
}

/** Ask again as a stranger, once, when the station no longer knows this device. */
async function known(session, ask) {
  try {
    return await ask();
  } catch (error) {
    if (error.code !== "device_unknown") throw error;
    await introduce(session);
    return ask();
  }
}

async function sendAll(session) {
  for (const [log, last] of await session.journal.readTips()) {
    try {
      await sendLog(session, log, last);
    } catch (error) {
      if (!OF_ONE_LOG.has(error.code)) throw error;
      session.failure = error;
    }
  }
}

async function sendLog(session, log, last) {
  const { cursor, journal } = session;
  let place = cursor.logs[log] ?? await beginning(log);
  let rewinds = 0;
  while (place.seq < last) {
    const batch = await nextBatch(session, log, place, cursor.size);
    let reply;
    try {
      reply = await known(session, () => post(session, log, batch.body));
    } catch (error) {
      if (error.code !== "unknown_prev" || rewinds >= MOST_REWINDS) throw await smaller(session, error);
      rewinds += 1;
      place = await lastShared(log, error.facts.leaves, journal.readLog);
      continue;
    }
    if (reply.forked) session.device.doubt(log);
    place = { ...batch.head, ends: endsOf(log, reply.leaves) };
    session.sent += batch.count;
    await agree(session, log, place, Math.min(cursor.size * 2, SIZES.largest));
  }
}

function post({ wire }, log, body) {
  const headers = { "Content-Type": "application/x-ndjson", "Content-Encoding": "gzip" };
  return wire.post(`/v1/logs/${log}/batches`, body, headers);
}

/** A line that breaks often carries small batches further than large ones. */
async function smaller(session, error) {
  if (error.code === "station_unreachable" || error.code === "batch_too_big") {
    await keep(session, { size: Math.max(session.cursor.size / 2, SIZES.smallest) });
  }
  return error;
}

function agree(session, log, place, size) {
  return keep(session, { size, logs: { ...session.cursor.logs, [log]: place } });
}

async function askHeads(session) {
  const { json } = await known(session, () => session.wire.get("/v1/heads"));
  return json;
}

/** Spell the ends of a log, in whatever order a station lists them. */
function endsOf(log, leaves) {
  return leaves.filter(([name]) => name === log).map(([, seq, hash]) => `${seq} ${hash}`).sort().join("\n");
}

/**
 * Go back on every log of which the station may hold less than agreed; gives whether any was.
 *
 * What was agreed may lie inside the station's chain, or be gone with a restored backup while
 * a twin of this tablet wrote on; only sending again tells the two apart. Under the ends that
 * the station named when it acknowledged, it lies inside: the same ends hold the same chain.
 */
async function rewind(session, { leaves, incarnation }) {
  const { cursor, device, journal } = session;
  const isRestored = cursor.incarnation !== null && cursor.incarnation !== incarnation;
  let changed = false;
  for (const [log, mine] of Object.entries(cursor.logs)) {
    const theirs = leaves.filter(([name]) => name === log);
    if (theirs.some(([, seq, hash]) => seq === mine.seq && hash === mine.hash)) continue;
    // The station goes on where our own log ends: this tablet has forgotten events it had sent.
    if (theirs.some(([, seq]) => seq >= mine.seq)) device.doubt(log);
    if (!isRestored && mine.ends === endsOf(log, theirs)) continue;
    await agree(session, log, await lastShared(log, theirs, journal.readLog), cursor.size);
    changed = true;
  }
  return changed;
}

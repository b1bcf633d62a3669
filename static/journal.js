/**
 * The tablet's journal: sealed lines, kept in order, "kept" said only when durable.
 *
 * Everything written goes through one queue that stays in memory until it is on
 * the disk. Knows no seal, no clock, no network; see pair.js for the two stores.
 */

import { ChecklistError } from "./errors.js";
import { dropBallast } from "./room.js";
import { openPair } from "./pair.js";
import { CURSORS, EVENTS, INBOX, META, read, walk, within } from "./store.js";
import { tips } from "./merge.js";

const MOST_AT_ONCE = 200;
const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 5000;
const PAGE = 500;
// A count outside the database, reaching the disk within seconds: a hint that
// events were lost with both stores, never the journal itself.
const KEPT = "journal.kept";

/** Under this name readCase gives every line that was ever told of the kit. */
export const KIT = "kit";

/**
 * Open the journal. `onState(state, count, reason)` hears "kept", "pending" with
 * how many events wait, and "failing" with why: "full", "slow" or "error".
 *
 * With `writer` false nothing is repaired and append is refused (journal_busy).
 * Gives the functions below and `notes` about what was restored or lost:
 * [{code, store, count}], where code "lost" means events that neither store holds.
 */
export async function openJournal({ onState = () => {}, writer = true } = {}) {
  const pair = await openPair({ writer });
  const { notes } = pair;
  const queue = [];
  const recent = [];
  const ends = new Map(pair.ends);
  let total = Array.from(ends.values()).reduce((sum, seq) => sum + seq, 0);
  let busy = false;
  let sick = pair.ends === null;
  let reason = null;
  let recoveries = 0;

  if (writer && !sick) noteLoss();

  function noteLoss() {
    const kept = Number(localStorage.getItem(KEPT));
    if (kept > total) notes.push({ code: "lost", store: "both", count: kept - total });
    mark();
  }

  function mark() {
    try {
      localStorage.setItem(KEPT, String(total));
    } catch {
      // Full or switched off: the hint is missing, the journal is not.
    }
  }

  /** Queue rows that belong together, so that one transaction takes them. */
  function put(...rows) {
    if (!writer) return Promise.reject(new ChecklistError("journal_busy"));
    const kept = rows.map((row) => new Promise((resolve) => { queue.push({ ...row, resolve }); }));
    tell();
    flush();
    return Promise.all(kept).then(() => undefined);
  }

  function tell() {
    const waiting = queue.filter(({ store }) => store === EVENTS).length;
    if (reason !== null) onState("failing", waiting, reason);
    else onState(waiting === 0 ? "kept" : "pending", waiting);
  }

  async function flush() {
    if (busy) return;
    busy = true;
    let wait = FIRST_WAIT_MS;
    while (queue.length > 0) {
      const batch = queue.slice(0, MOST_AT_ONCE);
      try {
        if (sick) await recover();
        await pair.write(batch);
        settle(batch);
        wait = FIRST_WAIT_MS;
      } catch (error) {
        sick = true;
        reason = reasonOf(error);
        tell();
        // A dying disk may never answer, and the taps must not wait for it.
        await within(dropBallast()).catch(() => {});
        await new Promise((resolve) => setTimeout(resolve, wait));
        wait = Math.min(wait * 2, LONGEST_WAIT_MS);
      }
    }
    busy = false;
  }

  /** Start afresh after any write error, before anything more is called kept. */
  async function recover() {
    await pair.reopen();
    // A disk that was full may have dropped what it had already called written.
    if (recent.length > 0) await pair.write(recent);
    sick = false;
    recoveries += 1;
  }

  function settle(batch) {
    queue.splice(0, batch.length);
    const events = batch.filter(({ store }) => store === EVENTS);
    recent.push(...events.map(({ store, row }) => ({ store, row })));
    recent.splice(0, Math.max(0, recent.length - MOST_AT_ONCE));
    total += events.length;
    mark();
    reason = null;
    for (const { resolve } of batch) resolve();
    tell();
  }

  /**
   * Keep a sealed line; resolves when it is durable and is retried until it is.
   *
   * Only the very next number of a log is taken: a gap could never be sent, and
   * a number used twice would overwrite an event. Else journal_refused. `also` is
   * what the tablet knows of itself from now on, {key, value}, kept together with the line.
   */
  function append(line, log, seq, also = null) {
    if (writer && seq !== last(log) + 1) {
      return Promise.reject(new ChecklistError("journal_refused", { why: "number", log, seq }));
    }
    if (writer) ends.set(log, seq);
    const row = { log, seq, line, ...indexed(JSON.parse(line)) };
    return put({ store: EVENTS, row }, ...(also ? [{ store: META, row: also }] : []));
  }

  /** Give the last number of a log that was taken, durable or still waiting; 0 if none. */
  function last(log) {
    return ends.get(log) ?? 0;
  }

  /** Give the lines of one case, log after log, each in order. */
  async function readCase(caseId) {
    const rows = await ask(EVENTS, (store) => store.index("case").getAll(caseId));
    return rows.map(({ line }) => line);
  }

  /** Give the newest cases, or those opened before a wall time: [{case, at, line, closed}]. */
  async function readHeads({ limit = 50, before = Infinity } = {}) {
    const range = IDBKeyRange.upperBound(before, true);
    const rows = await attempt((database) => newest(database, range, limit));
    return Promise.all(rows.map(async (row) => {
      const ends = await ask(EVENTS, (store) => store.index("closed").count(row.case));
      return { case: row.case, at: row.opened, line: row.line, closed: ends > 0 };
    }));
  }

  /** Give up to `limit` lines of one log that come after a number. */
  function readLog(log, after = 0, limit = PAGE) {
    return readLines(EVENTS, log, after, limit);
  }

  /** Go through every line of every log without holding them all: for await (const line of …). */
  async function* readAll() {
    for (const [log, last] of await readTips()) {
      for (let seq = 0; seq < last; seq += PAGE) {
        const range = IDBKeyRange.bound([log, seq + 1], [log, seq + PAGE]);
        const rows = await ask(EVENTS, (store) => store.getAll(range));
        for (const { line } of rows) yield line;
      }
    }
  }

  async function readLines(store, log, after, limit) {
    const rows = await ask(store, (one) => one.getAll(IDBKeyRange.bound([log, after + 1], [log, []]), limit));
    return rows.map(({ line }) => line);
  }

  /** Give the last number of each log: Map log -> seq. */
  function readTips() {
    return attempt(tips);
  }

  function ask(store, question) {
    return attempt((database) => read(database, store, question));
  }

  async function attempt(question) {
    try {
      return await pair.read(question);
    } catch (error) {
      throw new ChecklistError("journal_refused", { why: error.name });
    }
  }

  return {
    notes,
    append,
    last,
    readCase,
    readHeads,
    readLog,
    readAll,
    readTips,
    /** In a calm moment, count every log in both stores and mend them; gives new notes. */
    check: pair.check,
    /** Whether what is called kept goes into every store that this browser can have. */
    isWhole: pair.isWhole,
    /** Tell how often writing started afresh after an error. */
    recoveries: () => recoveries,
    /** Read and write what the tablet knows of itself; a missing key is undefined. */
    readMeta: async (key) => (await ask(META, (store) => store.get(key)))?.value,
    writeMeta: (key, value) => put({ store: META, row: { key, value } }),
    /** Read and write what was last agreed with a station: a hint, never the truth. */
    readCursor: (station) => ask(CURSORS, (store) => store.get(station)),
    writeCursor: (station, cursor, epoch) => put({ store: CURSORS, row: { ...cursor, station }, epoch }),
    /** Changes whenever a store went or came; a cursor that was begun under another one is not kept. */
    epoch: pair.epoch,
    /** Read and write lines that came down from a station. */
    readInbox: (log, after = 0, limit = PAGE) => readLines(INBOX, log, after, limit),
    countInbox: (log, last) => ask(INBOX, (store) => store.count(IDBKeyRange.bound([log, 1], [log, last]))),
    appendInbox: (line, log, seq) => put({ store: INBOX, row: { log, seq, line } }),
  };
}

async function newest(database, range, limit) {
  const rows = [];
  await walk(database, EVENTS, (store) => store.index("opened").openCursor(range, "prev"), (cursor) => {
    rows.push(cursor.value);
    if (rows.length >= limit) return false;
    return cursor.continue();
  });
  return rows;
}

function indexed({ case: theCase, kind, at }) {
  // What is told of the kit is found again under a name that no case has.
  if (theCase === "") return kind === "kit_checked" ? { case: KIT } : {};
  if (kind === "case_opened") return { case: theCase, opened: at };
  return kind === "case_closed" ? { case: theCase, closed: theCase } : { case: theCase };
}

function reasonOf(error) {
  if (error.name === "QuotaExceededError") return "full";
  return error.name === "TimeoutError" ? "slow" : "error";
}

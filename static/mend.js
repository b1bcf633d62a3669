/**
 * Make the two stores of a journal hold the same, and say what each lacked.
 *
 * Events are united; of what a station said the further end stands, of what the tablet
 * knows of itself the later row. An error names the database that it came from.
 */

import { CURSORS, INBOX, META, read, write } from "./store.js";
import { merge } from "./merge.js";
import { heldOf } from "./outboxes.js";

const PAGE = 500;

/**
 * Mend two stores, [{database, isNew}]: [{code, store, count}] with the codes store_emptied,
 * caught_up and restored. names: what the notes call them. `thorough` counts every log.
 *
 * Raises what reading or writing raises, with `database`, once all that can be filled is filled.
 */
export function mend(stores, names, how) {
  return filling(async (put) => {
    // What was tapped before all else: a row that cannot be read must not keep it from either store.
    const found = await unite(stores, names, put, how);
    await copyMeta(stores, put);
    await copyInbox(stores, put);
    return found;
  });
}

/** Mend the events alone, while other rows may still be written. */
export function mendEvents(stores, names, how) {
  return filling((put) => unite(stores, names, put, how));
}

async function unite(stores, names, put, { thorough = false } = {}) {
  const results = await merge(stores[0].database, stores[1].database, { thorough, put });
  return results.flatMap(({ lacked, tail }, index) => {
    if (lacked === 0) return [];
    const note = { store: names[index], count: lacked };
    if (stores[index].isNew && !thorough) return [{ code: "store_emptied", ...note }];
    // A crash between the two writes leaves the mirror one batch behind: no event was in doubt.
    return [{ code: index === 1 && tail ? "caught_up" : "restored", ...note }];
  });
}

/** Do what fills two stores: its put(database, puts) skips one that took nothing before, so that the other is filled all the same; at the end that is raised. */
async function filling(act) {
  const failed = new Map();
  const found = await act(async (target, puts) => {
    if (failed.has(target) || puts.length === 0) return;
    try {
      await write(target, puts);
    } catch (error) {
      failed.set(target, error);
    }
  });
  for (const error of failed.values()) throw error;
  return found;
}

async function copyMeta(stores, put) {
  const rows = await allOf(stores, META);
  for (const index of [0, 1]) {
    const held = new Map(rows[index].map((row) => [row.key, row]));
    const missing = rows[1 - index].filter((row) => !held.has(row.key) || isLater(row.value, held.get(row.key).value));
    await put(stores[index].database, missing.map((row) => ({ store: META, row })));
  }
}

/** Unite what each station said; the cursor that speaks of the lines is written after them. */
async function copyInbox(stores, put) {
  const rows = await allOf(stores, CURSORS);
  for (const station of new Set(rows.flat().map((row) => row.station))) {
    const both = rows.map((mine) => mine.find((row) => row.station === station));
    if (JSON.stringify(both[0]) === JSON.stringify(both[1])) continue;
    const cursor = united(both);
    for (const index of [0, 1]) await copyLines(stores[index].database, stores[1 - index].database, heldOf(both[index]), heldOf(cursor), put);
    for (const { database } of stores) await put(database, [{ store: CURSORS, row: cursor }]);
  }
}

/** The later of two cursors, with the further end of each log: no clock may take back what was heard. */
function united([first, second]) {
  const [late, early] = !first || isLater(second, first) ? [second, first] : [first, second];
  const cursor = { ...late, outboxes: { ...late.outboxes } };
  for (const [log, end] of Object.entries(early?.outboxes ?? {})) {
    if ((cursor.outboxes[log]?.seq ?? 0) >= end.seq) continue;
    cursor.outboxes[log] = end;
    if (cursor.outbox?.log === log) cursor.outbox = { log, seq: end.seq, hash: end.hash };
  }
  return cursor;
}

/** Copy the lines of each log whose end stands in one store to the other, a page at a time. */
async function copyLines(source, target, mine, wanted, put) {
  for (const [log, { seq, hash }] of Object.entries(mine)) {
    if (wanted[log]?.seq !== seq || wanted[log].hash !== hash) continue;
    for (let from = 0; from < seq; from += PAGE) {
      const range = IDBKeyRange.bound([log, from + 1], [log, Math.min(from + PAGE, seq)]);
      const lines = await read(source, INBOX, (store) => store.getAll(range));
      await put(target, lines.map((row) => ({ store: INBOX, row })));
    }
  }
}

function allOf(stores, name) {
  return Promise.all(stores.map(({ database }) => read(database, name, (store) => store.getAll())));
}

/** Compare two values by when they were written; one that does not say so is the older one. */
function isLater(one, other) {
  return wroteAt(one) > wroteAt(other);
}

function wroteAt(value) {
  // Every string has an `at` of its own, which is no time.
  return Number.isFinite(value?.at) ? value.at : -Infinity;
}

/**
 * Make the two stores of a journal hold the same, and say what each lacked.
 *
 * Events are united. Of what the tablet knows of itself, and of what came down from a
 * station, the later stands. A store that takes nothing is named by the error.
 */

import { CURSORS, EVENTS, INBOX, META, read, write } from "./store.js";
import { merge, tips } from "./merge.js";

/**
 * Mend two stores, [{database, isNew}]: [{code, store, count}] with the codes store_emptied,
 * caught_up and restored. names: what the notes call them. `thorough` counts every log.
 *
 * Raises what reading or writing raises; `target` of the error is the database that took nothing.
 */
export async function mend(stores, names, { thorough = false } = {}) {
  await copyMeta(stores);
  await copyInbox(stores);
  return mendEvents(stores, names, { thorough });
}

/** Mend the events alone, while other rows may still be written. */
export async function mendEvents(stores, names, { thorough = false } = {}) {
  const results = await merge(stores[0].database, stores[1].database, { thorough, put });
  return results.flatMap(({ lacked, tail }, index) => {
    if (lacked === 0) return [];
    const note = { store: names[index], count: lacked };
    if (stores[index].isNew && !thorough) return [{ code: "store_emptied", ...note }];
    // A crash between the two writes leaves the mirror one batch behind: no event was in doubt.
    return [{ code: index === 1 && tail ? "caught_up" : "restored", ...note }];
  });
}

/** Tell which of two stores a mending failed for: it took nothing, or it does not answer; -1 for neither. */
export async function guilty(stores, { target }) {
  const answers = await Promise.allSettled(stores.map(({ database }) => tips(database)));
  return stores.findIndex(({ database }, index) => database === target || answers[index].status === "rejected");
}

async function put(target, puts) {
  try {
    await write(target, puts);
  } catch (error) {
    throw Object.assign(error, { target });
  }
}

async function copyMeta(stores) {
  const rows = await Promise.all(stores.map(({ database }) => read(database, META, (store) => store.getAll())));
  for (const index of [0, 1]) {
    const held = new Map(rows[index].map((row) => [row.key, row]));
    const missing = rows[1 - index].filter((row) => !held.has(row.key) || isLater(row.value, held.get(row.key).value));
    if (missing.length > 0) await put(stores[index].database, missing.map((row) => ({ store: META, row })));
  }
}

/** Copy what a station said, whole, under the cursor that speaks of it. */
async function copyInbox(stores) {
  const rows = await Promise.all(stores.map(({ database }) => read(database, CURSORS, (store) => store.getAll())));
  const held = rows.map((mine) => new Map(mine.map((row) => [row.station, row])));
  for (const station of new Set(rows.flat().map((row) => row.station))) {
    const [first, second] = held.map((mine) => mine.get(station));
    if (JSON.stringify(first) === JSON.stringify(second)) continue;
    const from = !first || isLater(second, first) ? 1 : 0;
    const cursor = held[from].get(station);
    const lines = await linesOf(stores[from].database, cursor);
    await put(stores[1 - from].database, [...lines.map((row) => ({ store: INBOX, row })), { store: CURSORS, row: cursor }]);
  }
}

async function linesOf(database, { outbox, outboxes }) {
  const ends = { ...outbox && { [outbox.log]: outbox }, ...outboxes };
  const ranges = Object.entries(ends).map(([log, { seq }]) => IDBKeyRange.bound([log, 1], [log, seq]));
  return (await Promise.all(ranges.map((range) => read(database, INBOX, (store) => store.getAll(range))))).flat();
}

/** Compare two values by when they were written; one that does not say so is the older one. */
function isLater(one, other) {
  return wroteAt(one) > wroteAt(other);
}

function wroteAt(value) {
  // Every string has an `at` of its own, which is no time.
  return Number.isFinite(value?.at) ? value.at : -Infinity;
}

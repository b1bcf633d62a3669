/**
 * Make two stores of one journal hold the same events, and say what each lacked.
 *
 * Logs have no gaps, so as long as all is well the last number of each log and
 * one count tell that two stores are equal, and no event is read.
 */

import { EVENTS, read, walk, write } from "./store.js";

const CHUNK = 500;

/** Give the last number of each log: Map log -> seq. */
export async function tips(database) {
  const found = new Map();
  await walk(database, EVENTS, (store) => store.openKeyCursor(null, "prev"), (cursor) => {
    const [log, seq] = cursor.key;
    found.set(log, seq);
    // [log] sorts before every [log, n]: one step back over the whole log.
    cursor.continue([log]);
  });
  return found;
}

/** Count the events of one store. */
export function count(database) {
  return read(database, EVENTS, (store) => store.count());
}

/**
 * Copy to each of two stores what only the other holds.
 *
 * Gives [{lacked, tail}, {lacked, tail}]: how many events each store lacked, and
 * whether these were only the last ones of their log.
 */
export async function merge(first, second) {
  const ends = [await tips(first), await tips(second)];
  const counts = [await count(first), await count(second)];
  const results = [{ lacked: 0, tail: true }, { lacked: 0, tail: true }];
  if (areEqual(ends, counts)) return results;
  for (const log of new Set([...ends[0].keys(), ...ends[1].keys()])) {
    const keys = [await keysOf(first, log), await keysOf(second, log)];
    await fill(first, second, log, keys[1], keys[0], results[0]);
    await fill(second, first, log, keys[0], keys[1], results[1]);
  }
  return results;
}

function areEqual([first, second], counts) {
  const sum = [...first.values()].reduce((total, seq) => total + seq, 0);
  return counts[0] === sum && counts[1] === sum && first.size === second.size
    && [...first].every(([log, seq]) => second.get(log) === seq);
}

async function keysOf(database, log) {
  const keys = await read(database, EVENTS, (store) => store.getAllKeys(whole(log)));
  return keys.map(([, seq]) => seq);
}

async function fill(target, source, log, offered, held, result) {
  const has = new Set(held);
  const missing = offered.filter((seq) => !has.has(seq));
  if (missing.length === 0) return;
  result.lacked += missing.length;
  result.tail &&= held.length > 0 && missing[0] > held.at(-1);
  for (let from = 0; from < missing.length; from += CHUNK) {
    const chunk = missing.slice(from, from + CHUNK);
    const range = IDBKeyRange.bound([log, chunk[0]], [log, chunk.at(-1)]);
    const rows = await read(source, EVENTS, (store) => store.getAll(range));
    await write(target, rows.filter(({ seq }) => !has.has(seq)).map((row) => ({ store: EVENTS, row })));
  }
}

function whole(log) {
  return IDBKeyRange.bound([log], [log, []]);
}

/**
 * Unite the events of two stores, looking no further than their last numbers where these agree.
 *
 * Logs have no gaps and damage takes what was written last, so at a start the
 * last number of each log tells whether two stores are equal, and no event is read.
 */

import { EVENTS, read, walk } from "./store.js";

const CHUNK = 500;

/** Give the last number of each log: Map log -> seq. */
export async function tips(database) {
  const logs = [];
  await walk(database, EVENTS, (store) => store.openKeyCursor(), (cursor) => {
    const [log] = cursor.key;
    logs.push(log);
    // Seeks past the whole log. Going backwards the engine would step over every event.
    cursor.continue([log, []]);
  });
  return new Map(await Promise.all(logs.map(async (log) => [log, await lastOf(database, log)])));
}

async function lastOf(database, log) {
  const cursor = await read(database, EVENTS, (store) => store.openKeyCursor(whole(log), "prev"));
  return cursor.key[1];
}

/**
 * Copy to each of two stores what only the other holds.
 *
 * Gives [{lacked, tail}, {lacked, tail}]: how many events each store lacked, and
 * whether these were only the last ones of their log. With `thorough` every log
 * is counted, which takes a while over years of cases. put(database, puts) writes.
 */
export async function merge(first, second, { thorough, put }) {
  const ends = [await tips(first), await tips(second)];
  const results = [{ lacked: 0, tail: true }, { lacked: 0, tail: true }];
  for (const log of new Set([...ends[0].keys(), ...ends[1].keys()])) {
    const isEqual = ends[0].get(log) === ends[1].get(log);
    if (isEqual && !(thorough && await hasGap([first, second], log, ends[0].get(log)))) continue;
    const keys = [await keysOf(first, log), await keysOf(second, log)];
    await fill({ target: first, source: second, put }, log, keys[1], keys[0], results[0]);
    await fill({ target: second, source: first, put }, log, keys[0], keys[1], results[1]);
  }
  return results;
}

async function hasGap(databases, log, last) {
  for (const database of databases) {
    if (await read(database, EVENTS, (store) => store.count(whole(log))) !== last) return true;
  }
  return false;
}

async function keysOf(database, log) {
  const keys = await read(database, EVENTS, (store) => store.getAllKeys(whole(log)));
  return keys.map(([, seq]) => seq);
}

async function fill({ target, source, put }, log, offered, held, result) {
  const has = new Set(held);
  const missing = offered.filter((seq) => !has.has(seq));
  if (missing.length === 0) return;
  result.lacked += missing.length;
  result.tail &&= held.length > 0 && missing[0] > held.at(-1);
  for (let from = 0; from < missing.length; from += CHUNK) {
    const chunk = missing.slice(from, from + CHUNK);
    const range = IDBKeyRange.bound([log, chunk[0]], [log, chunk.at(-1)]);
    const rows = await read(source, EVENTS, (store) => store.getAll(range));
    await put(target, rows.filter(({ seq }) => !has.has(seq)).map((row) => ({ store: EVENTS, row })));
  }
}

function whole(log) {
  return IDBKeyRange.bound([log], [log, []]);
}

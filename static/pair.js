/**
 * Two stores of one journal in two buckets, so that no single damage loses an event.
 *
 * Written one after the other, never both at once: a crash can tear one of them
 * at most. Whichever of the two can still be opened carries the journal alone.
 */

import { EVENTS, META, open, read, rotate, within, write } from "./store.js";
import { merge, tips } from "./merge.js";

const NAMES = ["primary", "mirror"];
// What can be fetched again from the station is not worth a second copy.
const MIRRORED = new Set([EVENTS, META]);
const STRIKES = 4;
const REJOIN_MS = 5000;
const LONGEST_REJOIN_MS = 60_000;

/**
 * Open both stores: with `writer`, each is rotated first and they are merged.
 *
 * Gives {notes, ends, write(puts), read(ask), reopen(), check(), isWhole()}: `ask` takes a database.
 * notes are [{code, store, count, why}] with the codes mirror_absent, store_shut,
 * store_emptied, caught_up, restored. `ends` is the last number of each log at the
 * start, null when neither store opens; then reopen() may be tried later. With `writer`
 * a store that stays shut is tried again by itself beside the one that carries the journal.
 */
export async function openPair({ writer = true } = {}) {
  const notes = [];
  const factories = [indexedDB, await mirrorFactory(notes)];
  const strikes = [0, 0];
  let stores = [];
  let wasShut = false;
  let turn = Promise.resolve();
  let rejoining;

  /** Let a write, a fresh start and the return of a store each end before the next begins. */
  function inTurn(act) {
    const mine = turn.then(act);
    turn = mine.catch(() => {});
    return mine;
  }

  async function reopen() {
    for (const store of stores) store?.database.close();
    stores = [];
    for (const [index, factory] of factories.entries()) {
      stores.push(factory && await openOne(factory, NAMES[index]));
    }
    if (!stores.some(Boolean)) throw new DOMException("neither store opens", "InvalidStateError");
    // A store that was shut for a while lacks the middle, which its last number would hide.
    if (wasShut && stores.every(Boolean)) await check();
    if (writer) plan(REJOIN_MS);
  }

  /** Whether every store that this browser can have is open. */
  function isWhole() {
    return factories.every((factory, index) => !factory || stores[index]);
  }

  function plan(wait) {
    clearTimeout(rejoining);
    if (isWhole() || !stores.some(Boolean)) return;
    rejoining = setTimeout(async () => {
      await rejoin().catch(() => {});
      plan(Math.min(wait * 2, LONGEST_REJOIN_MS));
    }, wait);
  }

  /** Open a store that is shut beside the one that works; it joins once it holds everything. */
  async function rejoin() {
    const before = stores;
    const index = before.findIndex((store) => !store);
    const store = await openOne(factories[index], NAMES[index]);
    if (!store) return;
    const both = before.with(index, store);
    try {
      const found = await reconcile(both, { thorough: true });
      await inTurn(async () => {
        // What was written meanwhile; after a fresh start both were opened anew.
        if (stores !== before) throw new DOMException("opened anew", "AbortError");
        found.push(...await reconcile(both));
        stores = both;
        wasShut = false;
        notes.push(...found);
      });
    } catch (error) {
      store.database.close();
      throw error;
    }
  }

  async function openOne(factory, name) {
    try {
      if (writer) await rotate(factory);
      const store = await open(factory);
      store.database.onversionchange = () => store.database.close();
      return store;
    } catch (error) {
      noteShut(name, error);
      return undefined;
    }
  }

  async function writeBoth(puts) {
    for (const [index, store] of stores.entries()) {
      const mine = index === 0 ? puts : puts.filter((put) => MIRRORED.has(put.store));
      if (!store || mine.length === 0) continue;
      try {
        await write(store.database, mine);
        strikes[index] = 0;
      } catch (error) {
        strikes[index] += 1;
        giveUp(index, error);
        throw error;
      }
    }
  }

  /** Go on with one store when the other alone keeps failing after every fresh start. */
  function giveUp(index, error) {
    const other = stores[1 - index];
    if (strikes[index] < STRIKES || strikes[1 - index] > 0 || !other || index === 0) return;
    factories[index] = undefined;
    noteShut(NAMES[index], error);
  }

  /** Said once: a store that stays shut is tried again every few seconds. */
  function noteShut(name, error) {
    wasShut = true;
    if (notes.some(({ code, store }) => code === "store_shut" && store === name)) return;
    notes.push({ code: "store_shut", store: name, count: 0, why: error.name });
  }

  async function readFirst(ask) {
    let failure = new DOMException("neither store is open", "InvalidStateError");
    for (const { database } of stores.filter(Boolean)) {
      try {
        return await ask(database);
      } catch (error) {
        failure = error;
      }
    }
    throw failure;
  }

  async function begin() {
    try {
      await reopen();
      if (writer && stores.every(Boolean)) notes.push(...await reconcile(stores));
      return await readFirst(tips);
    } catch {
      // Each failure is noted above; the tablet goes on from memory and says so.
      return null;
    }
  }

  /** Count every log in both stores and mend what the start could not see. */
  async function check() {
    const found = stores.every(Boolean) ? await reconcile(stores, { thorough: true }) : [];
    notes.push(...found);
    wasShut &&= !stores.every(Boolean);
    return found;
  }

  const ends = await begin();
  return {
    notes,
    ends,
    write: (puts) => inTurn(() => writeBoth(puts)),
    read: readFirst,
    reopen: () => inTurn(reopen),
    check,
    isWhole,
  };
}

async function mirrorFactory(notes) {
  try {
    const bucket = await within(navigator.storageBuckets.open("mirror", { persisted: true }));
    return bucket.indexedDB;
  } catch (error) {
    notes.push({ code: "mirror_absent", store: "mirror", count: 0, why: error.name });
    return undefined;
  }
}

async function reconcile(stores, how = {}) {
  await copyMeta(stores);
  const results = await merge(stores[0].database, stores[1].database, how);
  return results.flatMap(({ lacked, tail }, index) => {
    if (lacked === 0) return [];
    const note = { store: NAMES[index], count: lacked };
    if (stores[index].isNew && !how.thorough) return [{ code: "store_emptied", ...note }];
    // A crash between the two writes leaves the mirror one batch behind: no event was in doubt.
    return [{ code: index === 1 && tail ? "caught_up" : "restored", ...note }];
  });
}

/** What says when it was written is kept as it was written last. */
function isNewer({ value }, { value: held }) {
  return Number.isFinite(value?.at) && value.at > (held?.at ?? -Infinity);
}

async function copyMeta(stores) {
  const rows = await Promise.all(stores.map(({ database }) => read(database, META, (store) => store.getAll())));
  for (const index of [0, 1]) {
    const held = new Map(rows[index].map((row) => [row.key, row]));
    const missing = rows[1 - index].filter((row) => !held.has(row.key) || isNewer(row, held.get(row.key)));
    if (missing.length > 0) await write(stores[index].database, missing.map((row) => ({ store: META, row })));
  }
}

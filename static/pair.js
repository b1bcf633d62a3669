/**
 * Two stores of one journal in two buckets, so that no single damage loses an event.
 *
 * Written one after the other, never both at once: a crash can tear one of them
 * at most. Whichever of the two can still be opened carries the journal alone.
 */

import { mend, mendEvents } from "./mend.js";
import { tips } from "./merge.js";
import { open, rotate, within, write } from "./store.js";

const NAMES = ["primary", "mirror"];
const STRIKES = 4;
const REJOIN_MS = 5000;
const LONGEST_REJOIN_MS = 60_000;
// After this long the start is over, and there is time to look for a hole that the last numbers do not show.
const COUNT_MS = 30_000;

/**
 * Open both stores: with `writer`, each is rotated first and they are mended.
 *
 * Gives {notes, ends, write(puts), read(ask), reopen(), check(), isWhole(), epoch()}: `ask` takes a
 * database. notes are [{code, store, count, why}] with the codes mirror_absent, store_shut,
 * store_emptied, caught_up, restored. `ends` is the last number of each log at the
 * start, null when neither store opens; then reopen() may be tried later. With `writer`
 * a store that stays shut is tried again by itself beside the one that carries the journal.
 */
export async function openPair({ writer = true } = {}) {
  const notes = [];
  const factories = [async () => indexedDB, mirrorFactory(notes)];
  const strikes = [0, 0];
  let stores = [];
  let epoch = 0;
  let wasShut = false;
  let turn = Promise.resolve();
  let rejoining;
  let isJoining = false;

  /** Let a write, a fresh start and the return of a store each end before the next begins. */
  function inTurn(act) {
    const mine = turn.then(act);
    turn = mine.catch(() => {});
    return mine;
  }

  /** Replaced as a whole, never filled: who looks meanwhile finds nothing rather than half. */
  function use(found) {
    stores = found;
    epoch += 1;
  }

  const areBoth = (some) => some.length === 2 && some.every(Boolean);

  async function reopen() {
    clearTimeout(rejoining);
    for (const store of stores) store?.database.close();
    use([]);
    const opened = [];
    for (const [index, factory] of factories.entries()) {
      opened.push(factory && await openOne(factory, NAMES[index]));
    }
    try {
      if (!opened.some(Boolean)) throw new DOMException("neither store opens", "InvalidStateError");
      leaveOutTired(opened);
      // Before anything more is written: a later number would hide what one of them lacks.
      if (writer && areBoth(opened)) await compare(opened);
    } finally {
      use(opened);
    }
    if (writer) plan(REJOIN_MS);
  }

  /** Leave out a store that took nothing after every fresh start, unless the other fails as well. */
  function leaveOutTired(opened) {
    const index = strikes[0] > strikes[1] ? 0 : 1;
    const isTired = strikes[index] >= STRIKES && strikes[index] > strikes[1 - index];
    if (isTired && areBoth(opened)) leaveOut(opened, index, new DOMException("takes nothing", "InvalidStateError"));
  }

  function leaveOut(opened, index, error) {
    opened[index].database.close();
    opened[index] = undefined;
    noteShut(NAMES[index], error);
  }

  /** Mend two stores that opened; one that cannot be mended is left out, and the other goes on. */
  async function compare(opened) {
    try {
      notes.push(...await mend(opened, NAMES, { thorough: wasShut }));
      wasShut = false;
    } catch (error) {
      // Whatever failed, one store alone takes what is tapped; the other is mended when it comes back.
      leaveOut(opened, opened[0].database === error.database ? 0 : 1, error);
    }
  }

  /** Whether every store that this browser can have is open. */
  function isWhole() {
    return factories.every((factory, index) => !factory || stores[index]);
  }

  function plan(wait) {
    clearTimeout(rejoining);
    if (isWhole() || !stores.some(Boolean)) return;
    rejoining = setTimeout(async () => {
      if (!isJoining) await rejoin().catch(() => {});
      plan(Math.min(wait * 2, LONGEST_REJOIN_MS));
    }, wait);
  }

  /** Open a store that is shut beside the one that works; it joins once it holds everything. */
  async function rejoin() {
    const before = stores;
    const index = factories.findIndex((factory, at) => factory && !before[at]);
    isJoining = true;
    const store = await openOne(factories[index], NAMES[index]);
    try {
      if (store) await join(before, index, store);
    } catch (error) {
      store.database.close();
      throw error;
    } finally {
      isJoining = false;
    }
  }

  async function join(before, index, store) {
    const both = before.with(index, store);
    notes.push(...await mendEvents(both, NAMES, { thorough: true }));
    await inTurn(async () => {
      // After a fresh start both were opened anew.
      if (stores !== before) throw new DOMException("opened anew", "AbortError");
      // What was written meanwhile, and what must not be put back by an older row.
      notes.push(...await mend(both, NAMES));
      strikes[index] = 0;
      // That it was shut is not forgotten: a full disk may yet drop what was filled in, and the next fresh start counts.
      use(both);
    });
  }

  async function openOne(findFactory, name) {
    try {
      const factory = await findFactory();
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
    // What was agreed under other stores may speak of lines that these do not hold.
    const sound = puts.filter((put) => put.epoch === undefined || put.epoch === epoch);
    if (sound.length === 0) return;
    for (const [index, store] of stores.entries()) {
      if (!store) continue;
      try {
        await write(store.database, sound);
        strikes[index] = 0;
      } catch (error) {
        strikes[index] += 1;
        throw error;
      }
    }
  }

  /** Said once: a store that stays shut is tried again and again. */
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

  /** While both are opened anew there is nothing to read, and what was kept must not seem gone. */
  async function readPatiently(ask) {
    const before = stores;
    const read = () => (stores.length === 0 ? turn.then(() => readFirst(ask)) : readFirst(ask));
    // A question of several steps may have begun before and not come to its end.
    return read().catch((error) => { if (stores === before) throw error; return read(); });
  }

  async function begin() {
    try {
      await reopen();
      if (writer) setTimeout(() => inTurn(check).catch(() => {}), COUNT_MS);
      return await readFirst(tips);
    } catch {
      // Each failure is noted above; the tablet goes on from memory and says so.
      return null;
    }
  }

  /** Count every log in both stores and mend what the start could not see. */
  async function check() {
    const found = areBoth(stores) ? await mend(stores, NAMES, { thorough: true }) : [];
    notes.push(...found);
    return found;
  }

  const ends = await begin();
  return {
    notes,
    ends,
    write: (puts) => inTurn(() => writeBoth(puts)),
    read: readPatiently,
    reopen: () => inTurn(reopen),
    check: () => inTurn(check),
    isWhole,
    epoch: () => epoch,
  };
}

/** Give what opens the bucket of the mirror; a browser without buckets has none. */
function mirrorFactory(notes) {
  if (!navigator.storageBuckets) {
    notes.push({ code: "mirror_absent", store: "mirror", count: 0, why: "NotSupportedError" });
    return undefined;
  }
  let bucket;
  return async () => {
    // Held for good: once it is collected the databases that were opened in it fall silent.
    bucket ??= await within(navigator.storageBuckets.open("mirror", { persisted: true }));
    return bucket.indexedDB;
  };
}

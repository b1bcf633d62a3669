/**
 * One IndexedDB database of the journal, opened, written and read with a time limit.
 *
 * Knows no second copy and no queue. A transaction on a dying connection may
 * never settle, so everything that waits here waits for a limited time.
 */

export const EVENTS = "events";
export const META = "meta";
export const INBOX = "inbox";
export const CURSORS = "cursors";

const NAME = "journal";
const LIMIT_MS = 8000;

/** Open the database in one bucket: {database, isNew}. */
export function open(factory) {
  let isLate = false;
  const opened = new Promise((resolve, reject) => {
    const opening = factory.open(NAME, 1);
    let isNew = false;
    opening.onupgradeneeded = () => { isNew = true; build(opening.result); };
    // Nobody waits for one that comes too late, and nobody else would ever close it.
    opening.onsuccess = () => (isLate ? opening.result.close() : resolve({ database: opening.result, isNew }));
    opening.onerror = () => reject(opening.error);
  });
  return within(opened).catch((error) => { isLate = true; throw error; });
}

function build(database) {
  const events = database.createObjectStore(EVENTS, { keyPath: ["log", "seq"] });
  // Only records that carry the property are in an index, so the last two stay
  // as small as the number of cases and Home never reads the whole history.
  events.createIndex("case", "case");
  events.createIndex("opened", "opened");
  events.createIndex("closed", "closed");
  database.createObjectStore(META, { keyPath: "key" });
  database.createObjectStore(INBOX, { keyPath: ["log", "seq"] });
  database.createObjectStore(CURSORS, { keyPath: "station" });
}

/**
 * Make the engine under IndexedDB start a new file.
 *
 * After a crash it may go on writing behind a torn record and find the whole
 * database damaged at the start after that. Deleting a database ends the file.
 */
export async function rotate(factory) {
  // Closed also when it comes too late: one left open would forbid every later try.
  await within(settled(factory.open("scratch", 1)).then((database) => database.close()));
  await within(settled(factory.deleteDatabase("scratch")));
}

/** Put rows, [{store, row}], in one transaction; resolves when it is on the disk. */
export function write(database, puts) {
  return named(database, () => new Promise((resolve, reject) => {
    const names = [...new Set(puts.map(({ store }) => store))];
    const transaction = database.transaction(names, "readwrite", { durability: "strict" });
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new DOMException("aborted", "AbortError"));
    for (const { store, row } of puts) transaction.objectStore(store).put(row);
    transaction.commit();
  }));
}

/** Ask one question of one store: `ask` takes the object store and gives a request. */
export function read(database, store, ask) {
  return named(database, () => settled(ask(database.transaction(store).objectStore(store))));
}

/** Read keys with a cursor that `step` moves; `step` gives false to stop. */
export function walk(database, store, begin, step) {
  return named(database, () => new Promise((resolve, reject) => {
    const walking = begin(database.transaction(store).objectStore(store));
    walking.onerror = () => reject(walking.error);
    walking.onsuccess = () => {
      const cursor = walking.result;
      if (cursor === null || step(cursor) === false) resolve();
    };
  }));
}

/** Do something with one database, for a limited time; an error tells with which, as `database`. */
async function named(database, act) {
  try {
    return await within(act());
  } catch (error) {
    throw Object.assign(error, { database });
  }
}

/** Refuse to wait longer than the limit for a promise. */
export function within(promise, limit = LIMIT_MS) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new DOMException(`no answer in ${limit} ms`, "TimeoutError")), limit);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

function settled(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new DOMException("another page holds it", "InvalidStateError"));
  });
}

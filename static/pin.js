/**
 * Hold an open case to the release it was begun with.
 *
 * Its own tiny database, at version 1 for ever, so that the page and the worker
 * of any release may open it. sw.js reads it too and imports nothing.
 */

const STORE = "kv";
const KEY = "release";

/** Hold this tablet to a release (16 hexadecimal digits) until unpin. */
export function pin(release) {
  return write((store) => store.put(release, KEY));
}

/** Let the tablet move on to the newest release. */
export function unpin() {
  return write((store) => store.delete(KEY));
}

/** Give the release that an open case is held to, or undefined. */
export async function pinned() {
  const database = await open();
  return new Promise((resolve, reject) => {
    const reading = database.transaction(STORE).objectStore(STORE).get(KEY);
    reading.onsuccess = () => { database.close(); resolve(reading.result); };
    reading.onerror = () => { database.close(); reject(reading.error); };
  });
}

async function write(change) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(STORE, "readwrite", { durability: "strict" });
    change(transaction.objectStore(STORE));
    transaction.oncomplete = () => { database.close(); resolve(); };
    transaction.onabort = () => { database.close(); reject(transaction.error); };
  });
}

function open() {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open("pin", 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore(STORE);
    opening.onsuccess = () => resolve(opening.result);
    opening.onerror = () => reject(opening.error);
  });
}

/**
 * Keep the whole app on the tablet and answer from what is kept.
 *
 * The station writes four constants in front: RELEASE, FILES {address: integrity},
 * HEADERS and EMBED {address: [type, base64 of gzip]}, so these bytes change
 * exactly when a file changes. Never activates by itself and imports nothing.
 */

const PREFIX = "shell-";
const CACHE = PREFIX + RELEASE;
const PIN = { database: "pin", version: 1, store: "kv", key: "release" };
const MARK = "x-integrity";

self.addEventListener("install", (event) => event.waitUntil(precache()));

self.addEventListener("activate", (event) => event.waitUntil(takeOver()));

self.addEventListener("message", (event) => {
  const answer = ANSWERS[event.data];
  if (answer) event.waitUntil(answer().then((reply) => event.ports[0]?.postMessage(reply)));
});

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== location.origin) return;
  const release = /^\/r\/([0-9a-f]{16})\//.exec(pathname)?.[1];
  if (release) event.respondWith(file(release, pathname, event.request));
  // The station's own pages live on the same origin and are never answered from here.
  else if (event.request.mode === "navigate" && pathname === "/") event.respondWith(page(event.request));
});

const ANSWERS = {
  ACTIVATE: async () => self.skipWaiting(),
  RELEASE: async () => ({ release: RELEASE }),
  TIDY: async () => ({ release: RELEASE, removed: await tidy() }),
  VERIFY: async () => ({ release: RELEASE, files: Object.keys(FILES).length, bad: await mend() }),
};

async function takeOver() {
  await self.clients.claim();
  await tidy();
}

/** Fill the cache of this release; a broken install goes on where it stopped. */
async function precache() {
  const cache = await caches.open(CACHE);
  const held = await heldElsewhere();
  for (const [address, integrity] of Object.entries(FILES)) {
    const mine = await cache.match(address);
    if (mine?.headers.get(MARK) === integrity) continue;
    await cache.put(address, await fresh(address, integrity, held.get(integrity)));
  }
}

/** List what other releases hold, by content, so that it is not downloaded again. */
async function heldElsewhere() {
  const held = new Map();
  for (const name of await caches.keys()) {
    if (!name.startsWith(PREFIX) || name === CACHE) continue;
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const integrity = (await cache.match(request))?.headers.get(MARK);
      if (integrity) held.set(integrity, { cache, request });
    }
  }
  return held;
}

/** Get one file: from another release, from the copy in this script, or from the station. */
async function fresh(address, integrity, held) {
  const copy = held ? await held.cache.match(held.request) : undefined;
  return await checked(copy, integrity)
    ?? await checked(spare(address), integrity)
    // With `integrity` the browser itself refuses a cut file or the page of a captive portal.
    ?? marked(await fetch(address, { integrity, cache: "no-store", redirect: "error", credentials: "omit" }), integrity);
}

/** Take a copy only if its bytes are right: what was damaged where it lay must not travel on. */
async function checked(response, integrity) {
  if (!response || (await digest(await response.clone().arrayBuffer())) !== integrity) return undefined;
  return marked(response, integrity);
}

async function marked(response, integrity) {
  if (!response.ok) throw new Error(`${response.url} ${response.status}`);
  const headers = { ...HEADERS, "content-type": response.headers.get("content-type"), [MARK]: integrity };
  return new Response(await response.arrayBuffer(), { headers });
}

async function digest(body) {
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", body));
  return `sha256-${btoa(String.fromCharCode(...bytes))}`;
}

/** Hash every kept file anew, drop what is damaged, fetch it again; give what is still bad. */
async function mend() {
  const bad = await damaged();
  if (bad.length === 0) return bad;
  try {
    await precache();
    return await damaged();
  } catch {
    return bad;
  }
}

async function damaged() {
  try {
    const cache = await caches.open(CACHE);
    const bad = [];
    for (const [address, integrity] of Object.entries(FILES)) {
      if (await isSound(cache, address, integrity)) continue;
      bad.push(address);
      await cache.delete(address);
    }
    return bad;
  } catch {
    // The storage itself is broken: then nothing is known to be kept.
    return Object.keys(FILES);
  }
}

async function isSound(cache, address, integrity) {
  try {
    const kept = await cache.match(address);
    return kept !== undefined && (await digest(await kept.arrayBuffer())) === integrity;
  } catch {
    return false;
  }
}

/** Remove caches that neither this release nor the pinned one needs. */
async function tidy() {
  // Another release that is being staged owns a cache that this one knows nothing of.
  if (registration.waiting || registration.installing) return [];
  const keep = new Set([CACHE, PREFIX + (await pinned())]);
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && !keep.has(name));
  await Promise.all(old.map((name) => caches.delete(name)));
  return old;
}

/** Answer with the pinned release first: after a crash a newer one may have taken over by itself. */
async function page(request) {
  const release = await pinned();
  return (release && await kept(release, "/")) ?? await kept(RELEASE, "/") ?? spare("/") ?? fetch(request);
}

async function file(release, address, request) {
  return await kept(release, address) ?? spare(address) ?? fetch(request);
}

async function kept(release, address) {
  try {
    if (!await caches.has(PREFIX + release)) return undefined;
    return await (await caches.open(PREFIX + release)).match(address);
  } catch {
    return undefined;
  }
}

/** Answer from the copy inside this script, for the day the cache is destroyed. */
function spare(address) {
  if (!Object.hasOwn(EMBED, address)) return undefined;
  const [type, packed] = EMBED[address];
  const bytes = Uint8Array.from(atob(packed), (letter) => letter.charCodeAt(0));
  const body = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(body, { headers: { ...HEADERS, "content-type": type, "x-from": "spare" } });
}

/** Read which release an open case is held to; the same tiny database as pin.js. */
function pinned() {
  return new Promise((resolve) => {
    const opening = indexedDB.open(PIN.database, PIN.version);
    opening.onupgradeneeded = () => opening.result.createObjectStore(PIN.store);
    opening.onerror = () => resolve(undefined);
    opening.onsuccess = () => {
      const database = opening.result;
      const reading = database.transaction(PIN.store).objectStore(PIN.store).get(PIN.key);
      const done = (release) => { database.close(); resolve(release); };
      reading.onsuccess = () => done(reading.result);
      reading.onerror = () => done(undefined);
    };
  });
}

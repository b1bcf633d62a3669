/**
 * Speak to the worker that keeps the app: ready for offline or not, a newer release or not.
 *
 * The only speaker to it, and the only maker of a Trusted Types policy. Gives
 * states, never words; a newer release is taken only while no case is open anywhere.
 */

import { pin, pinned, unpin } from "./pin.js";

const WORKER = "/sw.js";
const LOCK = "case-open";
const ANSWER_MS = 10000;
// Every kept file is hashed anew.
const VERIFY_MS = 60000;
const TRIES = 3;
const RETRY_MS = 3000;

/**
 * Start the shell: {verify, look, update, caseOpened, caseClosed}.
 *
 * release: 16 hex of the page. `onReady({ready, bad, why})` hears whether the app
 * starts without the station; why is "", "damaged", "absent", "refused" or "silent".
 * `onUpdate(state)` hears "none", "ready" (call update), "waits" (a case is open
 * in some page) and "failed" (the newer release did not arrive whole).
 */
export function startShell({ release, onReady, onUpdate, reload = () => location.reload() }) {
  const container = navigator.serviceWorker;
  let held = null;

  function watch(registration) {
    // The first taking over of a fresh page is no update.
    let hadWorker = Boolean(container.controller);
    container.addEventListener("controllerchange", () => {
      if (hadWorker && !held) reload();
      hadWorker = true;
    });
    registration.addEventListener("updatefound", () => follow(registration, registration.installing));
    if (registration.installing) follow(registration, registration.installing);
  }

  function follow(registration, worker) {
    worker.addEventListener("statechange", function hear() {
      if (worker.state === "installed" && registration.active) offer();
      if (worker.state === "redundant" && registration.active) onUpdate("failed");
      if (worker.state === "redundant" && !registration.active) onReady({ ready: false, bad: [], why: "refused" });
      // One that arrived whole may be replaced by a newer one later: that is no failure.
      worker.removeEventListener("statechange", hear);
    });
  }

  /** Hash everything that is kept, mend what can be mended, and say how it stands. */
  async function verify() {
    const active = (await registered(container))?.active;
    const told = active && await ask(active, "VERIFY", VERIFY_MS);
    if (!told) onReady({ ready: false, bad: [], why: active ? "silent" : "refused" });
    else onReady({ ready: told.bad.length === 0, bad: told.bad, why: told.bad.length ? "damaged" : "" });
  }

  /** Say whether a newer release is there and may be taken. */
  async function offer() {
    const registration = await registered(container);
    if (!await isNewer(registration)) return onUpdate("none");
    return onUpdate(await isFree() ? "ready" : "waits");
  }

  /** A worker that was staged takes over by itself after a crash: then none is waiting. */
  async function isNewer(registration) {
    if (registration?.waiting) return true;
    if (!registration?.active || await quietly(pinned())) return false;
    const told = await ask(registration.active, "RELEASE");
    return told !== undefined && told.release !== release;
  }

  async function isFree() {
    if (held || await quietly(pinned())) return false;
    return navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => lock !== null);
  }

  /** Move to the newer release if no case is open in any page; the page is loaded anew. */
  async function update() {
    const registration = await registered(container);
    if (!await isNewer(registration)) return;
    await navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
      if (!lock || held || await quietly(pinned())) return onUpdate("waits");
      if (!registration.waiting) return reload();
      registration.waiting.postMessage("ACTIVATE");
      return new Promise((resolve) => {
        container.addEventListener("controllerchange", resolve, { once: true });
        // A case must be able to take the lock even if the worker never answers.
        setTimeout(resolve, ANSWER_MS);
      });
    });
  }

  /** Look whether the station has a newer release. */
  async function look() {
    const registration = await registered(container);
    // Away from the station there is nothing to find and nothing to say.
    await quietly(registration?.update());
  }

  /** Hold every page and the worker to this release while a case is open. */
  async function caseOpened() {
    held ??= share();
    await quietly(pin(release));
  }

  /** Let go; once no page holds a case, a newer release may be taken. */
  async function caseClosed() {
    const lock = await held;
    lock?.letGo();
    await lock?.released;
    held = null;
    await navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => lock && quietly(unpin()));
    await offer();
  }

  async function begin() {
    const registration = await register(container);
    if (!registration) return onReady({ ready: false, bad: [], why: container ? "refused" : "absent" });
    watch(registration);
    await container.ready;
    return Promise.all([verify(), offer()]);
  }

  begin();
  return { verify, look, update, caseOpened, caseClosed };
}

/** Take the shared lock: {letGo, released}. */
function share() {
  return new Promise((granted) => {
    const released = navigator.locks.request(LOCK, { mode: "shared" }, () => new Promise((letGo) => {
      granted({ letGo, released });
    }));
  });
}

/**
 * Register the worker; without the station an earlier registration serves.
 *
 * After a power cut the browser may find its list of workers torn, throw it away and
 * refuse for a moment; with the station in reach the next try makes it whole again.
 */
async function register(container) {
  if (!container) return undefined;
  const address = workerAddress();
  for (let left = TRIES; left > 0; left -= 1) {
    const told = { scope: "/", updateViaCache: "none" };
    const registration = await quietly(container.register(address, told)) ?? await registered(container);
    if (registration) return registration;
    await new Promise((resolve) => setTimeout(resolve, RETRY_MS));
  }
  return undefined;
}

function registered(container) {
  return quietly(container?.getRegistration());
}

/** Whatever the shell cannot do must never stop the app: a failure gives nothing. */
async function quietly(promise) {
  try {
    return await promise;
  } catch {
    return undefined;
  }
}

function workerAddress() {
  if (!window.trustedTypes) return WORKER;
  const policy = window.trustedTypes.createPolicy("shell", {
    createScriptURL: (address) => {
      if (address !== WORKER) throw new TypeError(address);
      return address;
    },
  });
  return policy.createScriptURL(WORKER);
}

function ask(worker, message, limit = ANSWER_MS) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    const timer = setTimeout(() => resolve(undefined), limit);
    port1.onmessage = ({ data }) => { clearTimeout(timer); port1.close(); resolve(data); };
    worker.postMessage(message, [port2]);
  });
}

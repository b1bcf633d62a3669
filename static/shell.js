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

/**
 * Start the shell: {verify, look, update, caseOpened, caseClosed}.
 *
 * release: 16 hex of the page. `onReady({ready, bad, why})` hears whether the app
 * starts without the station; why is "", "damaged", "absent", "refused" or "silent".
 * `onUpdate(state)` hears "none", "ready" (call update), "waits" (a case is open
 * in some page) and "failed" (the newer release did not arrive whole).
 */
export async function startShell({ release, onReady, onUpdate, reload = () => location.reload() }) {
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
    const active = (await container.getRegistration())?.active;
    const told = active && await ask(active, "VERIFY", VERIFY_MS);
    if (!told) onReady({ ready: false, bad: [], why: active ? "silent" : "refused" });
    else onReady({ ready: told.bad.length === 0, bad: told.bad, why: told.bad.length ? "damaged" : "" });
  }

  /** Say whether a newer release is there and may be taken. */
  async function offer() {
    const registration = await container.getRegistration();
    if (!await isNewer(registration)) return onUpdate("none");
    return onUpdate(await isFree() ? "ready" : "waits");
  }

  /** A worker that was staged takes over by itself after a crash: then none is waiting. */
  async function isNewer(registration) {
    if (registration?.waiting) return true;
    if (!registration?.active || await pinned()) return false;
    const told = await ask(registration.active, "RELEASE");
    return told !== undefined && told.release !== release;
  }

  async function isFree() {
    if (held || await pinned()) return false;
    return navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => lock !== null);
  }

  /** Move to the newer release if no case is open in any page; the page is loaded anew. */
  async function update() {
    const registration = await container.getRegistration();
    if (!await isNewer(registration)) return;
    await navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
      if (!lock || held || await pinned()) return onUpdate("waits");
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
    const registration = await container?.getRegistration();
    // Away from the station there is nothing to find and nothing to say.
    await registration?.update().catch(() => undefined);
  }

  /** Hold every page and the worker to this release while a case is open. */
  async function caseOpened() {
    await pin(release);
    held ??= await share();
  }

  /** Let go; once no page holds a case, a newer release may be taken. */
  async function caseClosed() {
    held?.letGo();
    await held?.released;
    held = null;
    await navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => lock && unpin());
    await offer();
  }

  const registration = await register(container);
  if (registration) {
    watch(registration);
    container.ready.then(() => Promise.all([verify(), offer()]));
  } else {
    onReady({ ready: false, bad: [], why: container ? "refused" : "absent" });
  }
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

/** Register the worker; without the station an earlier registration serves. */
async function register(container) {
  if (!container) return undefined;
  try {
    return await container.register(workerAddress(), { scope: "/", updateViaCache: "none" });
  } catch {
    return container.getRegistration();
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

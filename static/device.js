/**
 * Who this tablet is, which log it writes, and the next number in it.
 *
 * One log goes on while there is no doubt that its last number is known. After
 * any doubt a new one begins, since two histories under one number cannot be told apart.
 */

import { base64url, nameOfKey, randomHex } from "./bytes.js";

const ALGORITHM = { name: "ECDSA", namedCurve: "P-256" };
// A mirror that was behind, or that this browser never has, leaves the primary's last number certain.
const HARMLESS = new Set(["caught_up", "mirror_absent"]);
const ROW = "writing";
// Releases of before keep a bare name here, and must find it when the station steps back to one.
const ROW_BEFORE = "log";

/**
 * Open the device: {id, key, sign, next, doubt, log}.
 *
 * parts: journal; seal(event) -> line; stamp() -> {at, boot, tick}. The key pair is
 * made once, cannot be exported, and lies in both stores of the journal.
 */
export async function openDevice({ journal, seal, stamp }) {
  const memory = await remember(journal);
  const { identity } = memory;
  let { log, at, alone } = memory;
  let recoveries = journal.recoveries();
  const isAlone = journal.notes.some(isMirrorShut);

  if (log === undefined) begin("first");
  else if (journal.last(log) === 0 || journal.notes.some(isDoubtful)) begin("start");
  else if (alone && !isAlone) journal.writeMeta(ROW, row());

  function begin(why) {
    const previous = log;
    log = randomHex(16);
    const facts = { device: identity.id, ...(previous && { previous }), why };
    const line = seal({ log, seq: 1, case: "", kind: "log_opened", ...stamp(), ago: 0, protocol: "", facts });
    journal.append(line, log, 1, { key: ROW, value: row() });
  }

  /** Name the log that is written now; said later than what was said before, whatever the clock says. */
  function row() {
    at = Math.max(stamp().at, at + 1);
    alone = isAlone;
    return { log, at, alone };
  }

  /** A mirror that stays shut is one doubt, not one at every start. */
  function isDoubtful(note) {
    return !HARMLESS.has(note.code) && !(alone && isMirrorShut(note));
  }

  /**
   * Give the log and the number of the next event: {log, seq}.
   *
   * The number counts as used once its line is appended, so that an event which
   * could not be sealed leaves no gap.
   */
  function next() {
    if (journal.recoveries() !== recoveries) {
      recoveries = journal.recoveries();
      begin("error");
    }
    return { log, seq: journal.last(log) + 1 };
  }

  /** Begin a new log because a station holds another history of this one. */
  function doubt(forkedLog) {
    if (forkedLog === log) begin("fork");
  }

  /** Sign a text: base64url of the raw signature. */
  async function sign(text) {
    const rule = { name: "ECDSA", hash: "SHA-256" };
    const bytes = new TextEncoder().encode(text);
    return base64url(new Uint8Array(await crypto.subtle.sign(rule, identity.privateKey, bytes)));
  }

  return { id: identity.id, key: identity.key, sign, next, doubt, log: () => log };
}

/**
 * Let one page of this origin write: `onRole("writer")` once it may, before that
 * `onRole("reader")` if another page writes. Held until the page ends.
 */
export function holdWriter(onRole) {
  const hold = () => new Promise(() => onRole("writer"));
  navigator.locks.request("writer", { ifAvailable: true }, (lock) => {
    if (lock) return hold();
    onRole("reader");
    // The request below may wait for hours, so this one must not be held open by it.
    navigator.locks.request("writer", hold);
    return undefined;
  });
}

function isMirrorShut({ code, store }) {
  return code === "store_shut" && store === "mirror";
}

async function remember(journal) {
  try {
    const identity = await journal.readMeta("device") ?? await keepIdentity(journal, await makeIdentity());
    return { identity, ...nameOf(await journal.readMeta(ROW) ?? await journal.readMeta(ROW_BEFORE)) };
  } catch (error) {
    if (error.code !== "journal_refused") throw error;
    // The store is shut today; a key kept now would overwrite the true one later.
    return { identity: await makeIdentity(), ...nameOf(undefined) };
  }
}

/** The log that was written last, when it was named, and whether the mirror was shut then. */
function nameOf(kept) {
  return { at: 0, alone: false, ...(typeof kept === "string" ? { log: kept } : kept) };
}

async function makeIdentity() {
  const pair = await crypto.subtle.generateKey(ALGORITHM, false, ["sign", "verify"]);
  const point = new Uint8Array(await crypto.subtle.exportKey("raw", pair.publicKey));
  const id = await nameOfKey(point);
  return { id, key: base64url(point), privateKey: pair.privateKey };
}

async function keepIdentity(journal, identity) {
  await journal.writeMeta("device", identity);
  return identity;
}

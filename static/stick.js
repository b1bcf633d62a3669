/**
 * Make the file that carries this tablet's events to the hub when no network does.
 *
 * The same file as the station's own: one line in the clear, then pieces sealed to the
 * hub, each bound to the line, its number and whether it is the last. Only durable
 * lines are read, and nothing is ever cleared.
 */

import { fitting, signedHeader } from "./batch.js";
import { fromBase64url, hex, joined, nameOfKey, randomHex, sha256 } from "./bytes.js";
import { afterAll, lastShared } from "./chain.js";
import { ChecklistError } from "./errors.js";
import { seal } from "./hpke.js";

const VERSION = 1;
const ENDING = ".stick";
const PAGE = 500;
// Letters of one batch, and of one piece; far below what a hub takes, for a tablet has little memory.
const LETTERS = { batch: 64 * 1024, piece: 1024 * 1024 };
const MORE = 0;
const LAST = 1;

/**
 * Make a file: {name, bytes, events}.
 *
 * parts: journal, device. statement: {hub, key, seal, …} as the station's heads tell it.
 * held: [[log, seq, hash], …] that the hub holds already, or [] for everything; an end
 * counts only where it lies on our own chain. demo: every birth here is invented. Raises sealing_missing or signature_wrong.
 */
export async function makeStick({ journal, device }, statement, held, at, demo = false) {
  await prove(statement);
  const line = `checklist-stick ${VERSION} ${statement.hub} ${randomHex(16)}\n`;
  const file = await open(line, statement.seal);
  const told = { batches: 0, events: 0 };
  await file.add(`devices\n${JSON.stringify({ key: device.key, name: "", state: "admitted", kind: "tablet" })}\n`);
  let piece = "";
  for await (const { text, count } of batches({ journal, device }, held)) {
    piece += text;
    told.batches += 1;
    told.events += count;
    if (piece.length < LETTERS.piece) continue;
    await file.add(`batches\n${piece}`);
    piece = "";
  }
  if (piece) await file.add(`batches\n${piece}`);
  const bytes = await file.close(await manifest(device, { ...told, demo, made_at: at, digest: file.digest() }));
  return { name: `${line.split(" ")[3].slice(0, 8)}${ENDING}`, bytes, events: told.events };
}

/** Spell the key that a file is sealed to, as two people compare it on the telephone. */
export async function fingerprint(statement) {
  const digits = hex(await sha256(fromBase64url(statement.seal))).slice(0, 20);
  return digits.match(/.{4}/g).join(" ");
}

/** Hold a statement against the key in it; what was altered on its way is refused. */
async function prove(statement) {
  if (!statement) throw new ChecklistError("sealing_missing");
  const { sealing, hub, key, seal: point, made_at: madeAt, signature } = statement;
  const raw = fromBase64url(key);
  const rule = { name: "ECDSA", namedCurve: "P-256", hash: "SHA-256" };
  const hubKey = await crypto.subtle.importKey("raw", raw, rule, false, ["verify"]);
  const text = new TextEncoder().encode(`sealing/${sealing}\n${hub}\n${point}\n${madeAt}`);
  const isTrue = await crypto.subtle.verify(rule, hubKey, fromBase64url(signature), text);
  if (!isTrue || await nameOfKey(raw) !== hub) throw new ChecklistError("signature_wrong", { hub });
}

/** Every batch that is not held yet, log by log: {text, count}. */
async function* batches({ journal, device }, held) {
  for (const [log, last] of await journal.readTips()) {
    let place = await lastShared(log, held, journal.readLog);
    while (place.seq < last) {
      const lines = fitting(await journal.readLog(log, place.seq, PAGE), LETTERS.batch);
      if (lines.length === 0) break;
      const head = await afterAll(place, lines);
      const header = await signedHeader(device, log, place, lines.length, head);
      yield { text: [header, ...lines].map((row) => `${row}\n`).join(""), count: lines.length };
      place = head;
    }
  }
}

async function manifest(device, told) {
  const said = [told.digest, told.batches, told.events, Number(told.demo), told.made_at];
  const signature = await device.sign([`stick/${VERSION}`, ...said].join("\n"));
  return `manifest\n${JSON.stringify({ stick: VERSION, kind: "tablet", key: device.key, ...told, signature })}\n`;
}

/** Open a file in memory: {add(text), digest(), close(text)}. */
async function open(line, point) {
  const utf8 = new TextEncoder();
  const parts = [utf8.encode(line)];
  let digest = await sha256(parts[0]);
  let number = 0;

  async function write(text, flag) {
    const plain = utf8.encode(text);
    const info = joined(utf8.encode(line), size(number), Uint8Array.of(flag));
    const sealed = await seal(fromBase64url(point), await packed(plain), info);
    parts.push(Uint8Array.of(flag), size(sealed.length), sealed);
    digest = await sha256(joined(digest, plain));
    number += 1;
  }

  return {
    add: (text) => write(text, MORE),
    digest: () => hex(digest),
    close: async (text) => { await write(text, LAST); return joined(...parts); },
  };
}

async function packed(bytes) {
  const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function size(number) {
  return new Uint8Array(Uint32Array.of(number).buffer).reverse();
}

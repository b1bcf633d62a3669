/**
 * Be let in by a one-time code: prove it without sending it, and have the station prove it too.
 *
 * The same reckoning as the station's; nothing is kept here.
 */

import { fromBase64url, hex, nameOfKey } from "./bytes.js";
import { ChecklistError } from "./errors.js";
import { wireTo } from "./wire.js";

// OWASP ASVS 5.0, appendix C: PBKDF2 with SHA-256 takes 600,000 rounds or more.
const ROUNDS = 600000;
const JSON_TYPE = { "Content-Type": "application/json" };
const utf8 = new TextEncoder();

/**
 * Let this tablet in by a code as typed; gives "admitted".
 *
 * parts as for an exchange. Raises code_refused, tries_full, device_retired,
 * station_unreachable, or hub_wrong when what answers does not know the code.
 */
export async function pairWith(parts, station, code) {
  const { device, name = "" } = parts;
  const wire = wireTo(parts, station);
  const asking = { key: device.key, name, signature: await device.sign(`device/1\n${device.key}`) };
  const ask = (more) => wire.post("/v1/devices", JSON.stringify({ ...asking, ...more }), JSON_TYPE);
  const first = await ask({});
  if (first.state === "admitted") return first.state;
  if (!await isNamedByKey(first)) throw new ChecklistError("hub_wrong", { why: "its key is not that of its name" });
  const stretched = await stretch(code, first.station);
  const proof = await mac(stretched, `pair/1\n${device.key}\n${first.station}`);
  const second = await ask({ proof });
  if (second.proof !== await mac(stretched, `paired/1\n${device.key}\n${first.key}`)) {
    throw new ChecklistError("hub_wrong", { why: "it did not prove the code" });
  }
  return second.state;
}

/** Turn a code as typed into the key that both sides reckon with. */
export async function stretch(code, station) {
  const plain = code.toUpperCase().replaceAll("O", "0").replace(/[IL]/g, "1").replace(/[ -]/g, "");
  const password = await crypto.subtle.importKey("raw", utf8.encode(plain), "PBKDF2", false, ["deriveBits"]);
  const rule = { name: "PBKDF2", hash: "SHA-256", salt: utf8.encode(`code/1\n${station}`), iterations: ROUNDS };
  return crypto.subtle.deriveBits(rule, password, 256);
}

/** Give the HMAC-SHA256 of a text, in hexadecimal digits. */
export async function mac(stretched, text) {
  const key = await crypto.subtle.importKey("raw", stretched, { name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
  return hex(new Uint8Array(await crypto.subtle.sign("HMAC", key, utf8.encode(text))));
}

async function isNamedByKey({ key, station }) {
  return typeof key === "string" && await nameOfKey(fromBase64url(key)) === station;
}

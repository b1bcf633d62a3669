/**
 * Speak to a station over /v1: one request, one answer, one kind of error.
 *
 * No cookie travels: whoever sends is proven by a signature. Whatever is not a
 * station's own answer, such as the page of a captive portal, counts as unreachable.
 */

import { ERRORS, ChecklistError } from "./errors.js";

const LONGEST_WAIT_MS = 30000;
// Slower than the slowest phone network in use, so that a large batch still gets through.
const SLOWEST_BYTES_PER_MS = 5000 / 8 / 1000;

/**
 * Make the wire to a station: {post, get}.
 *
 * parts: device {id, sign}; fetch. station: its origin, "" for the page's own.
 * Both calls raise station_unreachable or the code that the station answers.
 */
export function wireTo({ device, fetch }, station) {
  async function ask(path, init, bytes) {
    const signal = AbortSignal.timeout(LONGEST_WAIT_MS + bytes / SLOWEST_BYTES_PER_MS);
    let response;
    try {
      response = await fetch(station + path, { ...init, signal, ...ALONE });
      if (response.ok) return await taken(response);
    } catch (error) {
      throw unreachable(error.name);
    }
    throw await refusal(response);
  }

  /** Send a body; gives the answer's JSON. */
  async function post(path, body, headers) {
    const { json } = await ask(path, { method: "POST", body, headers }, body.byteLength ?? body.length);
    return json;
  }

  /** Ask for a path, signed; gives {json, text, head}. */
  async function get(path) {
    const signature = await device.sign(`get/1\n${path}`);
    return ask(path, { headers: { "X-Device": device.id, "X-Signature": signature } }, 0);
  }

  return { post, get };
}

const ALONE = { credentials: "omit", cache: "no-store", redirect: "error", referrerPolicy: "same-origin" };

async function taken(response) {
  const type = response.headers.get("content-type") ?? "";
  if (type.startsWith("application/json")) return { json: await response.json() };
  if (!type.startsWith("application/x-ndjson")) throw new DOMException("not a station", "DataError");
  return { text: await response.text(), head: response.headers.get("x-head") };
}

async function refusal(response) {
  if (!response.headers.get("content-type")?.startsWith("application/problem+json")) {
    return unreachable(`status ${response.status}`);
  }
  const { code, ...facts } = await response.json().catch(() => ({}));
  return new ChecklistError(ERRORS.includes(code) ? code : "unexpected", { ...facts, told: code });
}

function unreachable(why) {
  return new ChecklistError("station_unreachable", { why });
}

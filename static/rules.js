/**
 * The protocol in force at this post: as shipped, or made stricter by what a station signed.
 *
 * A set that is looser than shipped, or cannot be read, never comes into force: the one
 * before it stays, and the refusal is told. Knows no store, no desk and no words.
 */

import { hex, sha256 } from "./bytes.js";
import { factProblems } from "./core/kinds.js";
import { digestText, tighten } from "./core/tighten.js";
import { ChecklistError } from "./errors.js";

const DIGEST_DIGITS = 16;

/**
 * Open the rules: {take, inForce, of, known, limits, refused}.
 *
 * `protocol` is the newest shipped one, {digest, table}; `protocols` are all shipped ones,
 * digest -> table. `inForce()` is {digest, table}; `limits()` tells of the set in force,
 * {number, post, at, by, signed_by, changes}, or null; `refused()` of the newest set when it
 * was refused, {number, where, why}, or null.
 */
export function openRules({ protocol, protocols }) {
  const known = new Map(protocols);
  let inForce = protocol;
  let limits = null;
  let refused = null;

  /** Take what the stations have said, as events, into use. */
  async function take(events) {
    const told = events.filter(({ kind }) => kind === "limits_set").sort((a, b) => a.at - b.at || a.seq - b.seq);
    let last = { rules: protocol, limits: null };
    let wrong = null;
    for (const event of told) {
      try {
        last = await read(event);
        wrong = null;
      } catch (error) {
        if (error.code !== "limits_refused") throw error;
        const { number } = event.facts;
        wrong = { number: Number.isInteger(number) ? number : 0, where: error.facts.where, why: error.facts.why };
      }
    }
    inForce = last.rules;
    limits = last.limits;
    refused = wrong;
  }

  /** Read one set and remember its protocol: a case that is open may have begun under it. */
  async function read({ at, facts }) {
    if (factProblems("limits_set", facts).length) refuse("event", "malformed");
    const { number, post, base, by, signed_by, changes = "" } = facts;
    if (!protocols.has(base)) refuse("base", "unknown");
    const said = { number, post, at, by, signed_by, changes };
    if (changes === "") return { rules: protocol, limits: said };
    const table = tighten(protocols.get(base), changes);
    const bytes = new TextEncoder().encode(digestText(base, changes));
    const digest = hex(await sha256(bytes)).slice(0, DIGEST_DIGITS);
    known.set(digest, table);
    return { rules: { digest, table }, limits: said };
  }

  /** Give the protocol of a digest, {digest, table}, or null when it is not known here. */
  function of(digest) {
    return known.has(digest) ? { digest, table: known.get(digest) } : null;
  }

  return { take, of, known, inForce: () => inForce, limits: () => limits, refused: () => refused };
}

function refuse(where, why) {
  throw new ChecklistError("limits_refused", { where, why });
}

/**
 * The envelope of one event: seal it into its line, read it back, check it.
 *
 * One event is one line of UTF-8 JSON, flat, at most 4,096 bytes, made of whole
 * numbers, short strings and true or false. The line as written is what is stored,
 * sent on and hashed, so nothing is ever written a second time.
 */

import { ChecklistError } from "../errors.js";
import { ID, NAME, factProblems, isWhole } from "./kinds.js";

const KEYS = ["log", "seq", "case", "kind", "at", "boot", "tick", "ago", "protocol", "facts"];
const LARGEST_LINE = 4096;
const LONGEST_FACT = 2000;
const MOST_FACTS = 40;

/** Turn an event into its line; throws event_malformed when it is none. */
export function seal(event) {
  check(event);
  const line = JSON.stringify(Object.fromEntries(KEYS.map((key) => [key, event[key]])));
  if (bytes(line) > LARGEST_LINE) malformed("line too long");
  return line;
}

/** Turn a line back into its event; throws event_malformed when it is none. */
export function parse(line) {
  if (bytes(line) > LARGEST_LINE) malformed("line too long");
  // JavaScript reads 1.0 and -0 as whole numbers; Python would not, or as another one.
  if (hasOddNumber(line)) malformed("not JSON");
  let event;
  try {
    event = JSON.parse(line);
  } catch {
    malformed("not JSON");
  }
  check(event);
  // What a newer version adds beside these stays in the line, which is never rewritten.
  return Object.fromEntries(KEYS.map((key) => [key, event[key]]));
}

/** Name what is wrong with the facts of an event: ["mm:refused", …]. */
export function problems(event) {
  return factProblems(event.kind, event.facts);
}

function malformed(why) {
  throw new ChecklistError("event_malformed", { why });
}

function bytes(line) {
  return new TextEncoder().encode(line).length;
}

function hasOddNumber(line) {
  return /\d(\.\d|[eE])|-0(?!\d)/.test(line.replace(/"(?:[^"\\]|\\.)*"/g, '""'));
}

function check(event) {
  if (event === null || typeof event !== "object" || Array.isArray(event)) malformed("not an object");
  for (const [key, accepts] of Object.entries(ENVELOPE)) {
    if (!Object.hasOwn(event, key) || !accepts(event[key])) malformed(key);
  }
}

function isId(value) {
  return typeof value === "string" && ID.test(value);
}

function isName(value) {
  return typeof value === "string" && NAME.test(value);
}

function isText(value) {
  // A lone surrogate has no bytes in UTF-8 and could not be stored.
  return typeof value === "string" && [...value].length <= LONGEST_FACT && !/\p{Surrogate}/u.test(value);
}

function areFacts(value) {
  return value !== null && typeof value === "object" && !Array.isArray(value)
    && Object.keys(value).length <= MOST_FACTS
    && Object.entries(value).every(([name, fact]) =>
      isName(name) && (typeof fact === "boolean" || isWhole(fact) || isText(fact)));
}

const ENVELOPE = {
  log: (value) => isId(value) && value.length === 32,
  seq: (value) => isWhole(value) && value >= 1,
  case: (value) => value === "" || (isId(value) && value.length === 16),
  kind: isName,
  at: (value) => isWhole(value) && value >= 0,
  boot: (value) => value === "" || (isId(value) && value.length === 8),
  tick: (value) => isWhole(value) && value >= 0,
  ago: (value) => isWhole(value) && value >= 0 && value <= 604800,
  protocol: (value) => value === "" || (isId(value) && value.length === 16),
  facts: areFacts,
};

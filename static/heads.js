/**
 * The cases of this tablet, newest first, as the journal lists them: {case, at, line, closed}.
 *
 * `line` is the opening, so that real and practice are told apart without reading a case.
 */

import { fold } from "./core/case.js";
import { parse } from "./core/event.js";

/** Give the mode that a case was opened in: "real" or "practice". */
export function modeOf({ line }) {
  return parse(line).facts.mode;
}

/** Give up to `count` heads that fit, newest first, opened before a wall time if one is given. */
export async function newestHeads(journal, fits, count, before) {
  const found = [];
  let heads;
  do {
    const end = heads?.at(-1).at ?? before;
    heads = await journal.readHeads({ limit: count, ...(end !== undefined && { before: end }) });
    found.push(...heads.filter(fits));
  } while (heads.length === count && found.length < count);
  return found.slice(0, count);
}

/** Read a case and fold it: {...head, theCase}. */
export async function withCase(journal, head) {
  return { ...head, theCase: fold((await journal.readCase(head.case)).map(parse)) };
}

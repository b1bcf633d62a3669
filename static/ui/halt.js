/**
 * The key that opens the stop: it stands wherever the cup is at work.
 */

import { key } from "./key.js";

/** Make the key; what it opens asks before anything is written down. */
export function haltKey({ words, go }) {
  return key({ name: "halt", tag: "halt", sign: "stop", label: words.text("pull.stop"), onTap: () => go("stop") });
}

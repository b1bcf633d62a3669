/**
 * One setting or check: its name, one sentence that explains it, and what belongs to it.
 */

import { el } from "./dom.js";

/** Draw one setting: its name, one sentence, and what belongs to it. */
export function setting(words, id, ...children) {
  return el("section", { class: "setting", data: { setting: id } },
    el("h2", { class: "lead" }, words.text(`settings.${id}`)), el("p", { class: "why" }, words.text(`settings.${id}.why`)), children);
}

/**
 * One setting or check: its name, one sentence that explains it, and what belongs to it.
 */

import { el } from "./dom.js";

/** Draw one setting: its name, one sentence, and what belongs to it. */
export function setting(words, id, ...children) {
  return el("section", { class: "setting", data: { setting: id } },
    el("h2", { class: "lead" }, words.text(`settings.${id}`)), el("p", { class: "why" }, words.text(`settings.${id}.why`)), children);
}

/** Make a change by which the page may grow, and leave a key under the finger; `find` gives the key before and after. */
export function stayPut(find, change) {
  const { top } = find().getBoundingClientRect();
  change();
  globalThis.scrollBy(0, find().getBoundingClientRect().top - top);
}

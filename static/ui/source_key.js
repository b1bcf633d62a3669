/**
 * The small key that shows the page in the source language, and back: translation and source side by side.
 */

import { el } from "./dom.js";

/** Put the key on a page: beside the time of day, or beside what to do now; the source itself needs none. */
export function placeSourceKey(node, { words, speech, name, arg, redraw }) {
  const { lang } = words.source;
  if (words.lang === lang && !speech.isTurned()) return;
  const isTurned = speech.isTurned();
  const button = el("button", {
    type: "button", class: "source-key", "aria-pressed": String(isTurned), data: { key: "source" },
    "aria-label": words.text(isTurned ? "app.from_source" : "app.to_source"),
    on: { click: () => { speech.turn(name, arg); redraw(); } },
  }, el("span", { lang, dir: "ltr", "aria-hidden": "true" }, lang.toUpperCase()));
  const seat = node.querySelector(".place .clock, .now");
  if (seat) seat.prepend(button);
  // The pad for the heart on the live screen has no room to spare.
  else if (!node.matches(".pull")) (node.querySelector("main") ?? node).append(button);
}

/**
 * The strips above every page: practice, demo, not saved. Nothing of them is in colour alone.
 */

import { el, say } from "./dom.js";
import { icon } from "./icons.js";

/** Give the strips that belong on the screen now. */
export function strips({ words, theCase, isDemo, isWriter, notices, name }) {
  const found = [];
  if (notices.journal.state === "failing") found.push(alarm(words, "app.not_saved", { n: notices.journal.count }));
  if (!isWriter) found.push(strip(words, "app.reader"));
  if (isDemo) found.push(strip(words, "app.demo"));
  if (theCase?.mode === "practice" && !isDemo && !["home", "cases", "settings"].includes(name)) found.push(strip(words, "app.practice"));
  if (notices.wake === "refused" && theCase) found.push(strip(words, "app.wake_refused"));
  return found;
}

function strip(words, id) {
  return el("p", { class: "strip", data: { strip: id } }, say(words, id));
}

function alarm(words, id, values) {
  return el("p", { class: "strip stop", role: "alert", data: { strip: id } }, icon("stop"), el("span", {}, say(words, id, values)));
}

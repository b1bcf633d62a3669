/**
 * The line on top of the calm screens: where one is, and the time of day.
 */

import { time } from "../language.js";
import { el, say, value } from "./dom.js";
import { icon } from "./icons.js";

const MINUTE_MS = 60000;

/** Make the header. `title` names the screen, `detail` holds nodes, `onBack` adds a way back; `heading` is h1 on a page with no other. */
export function header(words, { title, detail = [], onBack, heading = "b" }) {
  const back = onBack ? el("button", {
    type: "button", class: "bare back", data: { key: "back" }, "aria-label": words.text("app.back"), on: { click: onBack },
  }, icon("back")) : null;
  return el("header", { class: "place" },
    el("p", {}, back, el(heading, heading === "h1" ? { tabindex: "-1" } : {}, title), el("span", {}, detail)),
    el("p", { class: "clock" }, value(time(Date.now()))));
}

/** Name the woman by her bed, as nodes; nothing when no bed was told. */
export function bedOf(words, theCase) {
  return theCase.label ? words.text("home.bed", { label: theCase.label }) : "";
}

/** Say the time that counts in a case: since the birth, else since the cup went on, else nothing. */
export function sinceOf(words, theCase, measured) {
  if (theCase.baby_born) return say(words, "home.since_birth", { n: words.span(Math.floor(Math.max(0, measured.now_ms - theCase.baby_born.ms) / MINUTE_MS)) });
  return theCase.applications.length ? say(words, "home.minutes", { n: Math.floor(measured.cup_ms / MINUTE_MS) }) : null;
}

/**
 * The line on top of the calm screens: where one is, and the time of day.
 */

import { time } from "../language.js";
import { el, value } from "./dom.js";
import { icon } from "./icons.js";

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

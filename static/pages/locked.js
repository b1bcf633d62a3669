/**
 * The keypad of the PIN, in place of a page that it closes.
 */

import { running } from "../language.js";
import { LEAST_DIGITS, MOST_DIGITS } from "../lock.js";
import { el, say } from "../ui/dom.js";
import { header } from "../ui/header.js";
import { keypad } from "../ui/keypad.js";

// How the last try went; the page may be drawn anew at any time.
let wasWrong = false;

/** Draw the page that asks for the PIN. */
export function lockedPage(view) {
  const { words, lock, go } = view;
  const told = el("p", { class: "lead", role: "status" });
  const body = el("div", { class: "pin-pad" });
  const main = el("main", { class: "locked" }, el("h1", { class: "lead", tabindex: "-1" }, words.text("pin.ask")), told, body,
    el("p", {}, words.text("pin.free")), forgotten(view));
  const tick = () => told.replaceChildren(...[state(view)].flat());
  tick();
  if (lock.isUnknown()) body.replaceChildren();
  else body.append(pad(view, told));
  const leave = () => { wasWrong = false; go("home"); };
  return { node: el("div", { class: "screen locked-page scrolls" }, header(words, { title: words.text("pin.title"), onBack: leave }), main), tick: () => body.dataset.busy === undefined && tick() };
}

function state({ words, lock }) {
  if (lock.isUnknown()) return words.text("pin.unreadable");
  const wait = lock.waitMs();
  if (wait > 0) return say(words, "pin.wait", { time: running(wait + 999) });
  return wasWrong ? words.text("pin.wrong") : "";
}

function pad(view, told) {
  const { words, lock, stamp, redraw } = view;
  return keypad({ words, stamp, code: LEAST_DIGITS, most: MOST_DIGITS, okLabel: words.text("keypad.ok"), onDone: async (digits) => {
    const box = told.parentElement.querySelector(".pin-pad");
    box.dataset.busy = "";
    told.replaceChildren(words.text("pin.checking"));
    wasWrong = !await lock.tryPin(digits);
    redraw();
  } });
}

/** The station names a tablet by the first digits of its id, in fours. */
function forgotten({ words, device }) {
  if (!device) return null;
  return el("p", {}, say(words, "pin.forgotten", { device: `${device.id.slice(0, 4)} ${device.id.slice(4, 8)}` }));
}

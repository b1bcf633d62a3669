/**
 * A key that must be held, for what is not meant to happen by a slip.
 *
 * By keyboard, or by a switch that cannot hold, it is pressed twice.
 */

import { el } from "./dom.js";
import { icon } from "./icons.js";

export const HOLD_MS = 1500;
const AGAIN_MS = 6000;

/** Make a held key: `label`, `again` (what to say after the first press by keyboard), `onDone()`. */
export function holdKey({ name, label, again, sign, look = "halt", onDone }) {
  let timer = null;
  let armedUntil = 0;
  const words = el("span", { class: "label" }, label);
  const button = el("button", {
    type: "button",
    class: `key hold ${look}`,
    data: { key: name, writes: "" },
    on: { pointerdown: press, pointerup: lift, pointerleave: lift, pointercancel: lift, click, contextmenu: (event) => event.preventDefault() },
  }, sign ? icon(sign) : null, words);

  function press(event) {
    if (event.pointerType === "mouse" && event.button !== 0) return;
    button.dataset.state = "holding";
    timer = setTimeout(done, HOLD_MS);
  }

  function lift() {
    clearTimeout(timer);
    timer = null;
    if (button.dataset.state === "holding") delete button.dataset.state;
  }

  function click(event) {
    // Only a press without a pointer comes here as a press of its own.
    if (event.detail !== 0) return;
    if (performance.now() < armedUntil) {
      done();
      return;
    }
    armedUntil = performance.now() + AGAIN_MS;
    words.replaceChildren(again);
    button.dataset.state = "armed";
  }

  function done() {
    lift();
    armedUntil = 0;
    onDone();
  }

  return button;
}

/**
 * A key: anything a finger may press.
 *
 * The moment of a tap is taken when the finger lands, and the tap counts when it
 * lifts, so that sliding off still calls it off. A second hit of the same key within
 * the guard time is a bounce and is left out.
 */

import { el } from "./dom.js";
import { icon } from "./icons.js";

// Common practice, no source: a bounce of a wet glove.
export const GUARD_MS = 700;

const lastTap = new Map();

/**
 * Make a key. `name` is what it does, for guards, focus and tests; `look` is "next", "on" or
 * "halt"; `note` a small second line; `onTap(stamp)` gets the moment from `stamp()`.
 */
export function key({ name, label, note, sign, look, onTap, stamp, pressed, tag, before = [] }) {
  let landed = null;
  const button = el("button", {
    type: "button",
    class: ["key", look, tag].filter(Boolean).join(" "),
    "aria-pressed": pressed === undefined ? null : String(pressed),
    data: { key: name, writes: stamp ? "" : null },
    on: {
      pointerdown: () => { landed = stamp?.() ?? null; },
      pointercancel: () => { landed = null; },
      click: () => {
        const moment = landed ?? stamp?.() ?? null;
        landed = null;
        if (isBounce(name)) return;
        // Shown as taken; it counts as kept only when the disk has it.
        if (stamp) button.dataset.state = "pending";
        onTap(moment, button);
      },
    },
  }, before, sign ? icon(sign) : null, el("span", {}, wrapped(label), note ? el("small", {}, note) : null));
  return button;
}

function wrapped(label) {
  return Array.isArray(label) ? el("span", { class: "label" }, label) : el("span", { class: "label" }, [label]);
}

/** Take a tap of a key by its name: whether it is only the bounce of the one before. */
export function isBounce(name) {
  const now = performance.now();
  const before = lastTap.get(name) ?? -Infinity;
  if (now - before < GUARD_MS) return true;
  lastTap.set(name, now);
  return false;
}

/** Forget the last taps; a new screen has new keys. */
export function forgetTaps() {
  lastTap.clear();
}

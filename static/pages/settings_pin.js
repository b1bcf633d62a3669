/**
 * Set, change and remove the PIN; what it can and cannot do stands beside it.
 */

import { LEAST_DIGITS, MOST_DIGITS } from "../lock.js";
import { el } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { keypad } from "../ui/keypad.js";
import { setting } from "../ui/setting.js";

// What is being typed: null, or {first} once the first entry is made; and whether two differed.
let entry = null;
let differed = false;

/** Draw the PIN's setting. */
export function pinPart(view) {
  const { words, lock } = view;
  const said = ["can", "cannot", "forgotten"].map((id) => el("li", {}, words.text(`settings.pin.${id}`)));
  return setting(words, "pin", el("ul", { class: "said" }, said), entry ? typing(view) : el("div", { class: "pin-keys" },
    el("p", { class: "kept", role: "status" }, icon(lock.isSet() ? "yes" : "no"), el("span", {}, words.text(lock.isSet() ? "settings.pin.is_set" : "settings.pin.is_not"))),
    keys(view)));
}

function keys(view) {
  const { words, lock, stamp, redraw } = view;
  const begin = () => { entry = {}; differed = false; redraw(); };
  return el("div", { class: "answers two" },
    key({ name: "pin-set", label: words.text(lock.isSet() ? "settings.pin.change" : "settings.pin.set"), stamp, onTap: begin }),
    lock.isSet() ? key({ name: "pin-remove", label: words.text("settings.pin.remove"), stamp, onTap: async () => { await lock.clear(); redraw(); } }) : null);
}

function typing(view) {
  const { words, lock, stamp, redraw } = view;
  const isAgain = entry.first !== undefined;
  const done = async (digits) => {
    if (!isAgain) entry = { first: digits };
    else {
      differed = entry.first !== digits;
      const chosen = entry.first;
      entry = differed ? {} : null;
      if (!differed) await lock.setPin(chosen);
    }
    redraw();
  };
  return el("div", { class: "pin-pad" },
    el("p", { class: "lead", role: "status" }, words.text(isAgain ? "settings.pin.again" : "settings.pin.first")),
    differed && !isAgain ? el("p", {}, words.text("settings.pin.differs")) : null,
    keypad({ words, stamp, code: LEAST_DIGITS, most: MOST_DIGITS, okLabel: words.text("keypad.ok"), onDone: done }),
    key({ name: "pin-leave", label: words.text("app.cancel"), onTap: () => { entry = null; redraw(); } }));
}

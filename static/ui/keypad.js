/**
 * A pad of digits for one whole or decimal number; no soft keyboard is ever needed.
 */

import { el, value } from "./dom.js";
import { half } from "./half.js";
import { icon } from "./icons.js";
import { key } from "./key.js";

/**
 * Make a keypad. `unit` stands beside the number, `decimals` is how many places may follow the
 * mark, `most` the largest number of digits; `onDone(text)` gets "12.5" with a full stop. With
 * `code` the digits are no number: shown as dots, a nought in front counts, at least so many are asked.
 * What is typed under a `name` outlives a page that is drawn anew; a code never does.
 * A number outside `low` to `high` is not taken, and the key that does not take it says the two.
 */
export function keypad({ words, unit, decimals = 0, most = 4, code = 0, low = 0, high = Infinity, name = null, okLabel, onDone, stamp }) {
  const kept = name && !code ? half(name, { typed: "", isOdd: false }) : { typed: "", isOdd: false };
  const shown = el("output", { class: "typed", "aria-live": "polite" });
  const ok = key({ name: "keypad-ok", label: okLabel, sign: "yes", look: "next", tag: "ok", stamp, onTap: done });

  function done(moment) {
    const text = kept.typed.replace(/\.$/, "");
    if (text === "") return;
    kept.isOdd = !code && (Number(text) < low || Number(text) > high);
    if (!kept.isOdd) return onDone(text, moment);
    delete ok.dataset.state;
    show();
  }

  function show() {
    const { typed } = kept;
    const seen = code ? "\u25cf".repeat(typed.length) : typed.replace(".", words.decimal);
    // The letters of the unit say which way both run, as they do wherever a number and its unit are shown.
    const figure = el("span", { class: "figure", dir: "auto" }, value(typed === "" ? "–" : seen), " ", unit ?? "");
    shown.replaceChildren(...[figure, kept.isOdd ? within() : null].filter(Boolean));
    ok.disabled = typed.length < Math.max(1, code);
  }

  /** Say what can be meant: a tap that does nothing would look like a tap that was kept. */
  function within() {
    const end = (number) => String(number).replace(".", words.decimal);
    return el("span", { class: "within" }, icon("caution"), words.text("app.quantity_range", { low: end(low), high: end(high) }));
  }

  function turn(typed) {
    kept.typed = typed;
    kept.isOdd = false;
    show();
  }

  function type(sign) {
    const { typed } = kept;
    if (sign === "." && (typed === "" || typed.includes("."))) return;
    const places = typed.split(".")[1];
    if (places !== undefined && places.length >= decimals) return;
    if (typed.replace(".", "").length >= most) return;
    turn(typed === "0" && sign !== "." && !code ? sign : typed + sign);
  }

  const digit = (sign, label = sign) => el("button", {
    type: "button", class: "key digit", data: { key: `digit-${sign}`, writes: "" }, on: { click: () => type(sign) },
  }, label);
  const wipe = el("button", {
    type: "button", class: "key digit", data: { key: "digit-wipe", writes: "" }, "aria-label": words.text("keypad.wipe"),
    on: { click: () => turn(kept.typed.slice(0, -1)) },
  }, "⌫");
  show();
  return el("div", { class: "keypad" }, shown,
    el("div", { class: "digits", dir: "ltr" }, [..."123456789"].map((sign) => digit(sign)),
      decimals ? digit(".", words.decimal) : el("span"), digit("0"), wipe), ok);
}

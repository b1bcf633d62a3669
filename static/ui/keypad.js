/**
 * A pad of digits for one whole or decimal number; no soft keyboard is ever needed.
 */

import { el, value } from "./dom.js";
import { key } from "./key.js";

/**
 * Make a keypad. `unit` stands beside the number, `decimals` is how many places may follow the
 * mark, `most` the largest number of digits; `onDone(text)` gets "12.5" with a full stop. With
 * `code` the digits are no number: shown as dots, a nought in front counts, at least so many are asked.
 */
export function keypad({ words, unit, decimals = 0, most = 4, code = 0, okLabel, onDone, stamp }) {
  let typed = "";
  const shown = el("output", { class: "typed", "aria-live": "polite" });
  const ok = key({ name: "keypad-ok", label: okLabel, sign: "yes", look: "next", tag: "ok", stamp, onTap: (moment) => typed && onDone(typed.replace(/\.$/, ""), moment) });

  function show() {
    const seen = code ? "\u25cf".repeat(typed.length) : typed.replace(".", words.decimal);
    shown.replaceChildren(value(typed === "" ? "–" : seen), " ", unit ?? "");
    ok.disabled = typed.length < Math.max(1, code);
  }

  function type(sign) {
    if (sign === "." && (typed === "" || typed.includes("."))) return;
    const places = typed.split(".")[1];
    if (places !== undefined && places.length >= decimals) return;
    if (typed.replace(".", "").length >= most) return;
    typed = typed === "0" && sign !== "." && !code ? sign : typed + sign;
    show();
  }

  const digit = (sign, label = sign) => el("button", {
    type: "button", class: "key digit", data: { key: `digit-${sign}` }, on: { click: () => type(sign) },
  }, label);
  const wipe = el("button", {
    type: "button", class: "key digit", data: { key: "digit-wipe" }, "aria-label": words.text("keypad.wipe"),
    on: { click: () => { typed = typed.slice(0, -1); show(); } },
  }, "⌫");
  show();
  return el("div", { class: "keypad" }, shown,
    el("div", { class: "digits", dir: "ltr" }, [..."123456789"].map((sign) => digit(sign)),
      decimals ? digit(".", words.decimal) : el("span"), digit("0"), wipe), ok);
}

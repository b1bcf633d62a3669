/**
 * A pad of digits for one whole or decimal number; no soft keyboard is ever needed.
 */

import { el, value } from "./dom.js";
import { half } from "./half.js";
import { key } from "./key.js";

/**
 * Make a keypad. `unit` stands beside the number, `decimals` is how many places may follow the
 * mark, `most` the largest number of digits; `onDone(text)` gets "12.5" with a full stop. With
 * `code` the digits are no number: shown as dots, a nought in front counts, at least so many are asked.
 * What is typed under a `name` outlives a page that is drawn anew; a code never does.
 */
export function keypad({ words, unit, decimals = 0, most = 4, code = 0, name = null, okLabel, onDone, stamp }) {
  const kept = name && !code ? half(name, { typed: "" }) : { typed: "" };
  const shown = el("output", { class: "typed", "aria-live": "polite" });
  const ok = key({ name: "keypad-ok", label: okLabel, sign: "yes", look: "next", tag: "ok", stamp, onTap: (moment) => kept.typed && onDone(kept.typed.replace(/\.$/, ""), moment) });

  function show() {
    const { typed } = kept;
    const seen = code ? "\u25cf".repeat(typed.length) : typed.replace(".", words.decimal);
    shown.replaceChildren(value(typed === "" ? "–" : seen), " ", unit ?? "");
    ok.disabled = typed.length < Math.max(1, code);
  }

  function type(sign) {
    const { typed } = kept;
    if (sign === "." && (typed === "" || typed.includes("."))) return;
    const places = typed.split(".")[1];
    if (places !== undefined && places.length >= decimals) return;
    if (typed.replace(".", "").length >= most) return;
    kept.typed = typed === "0" && sign !== "." && !code ? sign : typed + sign;
    show();
  }

  const digit = (sign, label = sign) => el("button", {
    type: "button", class: "key digit", data: { key: `digit-${sign}` }, on: { click: () => type(sign) },
  }, label);
  const wipe = el("button", {
    type: "button", class: "key digit", data: { key: "digit-wipe" }, "aria-label": words.text("keypad.wipe"),
    on: { click: () => { kept.typed = kept.typed.slice(0, -1); show(); } },
  }, "⌫");
  show();
  return el("div", { class: "keypad" }, shown,
    el("div", { class: "digits", dir: "ltr" }, [..."123456789"].map((sign) => digit(sign)),
      decimals ? digit(".", words.decimal) : el("span"), digit("0"), wipe), ok);
}

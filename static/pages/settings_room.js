/**
 * What belongs to the room: its beds, and the switch under the assistant's foot.
 */

import { bedNames, MOST_BEDS } from "../preferences.js";
import { el, say } from "../ui/dom.js";
import { setting } from "../ui/setting.js";

/** How many beds, and whether they have numbers or letters; `choice(name, values)` draws two keys. */
export function bedsPart({ words, settings }, choice) {
  const shown = el("output", { class: "size-now" });
  const tell = () => {
    const names = bedNames(settings);
    shown.replaceChildren(...say(words, "settings.beds.now", { first: names[0], last: names.at(-1) }));
  };
  const set = (by) => {
    settings.set("beds", Math.min(MOST_BEDS, Math.max(1, bedNames(settings).length + by)));
    tell();
  };
  // Tapped many times in a row, so without the guard against a bounce.
  const step = (name, by, sign) => el("button", {
    type: "button", class: "key digit", "aria-label": words.text(`settings.beds.${name}`), data: { key: `beds-${name}` }, on: { click: () => set(by) },
  }, sign);
  tell();
  return setting(words, "beds", el("div", { class: "card-keys beds-keys" }, step("fewer", -1, "\u2212"), shown, step("more", 1, "+")),
    choice("bed_names", ["numbers", "letters"]));
}

/** The foot switch: off or on, and when it was last seen. */
export function footPart({ words, foot }, choice) {
  const seen = foot.isOn() ? el("p", { class: "seen", role: "status", data: { runs: "foot" } }, say(words, ...foot.told())) : null;
  return setting(words, "foot", choice("foot", ["off", "on"]), foot.isOn() ? el("p", {}, words.text("settings.foot.try")) : null, seen);
}

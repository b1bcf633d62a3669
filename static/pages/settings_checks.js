/**
 * Two checks that a person makes once: is the sound heard, is a millimetre a millimetre.
 */

import { el, say } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { setting, stayPut } from "../ui/setting.js";

// A tablet of 160 dots to the inch, until the size check says better; as in tokens.css.
const USUAL_MM = 160 / 25.4;
// One step is under a millimetre along the card of 85.6 mm (ISO/IEC 7810, ID-1; from memory).
const STEP_PX = 0.05;
const CHECK = "spoken.check";
const LEAST_PX = 3;
const MOST_PX = 12;

// What was answered since the app was opened; the page may be drawn anew at any time.
let wasHeard = null;

/** Play each burst, and ask whether it was heard. */
export function soundPart(view) {
  const { words, sound } = view;
  const asked = el("div", { class: "heard", "aria-live": "polite" }, wasHeard === null ? null : answer(words));
  const play = (weight) => {
    sound.wake();
    sound.play(weight);
    ask(words, asked);
  };
  const burst = (weight, sign) => key({ name: `sound-${weight}`, label: words.text(`settings.sound.${weight}`), sign, onTap: () => play(weight) });
  return setting(words, "sound", el("div", { class: "answers two" }, burst("high", "stop"), burst("medium", "caution")), voicePart(view, asked), asked);
}

/** Play the sentence that asks whether it is heard; what it says stands beside it, in the language of a birth. */
function voicePart({ words, speech, sound }, asked) {
  const spoken = speech.live();
  if (!sound.has(CHECK)) return el("p", { class: "quiet" }, words.text("settings.sound.no_voice"));
  return el("div", { class: "answers" }, key({
    name: "sound-voice", label: words.text("settings.sound.voice"), note: el("span", { lang: spoken.lang, dir: spoken.dir }, spoken.text(CHECK)), sign: "call",
    onTap: () => { sound.wake(); sound.play("info", CHECK); ask(words, asked); },
  }));
}

function ask(words, box) {
  const tell = (isHeard) => {
    wasHeard = isHeard;
    box.replaceChildren(answer(words));
  };
  box.replaceChildren(el("p", { class: "lead" }, words.text("settings.sound.ask")), el("div", { class: "answers two" },
    key({ name: "heard-yes", label: words.text("app.yes"), sign: "yes", onTap: () => tell(true) }),
    key({ name: "heard-no", label: words.text("app.no"), sign: "no", onTap: () => tell(false) })));
}

function answer(words) {
  return el("p", { class: wasHeard ? "kept" : "advice caution" }, icon(wasHeard ? "yes" : "caution"),
    el("span", {}, words.text(wasHeard ? "settings.sound.heard" : "settings.sound.unheard")));
}

/** Lay a bank card on its outline and make the outline fit. */
export function sizePart(view) {
  const { words, settings } = view;
  const shown = el("output", { class: "size-now" });
  const now = () => Number(settings.get("mm")) || USUAL_MM;
  const tell = () => shown.replaceChildren(...say(words, "settings.size.now", { n: words.quantity(now().toFixed(2), "px") }));
  // The whole page grows with a millimetre.
  const set = (button, mm) => {
    stayPut(() => button, () => settings.set("mm", mm));
    tell();
  };
  const stepped = (by) => (Math.min(MOST_PX, Math.max(LEAST_PX, now() + by))).toFixed(2);
  // Tapped many times in a row, so without the guard against a bounce.
  const step = (name, by, sign) => el("button", {
    type: "button", class: "key digit", "aria-label": words.text(`settings.size.${name}`), data: { key: `size-${name}` }, on: { click: ({ currentTarget }) => set(currentTarget, stepped(by)) },
  }, sign);
  tell();
  return setting(words, "size", el("div", { class: "card-keys" }, step("smaller", -STEP_PX, "\u2212"), shown, step("larger", STEP_PX, "+"),
    key({ name: "size-reset", label: words.text("settings.size.reset"), sign: "undo", onTap: (_, button) => set(button, "") })),
  el("div", { class: "bank-card", role: "img", "aria-label": words.text("settings.size.card") }, el("span", { "aria-hidden": "true" }, words.text("settings.size.here"))));
}

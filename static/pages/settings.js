/**
 * Settings: how this tablet looks and sounds, and what it goes by. Each is explained.
 */

import { el, say, value } from "../ui/dom.js";
import { header } from "../ui/header.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { setting, stayPut } from "../ui/setting.js";
import { sizePart, soundPart } from "./settings_checks.js";
import { pinPart } from "./settings_pin.js";
import { protocolPart } from "./settings_protocol.js";
import { bedsPart, footPart } from "./settings_room.js";
import { stationPart } from "./settings_station.js";

/** Draw the settings of this tablet. */
export function settingsPage(view) {
  const { words } = view;
  const main = el("main", { class: "settings" }, el("h1", { class: "lead away-title", tabindex: "-1" }, words.text("home.settings")),
    named(view, "theme", ["day", "night"], ["sun", null]), named(view, "hand", ["right", "left"]), named(view, "letters", ["usual", "larger", "largest"]), language(view),
    bedsPart(view, (...told) => keys(view, ...told)), soundPart(view), sizePart(view), footPart(view, (...told) => keys(view, ...told)), pinPart(view), stationPart(view), state(view), protocolPart(view), about(view));
  return { node: el("div", { class: "screen settings-page scrolls" },
    header(words, { title: words.text("home.settings"), onBack: () => view.go("home") }), main),
  tick: () => main.querySelector("[data-runs=foot]")?.replaceChildren(...say(words, ...view.foot.told())) };
}

function named(view, name, values, signs) {
  return setting(view.words, name, keys(view, name, values, signs));
}

/** Two or three keys of which one is chosen. */
function keys({ words, settings, redraw }, name, values, signs = []) {
  return el("div", { class: values.length > 2 ? "answers three" : "answers two", role: "group", "aria-label": words.text(`settings.${name}`) },
    values.map((one, index) => chosen(`${name}-${one}`, words.text(`settings.${name}.${one}`), settings.get(name) === one, signs[index], () => stayPut(() => document.querySelector(`[data-key="${name}-${one}"]`), () => {
      settings.set(name, one);
      redraw();
    }))));
}

/** What is chosen has a tick and a filled ground. */
function chosen(name, label, is, sign, onTap) {
  return key({ name, label, sign: is ? "yes" : sign, pressed: is, look: is ? "on" : null, onTap });
}

/** A language names itself and says how far it is; an open case stays open. */
function language({ words, settings, languages, takeLanguage }) {
  const all = languages.list();
  if (all.length < 2) return null;
  return setting(words, "language", el("div", { class: "answers three languages", role: "group", "aria-label": words.text("settings.language") },
    all.map(({ tag, name, dir, state }) => {
      const is = languages.chosen() === tag;
      const button = key({
        name: `language-${tag}`, label: el("span", { lang: tag, dir }, name), note: words.text(`settings.language.${state}`),
        sign: is ? "yes" : null, pressed: is, look: is ? "on" : null, onTap: () => takeLanguage(tag),
      });
      // Its own name would be a row of boxes: nobody could find the way back.
      button.disabled = state === "letters";
      return button;
    })));
}

/** How the tablet stands: its store, its readiness without network, its screen. */
function state({ words, notices }) {
  const { shell, wake, journal, update } = notices;
  const lines = [
    shell ? [shell.ready ? "yes" : "caution", words.text(`home.${shell.ready ? "ready" : "not_ready"}`)] : ["clock", words.text("settings.state.checking")],
    journal.state === "failing" ? ["caution", say(words, "app.not_saved", { n: journal.count })] : ["yes", words.text("settings.state.kept")],
    wake === "refused" ? ["caution", words.text("app.wake_refused")] : ["yes", words.text("settings.state.screen")],
    update === "waits" ? ["clock", words.text("home.update_waits")] : null,
  ].filter(Boolean);
  return setting(words, "state", el("ul", { class: "states" }, lines.map(([sign, text]) => el("li", { class: sign === "caution" ? "caution" : null }, icon(sign), el("span", {}, text)))));
}

function about({ words, release }) {
  return el("section", { class: "setting about" }, el("p", {}, words.text("app.name"), words.comma(), words.text("record.release"), " ", value(release)),
    el("p", { class: "plain" }, words.text("app.caution"), " ", words.text("app.unsigned")));
}

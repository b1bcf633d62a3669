/**
 * The two things that are asked in the place of the pull keys: the fetal heart and the scalp.
 */

import { el } from "../ui/dom.js";
import { key } from "../ui/key.js";
import { keypad } from "../ui/keypad.js";

const FINDINGS = ["whole", "bruised", "swelling", "cut", "skin_lost"];

/** Count the fetal heart: a keypad, or one tap when it cannot be told. */
export function heartSheet(view) {
  const { words, stamp, record } = view;
  const tell = (facts, moment) => {
    view.next("pull");
    record("fetal_heart_counted", facts, { stamp: moment });
  };
  return el("section", { class: "sheet heart" },
    el("h1", { class: "lead" }, words.text("pull.heart_ask")),
    keypad({
      words, stamp, name: "heart", unit: words.quantity("", "bpm").trim(), most: 3, low: 20, high: 300, okLabel: words.text("keypad.ok"),
      onDone: (text, moment) => tell({ heard: "yes", bpm: Number(text) }, moment),
    }),
    el("div", { class: "answers three" },
      key({ name: "heart-none", label: words.text("pull.not_heard"), sign: "no", stamp, onTap: (moment) => tell({ heard: "no" }, moment) }),
      key({ name: "heart-unsure", label: words.text("app.not_sure"), sign: "unsure", stamp, onTap: (moment) => tell({ heard: "unsure" }, moment) }),
      key({ name: "heart-cancel", label: words.text("app.cancel"), sign: "back", onTap: () => view.go("pull") })));
}

/** Look at the scalp after the cup came off, before anything else. */
export function scalpSheet(view) {
  const { words, stamp, record } = view;
  return el("section", { class: "sheet scalp" },
    el("div", { class: "answers two", role: "group", "aria-label": words.text("pull.scalp_ask") }, scalpKeys(view),
      key({ name: "head-born", label: words.text("pull.head_out"), sign: "born", stamp, onTap: (moment) => record("head_born", {}, { stamp: moment }) })));
}

/** Make the keys that say what was seen of the scalp. */
export function scalpKeys({ words, stamp, record }) {
  const finding = (id, label, sign) => key({
    name: `scalp-${id}`, label: words.text(label), sign, stamp,
    onTap: (moment) => record("scalp_checked", { finding: id }, { stamp: moment }),
  });
  return [...FINDINGS.map((id) => finding(id, `pull.scalp.${id}`, null)), finding("unsure", "app.not_sure", "unsure")];
}

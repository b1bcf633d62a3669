/**
 * Own drawings that tell three swellings of the scalp apart: layers over the skull, cut across.
 *
 * From the skin inwards: skin, the sheet under it, the skin of the bone, the bone with its
 * seam in the middle. Where the blood lies, and whether it passes over the seam, differs.
 */

import { el, svg } from "./dom.js";
import { key } from "./key.js";

const KINDS = ["chignon", "cephalohaematoma", "subgaleal"];
// Outlines of skin, sheet and bone skin, and of the swelling between them.
const LAYERS = {
  chignon: { skin: "M8 66C50 56 62 14 120 14S190 56 232 66", sheet: "M8 80Q120 56 232 80", bone_skin: "M8 94Q120 70 232 94", swelling: "M62 66C76 40 90 22 120 22S164 40 178 66Q120 54 62 66z" },
  cephalohaematoma: { skin: "M8 66C24 62 34 26 74 26C108 26 110 50 132 52Q190 54 232 66", sheet: "M8 80C24 74 36 40 74 40C104 40 106 62 130 65Q190 68 232 80", bone_skin: "M8 94C26 88 40 54 74 54C102 54 108 74 116 82Q180 82 232 94", swelling: "M22 94C34 76 48 62 74 62C98 62 104 78 112 86Q60 87 22 94z" },
  subgaleal: { skin: "M8 52Q120 0 232 52", sheet: "M8 64Q120 14 232 64", bone_skin: "M8 94Q120 70 232 94", swelling: "M8 88V70Q120 24 232 70V88Q120 62 8 88z" },
};

/** Draw one swelling. */
export function scalpDrawing(words, kind) {
  const { skin, sheet, bone_skin: boneSkin, swelling } = LAYERS[kind];
  return svg("svg", { class: "draw scalp-cut", viewBox: "0 0 240 132", role: "img", "aria-label": words.text(`baby.drawn.${kind}`) },
    svg("path", { class: "wash", d: swelling }), svg("path", { class: "swelling", d: swelling, "vector-effect": "non-scaling-stroke" }),
    line("heavy", skin), line("thin", sheet, "7 5"), line("thin", boneSkin), bones());
}

/** Two bones and the gap between them. */
function bones() {
  return ["M8 104Q62 86 112 84V100Q62 103 8 122z", "M232 104Q178 86 128 84V100Q178 103 232 122z"].map((d) => svg("path", { class: "bone", d, "vector-effect": "non-scaling-stroke" }));
}

function line(kind, d, dashes = null) {
  return svg("path", { class: kind, d, "stroke-dasharray": dashes, "vector-effect": "non-scaling-stroke" });
}

/** Make the keys that ask which swelling it is; `onAnswer(id, moment)`. */
export function scalpKeys({ words, stamp }, onAnswer, unsure) {
  const drawn = (id) => key({
    name: `scalp_kind-${id}`, tag: "swelling-key", stamp, before: [scalpDrawing(words, id)], label: words.text(`baby.scalp_kind.${id}`),
    note: words.text(`baby.tells.${id}`), onTap: (moment) => onAnswer(id, moment),
  });
  return [el("div", { class: "swellings" }, KINDS.map(drawn)), el("div", { class: "answers two" },
    key({ name: "scalp_kind-none", label: words.text("baby.scalp_kind.none"), stamp, onTap: (moment) => onAnswer("none", moment) }), unsure)];
}

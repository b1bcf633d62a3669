/**
 * How closely the baby is watched, why, what is not known, and who lowers it.
 */

import { CLINICIANS, MINUTE_MS, watch } from "../core/newborn.js";
import { bloodVolumeMl, hiddenBloodMl, hiddenShare } from "../core/observed.js";
import { time } from "../language.js";
import { el, say, value } from "../ui/dom.js";
import { gestationText } from "../ui/gestation_words.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { amount } from "../ui/observed_words.js";
import { headTrend } from "../ui/trend.js";
import { allOf } from "./after_items.js";

const LOOKS = { 1: ["plain-tier", "baby"], 2: ["caution", "caution"], 3: ["stop", "stop"] };
const MOST_NAMED = 2;
// How each measure is said: its unit, and how many of the row's own steps make one of it.
const UNITS = {
  cup_ms: ["min", MINUTE_MS], without_vitamin_k: ["min", 1], weight_g: ["g", 1], head_growth_mm: ["mm", 1], heart_bpm: ["bpm", 1],
  breaths: ["bpm", 1], refill_s: ["s", 1], temperature_dc: ["c", 10], glucose_dmmol: ["mmol", 10], pulls: ["count", 1], detachments: ["count", 1], apgar_5: ["count", 1],
};

/** Draw the tier at its fixed place; a tap tells why. */
export function tierBanner(view) {
  const { words, theCase, protocol, stamp } = view;
  const watched = watch(theCase, protocol, stamp());
  const [look, sign] = LOOKS[watched.tier];
  return el("section", { class: `advice tier ${look}`, role: watched.tier === 3 ? "alert" : "status", data: { tier: String(watched.tier) } },
    el("button", { type: "button", class: "bare", data: { key: "tier" }, on: { click: () => view.go("after", "tier") } }, icon(sign), el("div", {},
      el("p", { class: "lead" }, words.text(`after.tier.${watched.tier}`)), el("p", {}, summary(view, watched))), icon("more")));
}

function summary({ words, protocol }, { tier, reasons, unknown, lowered }) {
  if (lowered) return words.text("newborn.lowered_by", { who: words.text(`role.${lowered.by}`) });
  const told = reasons.filter((reason) => reason.tier === tier);
  if (!told.length) return say(words, "newborn.nothing_yet", { n: unknown.length });
  const more = told.length - MOST_NAMED;
  return [told.slice(0, MOST_NAMED).map((reason) => reasonText(words, protocol, reason.row)).join(" · "), more > 0 ? [" · ", say(words, "limit.more", { n: more })] : null];
}

/** Say one reason with its bound: "Pulls: more than 3". */
export function reasonText(words, protocol, id) {
  const row = protocol.newborn.find((one) => one.id === id);
  const name = words.text(`newborn.row.${id}`);
  const bounds = boundsOf(words, row);
  return bounds ? `${name}: ${bounds}` : name;
}

function boundsOf(words, row) {
  const told = ["above", "at_least", "below"].filter((name) => row[name] !== undefined);
  if (row.measure === "gestation_days") return words.text("newborn.below", { n: gestationText(words, row.below) });
  const unit = UNITS[row.measure];
  if (!unit) return "";
  const number = (bound) => amount(words, String(bound / unit[1]).replace(".", words.decimal), unit[0]);
  return words.listed(told.map((name) => words.text(`newborn.${name}`, { n: number(row[name]) })));
}

/** Draw why the baby is watched so closely. */
export function tierSheet(view) {
  const { words, theCase, protocol, stamp } = view;
  const watched = watch(theCase, protocol, stamp());
  return [
    watched.tier === 3 || watched.reasons.some((reason) => reason.tier === 3) ? el("div", { class: "answers two" }, key({ name: "transfer", sign: "road", look: "next", label: words.text("after.transfer"), onTap: () => view.go("after", "transfer") })) : null,
    el("h2", { class: "lead" }, words.text("newborn.reasons")),
    watched.reasons.length ? el("ul", { class: "reasons" }, watched.reasons.map((reason) => reasonRow(view, reason))) : el("p", {}, words.text("newborn.no_reason")),
    watched.unknown.length ? [el("h2", { class: "lead" }, words.text("newborn.unknown")),
      el("ul", { class: "run" }, watched.unknown.map((id) => el("li", {}, words.text(`newborn.row.${id}`))))] : null,
    growth(view), lowering(view, watched),
  ];
}

function reasonRow({ words, theCase, protocol }, { row, tier, ms }) {
  const at = theCase.baby_born.at + ms - theCase.baby_born.ms;
  return el("li", {}, icon(LOOKS[tier][1]), el("span", {}, el("b", {}, reasonText(words, protocol, row)), words.comma(), value(time(at))));
}

function growth({ words, theCase, protocol }) {
  const sizes = allOf(theCase, "baby", "head").filter(({ facts }) => facts.value !== undefined).map(({ facts, ms, at }) => ({ value: facts.value, ms, at }));
  if (!sizes.length) return null;
  const bound = protocol.newborn.find((row) => row.measure === "head_growth_mm").at_least;
  return [el("h2", { class: "lead" }, words.text("newborn.trend")), headTrend(words, sizes, theCase.baby_born.ms, bound), hidden(words, theCase)];
}

/** Blood under the scalp, as a guess that comes late. */
function hidden(words, theCase) {
  const blood = hiddenBloodMl(theCase);
  if (blood === null) return el("p", {}, words.text("newborn.one_size"));
  const volume = bloodVolumeMl(theCase);
  const amountOf = words.quantity(blood, "ml");
  const said = volume === null ? say(words, "newborn.hidden_plain", { ml: amountOf })
    : say(words, "newborn.hidden", { ml: amountOf, share: `${hiddenShare(theCase)} %`, all: words.quantity(volume, "ml") });
  return [el("p", { class: "hidden" }, el("b", {}, said)), el("p", {}, words.text("newborn.hidden_late"))];
}

/** A lower tier is one clinician's word, and the word says whose. */
function lowering(view, { tier }) {
  const { words, stamp, record } = view;
  if (tier === 1) return null;
  const to = tier - 1;
  return [el("h2", { class: "lead" }, words.text("newborn.lower_ask")), el("p", {}, words.text(`after.tier.${to}`)),
    el("div", { class: "answers three" }, CLINICIANS.map((by) => key({
      name: `lower-${by}`, label: words.text(`role.${by}`), stamp,
      onTap: (moment) => {
        view.next("after");
        record("tier_lowered", { tier: to, by }, { stamp: moment });
      },
    })))];
}

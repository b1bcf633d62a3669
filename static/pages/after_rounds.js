/**
 * Questions that follow one another: a round at mother or baby, or one thing in its steps.
 *
 * Every answer is kept at once, so that a round that is broken off goes on where it was.
 */

import { watch } from "../core/newborn.js";
import { el, say } from "../ui/dom.js";
import { letGo } from "../ui/half.js";
import { key } from "../ui/key.js";
import { keypad } from "../ui/keypad.js";
import { amount, wordsId } from "../ui/observed_words.js";
import { scalpKeys } from "../ui/scalp.js";
import { toldOf } from "./after_items.js";
import { ALSO, APART, FLAGGED_TOO, ROUNDS, STEPS, asks, tellings } from "../ui/after_steps.js";

// Common practice, no source: an answer of this round, and not of the one before.
const SAME_ROUND_MS = 20 * 60000;

/** Draw the steps of an item; `at` is the step that is asked, or null for the first that is open. */
export function stepsSheet(view, item, at) {
  const steps = stepsOf(view, item);
  const asked = steps.includes(at) ? at : nextOpen(view, item, steps);
  if (asked === undefined) return ending(view, item, steps);
  return question(view, item, steps, asked);
}

function stepsOf({ theCase, protocol, stamp }, { form, id, lane }) {
  if (form !== "round") return (ALSO[id] ?? APART[id]).steps;
  const isFlagged = lane === "baby" && watch(theCase, protocol, stamp()).tier === 3;
  return isFlagged ? [...ROUNDS.baby, ...FLAGGED_TOO] : ROUNDS[lane];
}

/** A round that was broken off goes on; one thing is asked again from its beginning. */
function nextOpen({ theCase, measured }, { form, lane }, steps) {
  if (form !== "round") return steps[0];
  const last = toldOf(theCase, lane, "round")?.ms ?? -Infinity;
  return steps.find((step) => !asks(step).some((what) => {
    const told = toldOf(theCase, lane, what);
    return told !== null && told.ms > last && measured.now_ms - told.ms < SAME_ROUND_MS;
  }));
}

function question(view, item, steps, step) {
  const { words } = view;
  const { lane, form } = item;
  const told = (facts, moment) => tell(view, item, steps, step, facts, moment);
  const count = steps.indexOf(step) + 1;
  return [
    steps.length > 1 ? el("p", { class: "step" }, say(words, "after.step", { n: count, all: steps.length })) : null,
    el("h2", { class: "lead" }, words.text(wordsId(lane, "ask", step))),
    answers(view, lane, step, told),
    form === "round" ? el("div", { class: "answers two" }, key({
      name: `end-${step}`, label: words.text("after.round_end"), sign: "yes", stamp: view.stamp, onTap: (moment) => endRound(view, item, "part", moment),
    })) : null,
  ];
}

function answers(view, lane, step, told) {
  const { words, stamp } = view;
  const row = STEPS[lane][step];
  const { decimals = 0 } = row;
  const unsure = key({
    name: `${step}-unsure`, sign: "unsure", stamp, label: words.text(row.unit ? "after.not_measured" : "app.not_sure"),
    onTap: (moment) => told(tellings(step, "unsure"), moment),
  });
  if (row.unit) {
    return el("div", { class: "measured" }, keypad({
      words, stamp, name: `${lane} ${step}`, decimals, unit: amount(words, "", row.unit).trim(), most: row.digits, low: row.low / 10 ** decimals, high: row.high / 10 ** decimals, okLabel: words.text("keypad.ok"),
      onDone: (text, moment) => { letGo(); told([{ what: step, value: Math.round(Number(text) * 10 ** decimals) }], moment); },
    }), el("div", { class: "answers" }, unsure));
  }
  const answer = (id, moment) => told(tellings(step, id), moment);
  if (row.drawn) return scalpKeys(view, answer, unsure);
  return el("div", { class: `answers ${row.answers.length === 2 ? "three" : "two"}` }, row.answers.map((id) => key({
    name: `${step}-${id}`, label: words.text(wordsId(lane, step, id)), stamp, onTap: (moment) => answer(id, moment),
  })), unsure);
}

/** Keep what was told and go on; a red flag that is new opens the transfer at once. */
async function tell(view, item, steps, step, tellingsOf, moment) {
  const { lane, form, id } = item;
  const { case: caseId } = view.theCase;
  const before = watch(view.theCase, view.protocol, moment).tier;
  const following = steps[steps.indexOf(step) + 1];
  view.next("after", following ? `${id}/${following}` : APART[id]?.back ?? null);
  const kept = tellingsOf.map((facts) => view.record(`${lane}_observed`, facts, { stamp: moment }));
  // With its last answer, and not once the disk has taken that: another case may be open by then.
  if (!following && form === "round") kept.push(endRound(view, item, "whole", moment));
  await Promise.all(kept);
  if (view.desk.caseId() === caseId) raised(view, before);
}

/** Say that the baby may bleed, once, and write down that it was said. */
export function raised(view, before) {
  const { theCase, measured } = view.desk.look() ?? {};
  if (!theCase || before === 3 || watch(theCase, view.protocol, view.stamp()).tier !== 3) return;
  if (!measured.pull_open) view.sound.play("high");
  view.record("advice_shown", { limit: "baby_tier", level: "stop", message: "after.tier.3" }, { tap: false });
  view.go("after", "transfer");
}

function endRound(view, { lane }, answer, moment) {
  view.next("after");
  return view.record(`${lane}_observed`, { what: "round", answer }, { stamp: moment });
}

function ending(view, item, steps) {
  const { words, stamp } = view;
  return [el("h2", { class: "lead" }, words.text("after.round_done")), el("div", { class: "answers two" },
    key({ name: "end-round", look: "next", sign: "yes", label: words.text("after.round_end"), stamp, onTap: (moment) => endRound(view, item, "whole", moment) }),
    key({ name: "again", label: words.text("after.round_again"), onTap: () => view.go("after", `${item.id}/${steps[0]}`) }))];
}


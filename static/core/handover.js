/**
 * Make the hand-over to the receiving clinician: facts in SBAR order, from the events alone.
 *
 * Situation, background, assessment, recommendation. A row is {part, id, values}: `part` is
 * "s", "b", "a" or "r", `id` the end of a words id, and a value is one of those that
 * `handover_values` lists. What nobody recorded is a row all the same, with null in it.
 */

import { answered, baby, cup, mother, unborn } from "./handover_findings.js";
import { beside, chosen, clock, number, quantity, rowsOf, text, together, word } from "./handover_values.js";
import { measures, nowInCase, usedCup } from "./measures.js";
import { MINUTE_MS, watch } from "./newborn.js";
import { due } from "./schedule.js";

const BACKGROUND = [
  "reason", "first_birth", "weeks", "waters", "big_baby", "baby_bleeds", "blood_virus",
  "scalp_needles", "pain",
];

/** Give the rows of the hand-over of a folded case at a stamp {at, boot, tick}. */
export function handover(theCase, protocol, now) {
  const isWatched = theCase.baby_born !== null && usedCup(theCase);
  const watched = isWatched ? watch(theCase, protocol, now) : null;
  const found = cup(theCase, measures(theCase, now));
  const parts = {
    s: situationRows(theCase, now, watched),
    b: background(theCase),
    a: [...found, ...unborn(theCase), ...mother(theCase), ...baby(theCase)],
    r: recommendation(theCase, protocol, now, watched),
  };
  return Object.entries(parts).flatMap(([part, rows]) => rows.map(([id, values]) => ({ part, id, values })));
}

/** Name how things stand: the end of a words id. */
export function situation(theCase, tier) {
  if (theCase.baby_born) {
    if (tier === 3) return "suspected";
    if (!usedCup(theCase)) return "born";
    return theCase.stopped ? "born_stopped" : "born_cup";
  }
  if (theCase.stopped) return "stopped";
  if (usedCup(theCase)) return "cup_on";
  return theCase.decision?.decision === "refer" ? "not_started" : "before";
}

function situationRows(theCase, now, watched) {
  const name = situation(theCase, watched ? watched.tier : null);
  const { ms: nowMs } = nowInCase(theCase, now);
  const found = [
    [`state.${name}`, {}],
    ["who", { bed: text(theCase.label), post: text(theCase.post) }],
    ["told_at", { time: clock(now.at) }],
  ];
  const { stopped, baby_born: born } = theCase;
  if (stopped) found.push(["stopped", { ...since(stopped, nowMs), why: chosen("why_stopped", stopped.why) }]);
  if (born) found.push(["born", since(born, nowMs)]);
  if (watched) {
    const rows = watched.reasons.map((reason) => reason.row);
    const whys = rows.length ? rows.map((row) => word(`newborn.row.${row}`, row)) : [word("handover.why.every")];
    found.push(["tier", { tier: number(watched.tier), whys: together(whys) }]);
    if (watched.lowered) found.push(["lowered", { who: chosen("role", watched.lowered.by) }]);
  }
  return [...found, [`need.${need(name)}`, {}]];
}

function since(moment, nowMs) {
  return { time: clock(moment.at), ago: { span: Math.floor(Math.max(nowMs - moment.ms, 0) / MINUTE_MS) } };
}

function need(name) {
  if (name === "suspected") return "baby";
  return name.startsWith("born") ? "watch" : "birth";
}

function background(theCase) {
  const allergy = rowsOf(theCase, "mother_observed").map((row) => row.facts)
    .findLast((facts) => facts.what === "antibiotic_allergy");
  return [
    ...BACKGROUND.map((item) => ["answer", answered(theCase, item)]),
    ["allergy", { allergy: chosen("after.allergy", allergy?.answer ?? null) }],
    ["labour", { times: null }],
    ["blood_group", { group: null }],
  ];
}

function recommendation(theCase, protocol, now, watched) {
  const name = situation(theCase, watched ? watched.tier : null);
  const last = (kind) => rowsOf(theCase, kind).slice(-1);
  return [
    ...given(theCase),
    ...plan(theCase),
    ...theCase.calls.map((one) => ["called", call(one)]),
    ...last("newborn_team_told").map((row) => ["team", { time: clock(row.at) }]),
    ...last("transfer_left").map((row) => ["left", journey(row)]),
    ...last("transfer_arrived").map((row) => ["arrived", journey(row)]),
    ...nextRounds(theCase, protocol, now),
    ...ready(theCase),
    ...asks(theCase, protocol, name),
    ["send", {}],
  ];
}

function given(theCase) {
  const rows = rowsOf(theCase, "medicine_given");
  if (!rows.length) return [["not_given", { medicines: null }]];
  return rows.map((row) => ["given", medicine(row)]);
}

function medicine({ facts, at }) {
  return { medicine: chosen("after", facts.medicine ?? null), dose: doseOf(facts), time: clock(at) };
}

function doseOf({ dose = null, unit = null, route = null }) {
  const amount = dose !== null && unit !== null ? { dose, unit } : null;
  const way = chosen("after.route", route);
  return amount || way ? beside(amount, way) : null;
}

function plan({ plan: agreed, baby_born: born }) {
  if (agreed === null) return born ? [] : [["plan", { next: null }]];
  const told = [chosen("stop.next", agreed.next), text(agreed.place)];
  const minutes = agreed.minutes === null ? null : { span: agreed.minutes };
  return [["plan", { next: together(told.filter(Boolean)) }], ["way", { minutes }]];
}

function call({ what, who, at }) {
  return { what: chosen("handover.called", what), who: chosen("role", who), time: clock(at) };
}

function journey({ facts, at }) {
  return { place: text(facts.place ?? ""), who: chosen("role", facts.who ?? null), time: clock(at) };
}

function nextRounds(theCase, protocol, now) {
  const { baby_born: born } = theCase;
  const open = due(theCase, protocol, now);
  return ["mother", "baby"].flatMap((lane) => open.filter((item) => item.id === `${lane}_round`)
    .map((item) => [`next.${lane}`, { time: clock(born.at + item.due_ms - born.ms) }]));
}

/** What was made ready for the way. */
function ready(theCase) {
  const told = rowsOf(theCase, "baby_observed").filter(({ facts }) => facts.what === "travel").map(({ facts }) => facts.answer ?? null);
  const items = [...new Set(told)].filter((answer) => answer !== null).map((answer) => chosen("baby.travel", answer));
  return items.length ? [["ready", { items: together(items) }]] : [];
}

/** What is asked of those who take over, line by line. */
function asks(theCase, protocol, name) {
  if (name === "suspected") {
    const every = quantity(protocol.rounds.flagged.first_every, "min");
    return [["ask.look_often", { every }], ...lines("blood", "vitamin_k", "warm", "no_tight")];
  }
  if (name.startsWith("born")) return usedCup(theCase) ? lines("scalp", "flags", "bleeding") : lines("flags", "bleeding");
  return usedCup(theCase) ? lines("second", "listen", "scalp_later") : lines("listen");
}

function lines(...names) {
  return names.map((name) => [`ask.${name}`, {}]);
}

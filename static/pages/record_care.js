/**
 * The parts of a record that tell of the hours after: how it ended, the mother, the baby.
 *
 * What nobody told is drawn as a gap, never left out and never a no.
 */

import { PARTS, apgarScore } from "../core/apgar.js";
import { lostMl } from "../core/bleeding.js";
import { watch } from "../core/newborn.js";
import { roundsOf } from "../core/schedule.js";
import { time } from "../language.js";
import { el, say, value } from "../ui/dom.js";
import { foundText, observedText, wordsId } from "../ui/observed_words.js";
import { allOf, standing, toldOf } from "./after_items.js";
import { reasonText } from "./after_tier.js";
import { lastOf } from "./record_facts.js";
import { part } from "./record_parts.js";
import { amountText, detailText, fact, gap, told } from "./record_words.js";

const APGAR_MINUTES = [1, 5, 10];
const MOST_POINTS = 10;
const MINUTE_MS = 60000;
const COUNTS = ["swabs_before", "needles_before", "swabs_after", "needles_after"];
// What a round sees again and again: the last of each is told.
const BABY_ONCE = ["breathing_help", "weight", "cup_mark", "scalp_kind", "crosses", "scalp", "swelling", "ear", "worry"];
const PLACES = { handover_given: true, transfer_arrived: true };

/** How the vacuum ended, and who was told. */
export function ending({ words, theCase }) {
  const { stopped, transfer_left: left, transfer_arrived: arrived, baby_born: born, head_born: head } = theCase;
  const name = (id) => words.text(`kind.${id}`);
  return part(words, "end", el("dl", { class: "facts-of" },
    stopped ? fact(words, name("vacuum_stopped"), [value(time(stopped.at)), words.comma(), told(words, `why_stopped.${stopped.why}`)]) : null,
    theCase.calls.map((call) => fact(words, name("help_called"), whoText(words, { at: call.at, kind: "help_called", facts: call }, theCase))),
    left ? fact(words, name("transfer_left"), value(time(left.at))) : null,
    left ? fact(words, name("transfer_arrived"), arrived && value(time(arrived.at))) : null,
    born ? fact(words, name("head_born"), head && value(time(head.at))) : null,
    fact(words, name("baby_born"), born && [value(time(born.at)), words.comma(), born.sex ? words.text(`after.${born.sex}`) : gap(words)]),
    rowsOf(theCase, "episiotomy_done").map((row) => fact(words, name(row.kind), value(time(row.at)))),
    [...rowsOf(theCase, "handover_given"), ...rowsOf(theCase, "note_added")].map((row) => fact(words, name(row.kind), whoText(words, row, theCase)))));
}

function rowsOf(theCase, kind) {
  return standing(theCase).filter((row) => row.kind === kind);
}

function whoText(words, row, theCase) {
  const { who, place } = row.facts;
  const more = PLACES[row.kind] ? words.listed([who && told(words, `role.${who}`), place]) : detailText(words, row, theCase);
  return [value(time(row.at)), more ? words.comma() : "", more ? value(more) : null];
}

/** The mother after the birth. */
export function mother(told_) {
  const { words, theCase } = told_;
  if (theCase.baby_born === null) return null;
  const seen = (what) => seenFact(told_, "mother", what);
  const placenta = lastOf(theCase, "placenta_delivered");
  const tear = lastOf(theCase, "tear_graded");
  return part(words, "mother", el("dl", { class: "facts-of" },
    medicine(told_, "after.oxytocin", ["oxytocin"]),
    fact(words, words.text("kind.placenta_delivered"), placenta && [words.text(`after.placenta.${placenta.facts.complete}`), words.comma(), value(time(placenta.at))]),
    fact(words, words.text("kind.blood_loss_measured"), bloodText(words, theCase)),
    seen("tone"), seen("bleeding"),
    fact(words, words.text("kind.tear_graded"), tear && [tear.facts.grade === "unsure" ? words.text("app.not_sure") : words.text(`mother.tear.${tear.facts.grade}`), words.comma(), value(time(tear.at))]),
    seen("rectal_exam"), COUNTS.map(seen),
    medicine(told_, "after.antibiotic", ["antibiotic", "other_antibiotic"]),
    fact(words, words.text("after.void"), listed(words, theCase, "mother", "void")),
    seen("pain_relief"),
    fact(words, words.text("mother.name.explained"), listed(words, theCase, "mother", "explained")),
    fact(words, words.text("record.rounds"), rounds(told_, "mother"))));
}

/** The baby after the birth. */
export function baby(told_) {
  const { words, theCase } = told_;
  if (theCase.baby_born === null) return null;
  const team = lastOf(theCase, "newborn_team_told");
  return part(words, "baby", el("dl", { class: "facts-of" },
    APGAR_MINUTES.map((minute) => fact(words, words.text("after.apgar", { n: words.quantity(minute, "min") }), apgarText(words, lastOf(theCase, "apgar_scored", (facts) => facts.minute === minute)))),
    medicine(told_, "after.vitamin_k", ["vitamin_k"]),
    fact(words, words.text("after.told_plain"), team && whoText(words, { ...team, kind: "handover_given" }, theCase)),
    BABY_ONCE.map((what) => seenFact(told_, "baby", what)),
    fact(words, words.text("baby.name.head"), listed(words, theCase, "baby", "head")),
    fact(words, words.text("record.tier"), tierText(told_)),
    fact(words, words.text("record.rounds"), rounds(told_, "baby"))));
}

function seenFact({ words, theCase }, lane, what) {
  const row = toldOf(theCase, lane, what);
  const name = wordsId(lane, "name", what);
  return fact(words, words.text(name), row && [foundText(words, lane, row.facts), words.comma(), value(time(row.at))]);
}

/** Everything told of one thing, each with its time. */
function listed(words, theCase, lane, what) {
  const rows = allOf(theCase, lane, what);
  return rows.length ? rows.flatMap((row, index) => [index ? words.semicolon() : "", value(time(row.at)), " ", foundText(words, lane, row.facts)]) : null;
}

function medicine({ words, theCase }, label, names) {
  const row = lastOf(theCase, "medicine_given", (facts) => names.includes(facts.medicine));
  if (!row) return fact(words, words.text(label), null);
  const minutes = Math.floor((row.ms - theCase.baby_born.ms) / MINUTE_MS);
  const what = row.facts.medicine === "other_antibiotic" ? words.text("after.other_antibiotic") : amountText(words, row.facts);
  return fact(words, words.text(label), [words.listed([what, row.facts.allergy ? told(words, `after.allergy.${row.facts.allergy}`) : ""]), words.comma(), value(time(row.at)),
    minutes < 0 ? null : [words.comma(), say(words, "after.minutes_after", { n: words.span(minutes) })]]);
}

function bloodText(words, theCase) {
  const lost = lostMl(theCase);
  if (lost === null) return null;
  const hows = [...new Set(rowsOf(theCase, "blood_loss_measured").map(({ facts }) => facts.how).filter(Boolean))];
  return [value(words.quantity(lost, "ml")), hows.map((how) => [words.comma(), words.text(`mother.blood.${how}`)])];
}

function apgarText(words, row) {
  const points = row && apgarScore(row.facts);
  if (points === null) return null;
  const parts = PARTS.filter((name) => row.facts[name] !== undefined).map((name) => `${words.text(`after.part.${name}`)} ${row.facts[name]}`);
  return [say(words, "after.apgar_score", { n: points, all: MOST_POINTS }), parts.length ? [el("small", {}, " (", words.listed(parts), ")")] : null];
}

/** How closely the baby was watched at the end of the entries, and why. */
function tierText({ words, theCase, protocol }) {
  if (!protocol || !theCase.clock) return null;
  const { tier, reasons, lowered } = watch(theCase, protocol, theCase.clock);
  return [value(String(tier)), reasons.length ? [": ", words.listed(reasons.map(({ row }) => reasonText(words, protocol, row)), "app.list_of_lists")] : null,
    lowered ? [words.comma(), words.text("kind.tier_lowered"), words.comma(), told(words, `role.${lowered.by}`)] : null];
}

/** How many rounds that fell due were kept, and at which minutes none was. */
function rounds({ words, theCase, protocol }, lane) {
  if (!protocol || !theCase.clock) return null;
  const due = roundsOf(theCase, protocol, theCase.clock, lane).filter((slot) => slot.due_ms <= theCase.clock.ms);
  if (!due.length) return words.text("record.rounds_none");
  const missed = due.filter((slot) => slot.done_ms === null);
  const kept = say(words, "record.rounds_kept", { n: due.length - missed.length, all: due.length });
  return missed.length ? [kept, words.semicolon(), say(words, "record.rounds_missed", { list: words.listed(missed.map((slot) => words.span(slot.minute))) })] : kept;
}

/** What no screen asks, to be written by a pen: lines with their names, on paper alone. */
export function byHand(words) {
  const lines = ["parity", "second_stage", "pushing", "dystocia", "episiotomy", "repair", "cord_gas", "clots", "next_birth"];
  return el("section", { class: "part by-hand", data: { part: "hand" } }, el("h2", { class: "lead" }, words.text("record.part.hand")),
    el("div", { class: "hand-lines" }, lines.map((id) => el("p", {}, el("span", {}, words.text(`record.hand.${id}`)), el("span", { class: "line-to-write" })))));
}

/** Say an observation as one of a run of them. */
export function seenText(words, row) {
  return observedText(words, row.kind === "baby_observed" ? "baby" : "mother", row.facts);
}

/**
 * The parts of a record that tell of the end: advice, care, gaps, doubts, entries, signature.
 */

import { apgarScore } from "../core/apgar.js";
import { time } from "../language.js";
import { el, say, value } from "../ui/dom.js";
import { eventText } from "../ui/event_words.js";
import { icon } from "../ui/icons.js";
import { lostMl } from "../core/bleeding.js";
import { cupOff, gaps, lastOf } from "./record_facts.js";
import { part } from "./record_parts.js";
import { amountText, detailText, fact, fromZero, gap, readingText, told } from "./record_words.js";

const APGAR_MINUTES = [1, 5, 10];
const MOST_POINTS = 10;
const LEVELS = { caution: "caution", stop: "stop", unknown: "unsure" };

/** What was advised, and what was chosen. */
export function advice({ words, theCase, zero }) {
  const rows = theCase.timeline.filter((row) => !row.void && row.kind === "advice_shown");
  return part(words, "advice", rows.length ? el("ul", { class: "advised" }, rows.map((row) => el("li", {}, icon(LEVELS[row.facts.level] ?? "unsure"),
    el("p", {}, value(fromZero(row.ms - zero)), " ", el("b", {}, told(words, `level.${row.facts.level}`)), " ", adviceText(words, theCase, row), " ", choiceText(words, theCase, row)))))
    : el("p", {}, words.text("record.none")));
}

function adviceText(words, theCase, { ms, facts }) {
  if (!words.has(facts.message)) return facts.limit;
  const set = theCase.suctions.findLast((one) => one.ms <= ms);
  const reading = set?.reading && set.unit ? words.reading(set.unit, set.reading) : words.text("app.not_recorded");
  return say(words, facts.message, { n: facts.value ?? "?", value: reading });
}

/** Only a stop asks for a choice; a caution is not answered. */
function choiceText(words, theCase, { ms, facts }) {
  const answered = theCase.advice.find((item) => item.ms === ms && item.limit === facts.limit && item.level === facts.level && item.choice !== null);
  if (answered) return el("b", { class: "chosen" }, words.text(`advice_choice.${answered.choice}`));
  return facts.level === "stop" ? gap(words) : null;
}

/** How the vacuum ended, and the care after it. */
export function care(told_) {
  const { words, theCase } = told_;
  const { stopped, transfer_left: left, baby_born: born, head_born: head } = theCase;
  const isBorn = born !== null;
  return part(words, "care", el("dl", { class: "facts-of" },
    stopped ? fact(words, words.text("kind.vacuum_stopped"), [value(time(stopped.at)), ", ", told(words, `why_stopped.${stopped.why}`)]) : null,
    left ? fact(words, words.text("kind.transfer_left"), value(time(left.at))) : null,
    theCase.calls.map((call) => fact(words, words.text("kind.help_called"), [value(time(call.at)), call.who ? `, ${told(words, `role.${call.who}`)}` : ""])),
    isBorn ? fact(words, words.text("kind.head_born"), head && value(time(head.at))) : null,
    fact(words, words.text("kind.baby_born"), isBorn ? [value(time(born.at)), born.sex && born.sex !== "unsure" ? `, ${words.text(`after.${born.sex}`)}` : ", ", born.sex ? null : gap(words)] : null),
    isBorn ? afterFacts(told_) : null, ...others(told_)));
}

function afterFacts({ words, theCase }) {
  const given = (names) => lastOf(theCase, "medicine_given", (facts) => names.includes(facts.medicine));
  const at = (row, text) => row && [text ? [text, ", "] : null, value(time(row.at))];
  const medicine = (label, names) => {
    const row = given(names);
    return fact(words, words.text(label), at(row, row && [row.facts.medicine === "other_antibiotic" ? words.text("after.other_antibiotic") : amountText(words, row.facts),
      row.facts.allergy ? told(words, `after.allergy.${row.facts.allergy}`) : ""].filter(Boolean).join(", ")));
  };
  const placenta = lastOf(theCase, "placenta_delivered");
  const lost = lostMl(theCase);
  const tear = lastOf(theCase, "tear_graded");
  return [
    APGAR_MINUTES.map((minute) => fact(words, words.text("after.apgar", { n: words.quantity(minute, "min") }), score(words, lastOf(theCase, "apgar_scored", (facts) => facts.minute === minute)))),
    medicine("after.vitamin_k", ["vitamin_k"]),
    fact(words, words.text("after.told_plain"), at(lastOf(theCase, "newborn_team_told"))),
    medicine("after.oxytocin", ["oxytocin"]), medicine("after.antibiotic", ["antibiotic", "other_antibiotic"]),
    fact(words, words.text("kind.placenta_delivered"), at(placenta, placenta && words.text(`after.placenta.${placenta.facts.complete}`))),
    fact(words, words.text("kind.blood_loss_measured"), lost === null ? null : value(words.quantity(lost, "ml"))),
    fact(words, words.text("kind.tear_graded"), tear && (tear.facts.grade === "unsure" ? words.text("app.not_sure") : words.text(`mother.tear.${tear.facts.grade}`))),
  ];
}

function score(words, row) {
  const points = row && apgarScore(row.facts);
  return points === null ? null : say(words, "after.apgar_score", { n: points, all: MOST_POINTS });
}

/** Care of kinds that have no line of their own. */
function others({ words, theCase }) {
  return ["episiotomy_done", "handover_given", "note_added"].flatMap((kind) => theCase.timeline.filter((row) => !row.void && row.kind === kind))
    .map((row) => fact(words, words.text(`kind.${row.kind}`), [value(time(row.at)), " ", detailText(words, row, theCase)]));
}

/** Everything that nobody told, in one list. */
export function open({ words, theCase, protocol }) {
  const found = gaps(theCase, protocol);
  if (!found.length) return null;
  return part(words, "open", el("ul", { class: "run" }, found.map((one) => el("li", {}, gapText(words, one), ": ", gap(words)))));
}

function gapText(words, { id, n, question }) {
  if (id === "question") return told(words, `before.${question}.short`) ?? question;
  if (id === "apgar") return say(words, "after.apgar", { n: words.quantity(n, "min") });
  return say(words, `record.gap.${id}`, n === null ? {} : { n });
}

/** What does not fit together, and how far the clock is to be trusted. */
export function odd({ words, theCase }) {
  const codes = [...new Set(theCase.anomalies.map(({ code }) => code))];
  const count = (code) => theCase.anomalies.filter((one) => one.code === code).length;
  const lines = codes.map((code) => el("li", {}, told(words, `station.anomaly.${code}`) ?? code, count(code) > 1 ? [" ", value(`\u00d7${count(code)}`)] : null));
  if (theCase.clock?.doubts) lines.push(el("li", {}, words.text("record.clock_doubt")));
  if (theCase.restarts) lines.push(el("li", {}, say(words, "record.restarts", { n: theCase.restarts })));
  return lines.length ? part(words, "odd", el("ul", {}, lines)) : null;
}

/** Every entry, in order of time; what was taken back is struck through and said. */
export function entries({ words, theCase, zero, events }) {
  let doubts = 0;
  return part(words, "entries", el("ol", { class: "all-entries" }, theCase.timeline.map((row) => {
    const isDoubted = row.doubts > doubts;
    doubts = Math.max(doubts, row.doubts);
    return entry({ words, theCase, zero, was: row.amended ? events.get(`${row.log}/${row.seq}`) : null }, row, isDoubted);
  })));
}

/** `was` is a changed entry as it was first told, once the lines were read. */
function entry({ words, theCase, zero, was }, row, isDoubted) {
  const marks = [row.void && "log.taken_back", row.amended && "log.amended", row.estimated && "log.estimated", isDoubted && "record.doubt"].filter(Boolean);
  const detail = detailText(words, row, theCase);
  const first = was ? detailText(words, was, theCase) || words.text("record.was_nothing") : detail;
  const inner = [el("b", {}, eventText(words, row, theCase)), detail ? [": ", el("bdi", {}, detail)] : null];
  return el("li", { data: { kind: row.kind, state: row.void ? "withdrawn" : null } },
    value(time(row.at)), " ", value(fromZero(row.ms - zero)), " ", row.void ? el("del", {}, inner) : inner,
    marks.map((mark) => [" ", el("small", {}, words.text(mark))]), first === detail ? null : [" ", el("span", {}, say(words, "record.was", { what: first }))]);
}

/** Where a person signs. */
export function signature(words) {
  return el("section", { class: "signature" }, ["name", "sign", "written"].map((id) => el("p", {}, el("span", { class: "line-to-write" }), el("span", {}, words.text(`record.signature.${id}`)))));
}

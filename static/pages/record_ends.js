/**
 * The parts of a record that stand at its end: advice, gaps, doubts, entries, signatures.
 */

import { time } from "../language.js";
import { adviceText } from "../ui/advice_words.js";
import { el, say, value } from "../ui/dom.js";
import { eventText } from "../ui/event_words.js";
import { icon } from "../ui/icons.js";
import { seenText } from "./record_care.js";
import { gaps } from "./record_facts.js";
import { part } from "./record_parts.js";
import { detailText, fromZero, gap, told } from "./record_words.js";

const TOGETHER = ["check_answered", "baby_observed", "mother_observed"];
// Common practice, no source: what was answered or seen within so long belongs together.
const SOON_MS = 10 * 60000;
const LEVELS = { caution: "caution", stop: "stop", unknown: "unsure" };

/** What was advised, and what was chosen. */
export function advice({ words, theCase, zero, protocol }) {
  const rows = theCase.timeline.filter((row) => !row.void && row.kind === "advice_shown");
  return part(words, "advice", rows.length ? el("ul", { class: "advised" }, rows.map((row) => el("li", {}, icon(LEVELS[row.facts.level] ?? "unsure"),
    el("p", {}, value(fromZero(row.ms - zero)), " ", el("b", {}, told(words, `level.${row.facts.level}`)), " ", adviceText(words, theCase, row), " ", choiceText(words, theCase, protocol, row)))))
    : el("p", {}, words.text("record.none")));
}

/** Only a stop of the vacuum asks for a choice; a caution, or how the baby is watched, is not answered. */
function choiceText(words, theCase, protocol, { ms, facts }) {
  const answered = theCase.advice.find((item) => item.ms === ms && item.limit === facts.limit && item.level === facts.level && item.choice !== null);
  if (answered) return el("b", { class: "chosen" }, words.text(`advice_choice.${answered.choice}`));
  return facts.level === "stop" && protocol?.limits.some(({ id }) => id === facts.limit) ? gap(words) : null;
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
  const rows = theCase.timeline.map((row) => {
    const isDoubted = row.doubts > doubts;
    doubts = Math.max(doubts, row.doubts);
    return { row, isDoubted, was: row.amended ? events.get(`${row.log}/${row.seq}`) ?? null : null };
  });
  return part(words, "entries", el("ol", { class: "all-entries" }, runs(rows).map((run) => (
    run.length > 1 ? together({ words, theCase, zero }, run) : entry({ words, theCase, zero }, run[0])))));
}

/** Answers and looks that came one after the other, with nothing to be said of any, stand in one line. */
function runs(rows) {
  const found = [];
  for (const one of rows) {
    const before = found.at(-1)?.at(-1);
    const isSame = before && one.row.ms - found.at(-1)[0].row.ms < SOON_MS && TOGETHER.includes(one.row.kind) && before.row.kind === one.row.kind && isPlain(before) && isPlain(one);
    if (isSame) found.at(-1).push(one);
    else found.push([one]);
  }
  return found;
}

function isPlain({ row, isDoubted }) {
  return !row.void && !row.amended && !row.estimated && !isDoubted;
}

function together({ words, theCase, zero }, run) {
  const [first, last] = [run[0].row, run.at(-1).row];
  const said = run.map(({ row }) => (row.kind === "check_answered" ? detailText(words, row, theCase) || eventText(words, row, theCase) : seenText(words, row)));
  return el("li", { data: { kind: first.kind } }, value(`${time(first.at)}\u2013${time(last.at)}`), " ", value(fromZero(first.ms - zero)), " ",
    el("b", {}, words.text(`kind.${first.kind}`)), ": ", said.flatMap((text, index) => [index ? words.semicolon() : "", value(text)]));
}

/** `was` is a changed entry as it was first told, once the lines were read. */
function entry({ words, theCase, zero }, { row, isDoubted, was }) {
  const marks = [row.void && "log.taken_back", row.amended && "log.amended", isDoubted && "record.doubt"].filter(Boolean).map((mark) => words.text(mark));
  if (row.estimated) marks.push([words.text("log.estimated"), words.comma(), say(words, "record.told_at", { time: time(row.at + row.ago * 1000) })]);
  const detail = detailText(words, row, theCase);
  const first = was ? detailText(words, was, theCase) || words.text("record.was_nothing") : detail;
  const moved = was && was.ago !== row.ago ? [" ", say(words, "record.was_at", { time: time(was.at - was.ago * 1000) })] : null;
  const inner = [el("b", {}, eventText(words, row, theCase)), detail ? [": ", value(detail)] : null];
  return el("li", { data: { kind: row.kind, state: row.void ? "withdrawn" : null } },
    value(time(row.at)), " ", value(fromZero(row.ms - zero)), " ", row.void ? el("del", {}, inner) : inner,
    marks.map((mark) => [" ", el("small", {}, mark)]), first === detail ? null : [" ", el("span", {}, say(words, "record.was", { what: first }))], moved);
}

/** Where two people sign. */
export function signature(words) {
  return el("section", { class: "signature" }, ["operator", "writer", "written"].map((id) => el("p", {}, el("span", { class: "line-to-write" }), el("span", {}, words.text(`record.signature.${id}`)))));
}

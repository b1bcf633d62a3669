/**
 * The parts of a record that tell of the time before and of the cup: who, why, how.
 */

import { weeksDays } from "../core/gestation.js";
import { usedCup } from "../core/measures.js";
import { dayTime, time } from "../language.js";
import { answerText } from "../ui/answers.js";
import { el, say, value } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { signDrawing, timelineDrawing } from "../ui/timeline.js";
import { isAnswered } from "./before.js";
import { applications, cupOff, detachments, heartCounts, pullsTold } from "./record_facts.js";
import { fact, fromZero, gap, lengthText, readingText, told } from "./record_words.js";

const MINUTE_MS = 60000;
const SIGNS = ["descent", "perineal", "yes", "no", "unsure", "hiss", "caution", "stop"];

/** Draw a part with its heading. */
export function part(words, id, ...children) {
  return el("section", { class: "part", data: { part: id } }, el("h2", { class: "lead" }, words.text(`record.part.${id}`)), children);
}

/** Who and where, and under which protocol. */
export function who({ words, theCase, protocol }) {
  const { label, post, opened_at: opened, altitude_m: altitude, gauge_unit: unit, mode } = theCase;
  return el("dl", { class: "facts-of" },
    fact(words, words.text("before.bed.short"), label ? value(label) : null),
    fact(words, words.text("record.post"), post ? el("bdi", {}, post) : null),
    fact(words, words.text("record.opened"), opened === null ? null : value(dayTime(opened))),
    fact(words, words.text("record.mode"), mode ? told(words, `record.mode.${mode}`) : null),
    fact(words, words.text("record.protocol"), theCase.protocol ? [value(protocol ? protocol.id : "?"), " ", value(theCase.protocol)] : null),
    fact(words, words.text("record.altitude"), altitude === null ? null : value(words.quantity(altitude, "m"))),
    fact(words, words.text("record.gauge_unit"), value(words.quantity("", unit).trim())));
}

/** The reason first, then every answer; what nobody answered is a gap. The plan stands with the decision. */
export function before({ words, theCase, protocol }) {
  const rows = protocol ? protocol.questions.filter((row) => row.form !== "plan" && (!row.optional || isAnswered(row, theCase))) : Object.keys(theCase.answers).map((id) => ({ id, answers: [] }));
  return part(words, "before", el("dl", { class: "facts-of answers-of" }, rows.map((row) => (
    fact(words, told(words, `before.${row.id}.short`) ?? row.id, isAnswered(row, theCase) ? answerOf(words, row, theCase) : null)))));
}

function answerOf(words, row, theCase) {
  const { answer, value: number } = theCase.answers[row.id];
  if (answer === "value" && number !== null) return row.form === "weeks" ? weeksText(words, number) : value(words.quantity(number, "bpm"));
  const { text, isUnsure } = answerText(words, row, theCase);
  return isUnsure ? [icon("unsure"), text] : text;
}

function weeksText(words, days) {
  const [w, d] = weeksDays(days);
  return say(words, "before.weeks_days", { w, d });
}

/** The verdict as it stood, who decided, and the way out that was agreed. */
export function decision({ words, theCase }) {
  const { decision: made, plan } = theCase;
  return part(words, "decision", el("dl", { class: "facts-of" },
    fact(words, words.text("record.verdict"), made && told(words, `before.verdict.${made.verdict}`)),
    fact(words, words.text("kind.decision_made"), made && told(words, `decision.${made.decision}`)),
    fact(words, words.text("record.role"), made?.role && told(words, `role.${made.role}`)),
    made?.override ? fact(words, words.text("record.override"), told(words, `before.why.${made.reason}`) ?? (made.reason || null)) : null,
    fact(words, words.text("before.plan.short"), plan && [words.listed([told(words, `stop.next.${plan.next}`) ?? plan.next, plan.place])]),
    plan ? fact(words, words.text("record.plan_minutes"), plan.minutes === null ? null : value(words.span(plan.minutes))) : null,
    plan ? fact(words, words.text("record.plan_who"), plan.who && told(words, `role.${plan.who}`)) : null));
}

/** The drawing of the cup and the pulls, with its signs. It runs from left to right in every language, so a page of the other direction would open it at its end. */
export function drawing({ words, theCase, zero, measured }) {
  if (!theCase.applications.length && !theCase.pulls.length && !theCase.suctions.length) return null;
  const summary = words.text("record.drawing", {
    minutes: Math.floor(measured.cup_ms / MINUTE_MS), pulls: measured.pulls, off: measured.detachments,
  });
  return part(words, "course", el("figure", { class: "course", dir: "ltr", tabindex: 0, role: "group", "aria-label": words.text("record.part.course") },
    timelineDrawing(words, theCase, { zero, pulls: pullsTold(theCase), summary }),
  ), el("ul", { class: "signs" }, SIGNS.map((name) => el("li", {}, signDrawing(name), el("span", {}, words.text(`record.sign.${name}`))))));
}

/** Counts and minutes in all. */
export function totals({ words, theCase, measured }) {
  const off = cupOff(theCase);
  const minutes = [lengthText(words, measured.cup_ms), untilLast(words, measured.cup_running),
    measured.cup_estimated ? [words.comma(), words.text("log.estimated")] : null,
    measured.clock_doubt ? [words.comma(), ...say(words, "record.at_least", { least: words.quantity(Math.floor(measured.cup_floor_ms / MINUTE_MS), "min") })] : null];
  const isUsed = usedCup(theCase);
  const number = (count) => value(String(count));
  return part(words, "totals", el("dl", { class: "facts-of" },
    fact(words, words.text("record.descent_pulls"), number(measured.descent_pulls)),
    fact(words, words.text("record.perineal_pulls"), number(measured.perineal_pulls)),
    fact(words, words.text("record.detachments"), number(measured.detachments)),
    isUsed ? fact(words, words.text("record.cup_minutes"), minutes) : null,
    isUsed ? fact(words, words.text("record.traction"), theCase.pulls.length ? [lengthText(words, measured.traction_ms), untilLast(words, measured.pull_open)] : number(0)) : null,
    isUsed ? fact(words, words.text("record.cup_off"), off && value(time(off.at))) : null));
}

function untilLast(words, isRunning) {
  return isRunning ? [words.comma(), words.text("record.until_last")] : null;
}

/** Each time the cup went on, and each time it came off. */
export function cups({ words, theCase, zero }) {
  const rows = applications(theCase).map((one) => [
    value(String(one.number)), value(fromZero(one.row.ms - zero)), cupText(words, one.row.facts),
    one.row.facts.placement === undefined ? null : one.row.facts.placement === "unsure" ? words.text("app.not_sure") : told(words, `cup.placement.${one.row.facts.placement}`),
    readingText(words, one.first), sweptText(words, one.afterFirst), readingText(words, one.working), sweptText(words, one.afterWorking)]);
  const offs = detachments(theCase).map(({ row, scalp, next }, index) => [
    value(String(index + 1)), value(fromZero(row.ms - zero)), scalp && scalpText(words, scalp.facts), scalp && value(fromZero(scalp.ms - zero)), next && words.text(`kind.${next.kind}`)]);
  if (!rows.length && !offs.length) return null;
  return part(words, "cup",
    rows.length ? table(words, ["number", "from_zero", "cup", "placement", "first", "rim", "working", "rim"], rows) : null,
    offs.length ? table(words, ["off", "from_zero", "scalp", "scalp_at", "next"], offs) : null);
}

function cupText(words, { cup, mm }) {
  return [told(words, `cup.kind.${cup}`) ?? words.text("app.not_sure"), mm ? [words.comma(), value(words.quantity(mm, "mm"))] : null];
}

function sweptText(words, row) {
  return row && words.text({ yes: "cup.clear", no: "cup.unclear" }[row.facts.clear] ?? "app.not_sure");
}

function scalpText(words, { finding }) {
  return told(words, `pull.scalp.${finding}`) ?? words.text("app.not_sure");
}

/** Each pull: its kind, when, how long, with what suction, and whether the head came down. */
export function pulls({ words, theCase, zero }) {
  const rows = pullsTold(theCase).map((pull) => [
    value(words.text("record.pull_mark", { n: pull.number, letter: words.text(`record.letter.${pull.phase}`) })),
    words.text(`record.sign.${pull.phase}`), pull.at === null ? null : value(time(pull.at)), value(fromZero(pull.began_ms - zero)),
    pull.end_known ? lengthText(words, pull.pieces.reduce((sum, piece) => sum + piece.ended_ms - piece.began_ms, 0)) : null,
    readingText(words, pull.set), pull.end && words.text(`record.end.${pull.end}`), pull.heart && heartText(words, pull.heart.facts)]);
  return rows.length ? part(words, "pulls", table(words, ["pull", "kind", "clock", "from_zero", "lasted", "suction", "down", "heart"], rows)) : null;
}

/** The fetal heart as counted, with the moment. */
export function heart({ words, theCase, zero }) {
  const counts = heartCounts(theCase).map((row) => el("li", {}, value(fromZero(row.ms - zero)), " ", el("b", {}, heartText(words, row.facts))));
  return part(words, "heart", counts.length ? el("ul", { class: "run" }, counts) : gap(words));
}

function heartText(words, { bpm, heard, answer, value: counted }) {
  const number = bpm ?? (answer === "value" ? counted : undefined);
  if (number !== undefined) return value(words.quantity(number, "bpm"));
  return words.text(heard === "no" || answer === "not_heard" ? "pull.not_heard" : "app.not_sure");
}

/** Draw a table whose cells name their column, so that it can fold on a narrow screen. */
export function table(words, columns, rows) {
  const names = columns.map((id) => words.text(`record.column.${id}`));
  return el("table", {}, el("thead", {}, el("tr", {}, names.map((name) => el("th", { scope: "col" }, name)))),
    el("tbody", {}, rows.map((cells) => el("tr", {}, cells.map((cell, index) => el("td", { data: { column: names[index] } }, el("span", {}, cell ?? gap(words))))))));
}

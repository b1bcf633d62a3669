/**
 * Say one event in words, for undo, the list of entries and the record.
 */

import { apgarScore } from "../core/apgar.js";
import { gestationText } from "./gestation_words.js";
import { observedText } from "./observed_words.js";

// A step that is only read and done is kept as an answer to it.
const STEP = "step_";
const CUP = ["cup_kind", "cup_mm"];

/** Say what happened: "Pull 2 began". `theCase` gives the number of a pull. */
export function eventText(words, row, theCase) {
  const id = `kind.${row.kind}`;
  if (!words.has(id)) return words.text("kind.unknown", { kind: row.kind });
  return words.text(id, { n: pullNumber(row, theCase) });
}

/** Say the facts that belong to it: "20 kPa", or "". */
export function eventDetail(words, row) {
  const say = DETAILS[row.kind];
  return say ? say(words, row.facts) ?? "" : "";
}

function pullNumber(row, theCase) {
  const { log, seq } = row;
  const begun = theCase.timeline.filter((one) => one.kind === "pull_began" && !one.void);
  const at = begun.findIndex((one) => one.log === log && one.seq === seq);
  if (at < 0) return Math.max(1, theCase.pulls.length);
  const { ms } = begun[at];
  const pull = theCase.pulls.find((one) => one.pieces.some((piece) => piece.began_ms === ms));
  return pull?.number ?? theCase.pulls.length;
}

function choice(prefix, name) {
  return (words, facts) => {
    const id = `${prefix}.${facts[name]}`;
    return words.has(id) ? words.text(id) : String(facts[name] ?? "");
  };
}

const threeWays = (name) => (words, facts) => words.text({ yes: "app.yes", no: "app.no" }[facts[name]] ?? "app.not_sure");

const DETAILS = {
  check_answered: (words, facts) => [short(words, facts), answer(words, facts)].filter(Boolean).join(": "),
  plan_agreed: (words, facts) => words.listed([choice("stop.next", "next")(words, facts), facts.place]),
  decision_made: choice("decision", "decision"),
  help_called: (words, facts) => words.listed([choice("help", "what")(words, facts), choice("role", "who")(words, facts)]),
  cup_applied: (words, facts) => words.listed([choice("cup.kind", "cup")(words, facts), facts.mm && words.quantity(facts.mm, "mm"),
    facts.placement && choice("cup.placement", "placement")(words, facts)]),
  suction_set: (words, facts) => (facts.reading === undefined ? choice("stage", "stage")(words, facts)
    : `${choice("stage", "stage")(words, facts)}: ${words.reading(facts.unit, facts.reading)}`),
  rim_swept: (words, facts) => words.text({ yes: "cup.clear", no: "cup.unclear" }[facts.clear] ?? "app.not_sure"),
  descent_judged: threeWays("descent"),
  scalp_checked: (words, facts) => (facts.finding === "unsure" ? words.text("app.not_sure") : choice("pull.scalp", "finding")(words, facts)),
  fetal_heart_counted: (words, facts) => (facts.bpm === undefined
    ? words.text(facts.heard === "no" ? "pull.not_heard" : "app.not_sure") : words.quantity(facts.bpm, "bpm")),
  vacuum_stopped: choice("why_stopped", "why"),
  apgar_scored: (words, facts) => `${words.quantity(facts.minute, "min")}: ${apgarScore(facts) ?? "–"}`,
  medicine_given: choice("after", "medicine"),
  baby_observed: (words, facts) => observedText(words, "baby", facts),
  mother_observed: (words, facts) => observedText(words, "mother", facts),
  blood_loss_measured: (words, { ml }) => (ml === undefined ? "" : words.quantity(ml, "ml")),
  tear_graded: choice("mother.tear", "grade"),
  baby_born: (words, facts) => (facts.sex && facts.sex !== "unsure" ? choice("after", "sex")(words, facts) : ""),
  note_added: (words, facts) => facts.text,
  remark_answered: (words, facts) => facts.text,
  advice_shown: (words, facts) => (words.has(facts.message) ? words.text(facts.message, { n: facts.value ?? 0, value: "" }) : facts.limit),
  advice_answered: choice("advice_choice", "choice"),
  case_closed: choice("why_closed", "why"),
};

/** Name what was asked; of a newer version by its id. The choice of a cup says itself what it is. */
function short(words, { item }) {
  if (CUP.includes(item)) return "";
  const [id, name] = item.startsWith(STEP) ? [`cup.step.${item.slice(STEP.length)}`, item.slice(STEP.length)] : [`before.${item}.short`, item];
  return words.has(id) ? words.text(id) : name;
}

function answer(words, { item, answer: given, value }) {
  if (item === "cup_kind" && given !== "unsure") return choice("cup.kind", "answer")(words, { answer: given });
  if (item === "cup_mm" && value !== undefined) return words.quantity(value, "mm");
  if (item === "weeks" && value !== undefined) return gestationText(words, value);
  if (item === "fetal_heart" && value !== undefined) return words.quantity(value, "bpm");
  const id = item.startsWith(STEP) ? `cup.${given}` : `before.${item}.${given}`;
  if (given === "value") return value === undefined ? "" : String(value);
  if (given === "unsure") return words.text("app.not_sure");
  return words.has(id) ? words.text(id) : given ?? "";
}

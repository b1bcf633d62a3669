/**
 * The questions of the wall card, each with what every answer leads to.
 */

import { el, value } from "../ui/dom.js";
import { gestationText } from "../ui/gestation_words.js";
import { icon } from "../ui/icons.js";

const VERDICTS = ["go", "ask", "not_yet", "refer"];
const SIGNS = { go: "yes", ask: "caution", not_yet: "clock", refer: "stop" };

/** Draw the questions in the order in which they are asked. */
export function beforePart(view) {
  const { words, protocol } = view;
  const rows = protocol.questions.filter((row) => !row.optional);
  return el("section", { class: "card-before" }, el("h2", {}, words.text("card.before")),
    el("ul", { class: "card-legend" }, VERDICTS.map((verdict) => el("li", {}, icon(SIGNS[verdict]), el("span", {}, words.text(`before.verdict.${verdict}`)))),
      el("li", {}, icon("unsure"), el("span", {}, words.text("card.unsure")))),
    el("ol", { class: "card-questions" }, rows.map((row) => question(words, row)), protocol.together.map((row) => together(words, row))));
}

function question(words, row) {
  const led = VERDICTS.map((verdict) => [verdict, leading(words, row, verdict)]).filter(([, texts]) => texts.length);
  return el("li", {}, box(), el("b", {}, words.text(`before.${row.id}.short`)), " ",
    led.map(([verdict, texts]) => [glued(icon(SIGNS[verdict]), texts.join(" / ")), " "]));
}

/** A sign stays with the first word of what it stands for. */
function glued(sign, text) {
  const [first, ...rest] = text.split(" ");
  return [el("span", { class: "glued" }, sign, first), rest.length ? ` ${rest.join(" ")}` : null];
}

/** Name the answers of a question that lead to a verdict. */
function leading(words, row, verdict) {
  const choices = [...row.answers, ...row.places ?? []].filter((choice) => choice.verdict === verdict)
    .map(({ id }) => (words.has(`before.${row.id}.${id}`) ? words.text(`before.${row.id}.${id}`) : id));
  return [...bands(words, row, verdict), ...choices];
}

function bands(words, row, verdict) {
  if (!row.bands) return [];
  if (row.form === "bpm") return verdict === "go" ? [usual(words, row.bands)] : [];
  return row.bands.flatMap((band, index) => {
    if (band.verdict !== verdict) return [];
    if (band.below !== undefined) return [words.text("card.below", { n: gestationText(words, band.below) })];
    return [words.text("card.from", { n: gestationText(words, row.bands[index - 1].below) })];
  });
}

function usual(words, told) {
  return words.text("app.quantity_range", words.ends(told[0].below, told[1].below - 1, "bpm"));
}

/** Answers that only together speak against a start. */
function together(words, row) {
  return el("li", {}, box(), el("span", {}, glued(icon(SIGNS[row.verdict]), words.text(`before.${row.id}.far.why`)), " ",
    row.plan_minutes_above === undefined ? null : ["(", value(`> ${words.quantity(row.plan_minutes_above, "min")}`), ")"]));
}

function box() {
  return el("span", { class: "box" });
}

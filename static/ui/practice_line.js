/**
 * The line of a practice birth: what is told, what one finds, and the way out.
 *
 * It stands above the usual screens, so that trainee and assistant use the very same ones.
 */

import { isOfACase, isOfDesk } from "../about.js";
import { scriptOf, toldRows } from "../core/practice.js";
import { answerText } from "./answers.js";
import { el, say } from "./dom.js";
import { holdKey } from "./hold.js";

/** Give the line with the word for it, or null where none belongs; `shown` is the page's node. */
export function practiceLine(view, shown) {
  const { words } = view;
  if (!hasLine(view)) return null;
  const found = finding(view, shown);
  return el("section", { class: "practice-line", data: { plays: playing(view) ? "" : null } },
    el("p", { class: "word" }, words.text(playing(view) ? "home.practice" : "app.practice")),
    playing(view) ? el("p", { class: "telling", role: "status", "aria-live": "polite", data: { told: told(view) } }, told(view)) : null,
    found ? el("p", { class: "find" }, say(words, "practice.you_find", { what: found })) : null,
    holdKey({
      name: "end-practice", label: words.text("practice.end"), again: words.text("app.press_again"), look: "",
      onDone: () => view.closeCase("other"),
    }));
}

/** Tell whether a case is played as practice. In the demonstration every case is practice, and what is told there is played all the same. */
export function isPlayed(theCase, isDemo) {
  return theCase?.mode === "practice" && (!isDemo || scriptOf(theCase) !== null);
}

/** Tell whether the line, which says that this is practice, stands on the screen. */
export function hasLine({ theCase, name, arg, isDemo, isWriter }) {
  return isWriter && isPlayed(theCase, isDemo) && !theCase.closed && !isOfACase(name) && isOfDesk(name, arg, theCase);
}

/** Let what is told go on; nothing else of the screen is drawn anew for it. */
export function runPractice(root, view) {
  const line = root.querySelector(".practice-line .telling");
  if (!line) return;
  const now = told(view);
  // A line that is marked says more than what is told, so what stands there is no measure.
  if (line.dataset.told === now) return;
  line.dataset.told = now;
  line.textContent = now;
}

function playing({ theCase }) {
  return theCase ? scriptOf(theCase) : null;
}

function told(view) {
  const { words, theCase, measured, scripts } = view;
  const { id, pace } = playing(view);
  const script = scripts.get(id);
  if (script === null) return scripts.isRead() ? words.text("practice.gone") : "";
  const last = toldRows(script, theCase, measured.now_ms, pace).at(-1);
  return last ? words.text(last.say) : "";
}

/** Say what is so in the told birth, for the question that is on the screen. */
function finding(view, shown) {
  const script = playing(view) ? view.scripts.get(playing(view).id) : null;
  if (!script) return null;
  const { words, protocol, name, arg } = view;
  if (name === "pull") return arg === "heart" ? words.quantity(script.answers.fetal_heart.value, "bpm") : null;
  if (name === "cup") return step(shown)?.startsWith("sweep") ? words.text("practice.rim_find") : null;
  const row = protocol.questions.find(({ id }) => id === shown.querySelector("[data-question]")?.dataset.question);
  if (!row) return null;
  if (row.form === "plan") {
    const { next, minutes } = script.plan;
    return words.text("practice.plan_find", { place: words.text(`before.plan.${next}`), minutes: words.span(minutes) });
  }
  const given = script.answers[row.id];
  return given ? answerText(words, row, { answers: { [row.id]: given } }).text : null;
}

function step(shown) {
  return shown.querySelector("[aria-current=step]")?.dataset.step ?? null;
}

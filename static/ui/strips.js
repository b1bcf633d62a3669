/**
 * The strips above every page: practice, demo, not saved. Nothing of them is in colour alone.
 */

import { isOfDesk } from "../about.js";
import { visible } from "../core/alarm.js";
import { place } from "../core/place.js";
import { banner } from "./banner.js";
import { bleedingAdvice } from "./bleeding_advice.js";
import { el, say } from "./dom.js";
import { sinceOf } from "./header.js";
import { icon } from "./icons.js";
import { hasLine } from "./practice_line.js";

/** Give the strips that belong on the screen now. */
export function strips(view) {
  const { words, theCase, isDemo, isWriter, notices, name } = view;
  const found = [];
  if (notices.journal.state === "failing") found.push(alarm(words, "app.not_saved", { n: notices.journal.count }));
  if (!isWriter) found.push(strip(words, "app.reader"));
  if (isDemo) found.push(strip(words, "app.demo"));
  if (words.kind === "draft") found.push(strip(words, "app.draft"));
  if (theCase?.mode === "practice" && !isDemo && isOfDesk(name, view.arg, theCase) && !hasLine(view)) found.push(strip(words, "app.practice"));
  if (notices.wake === "refused" && theCase) found.push(strip(words, "app.wake_refused"));
  if (name === "pull" && view.foot.isOn()) found.push(strip(words, ...view.foot.told()));
  if (view.line === "app.back_at") found.push(el("p", { class: "strip", data: { strip: view.line } }, el("span", {}, backAt(view))));
  if (view.line === "app.goes_on") found.push(el("p", { class: "strip", role: "status", data: { strip: view.line } }, words.text("app.goes_on")));
  // Advice reaches whoever looks at something else meanwhile, and leads back.
  const advice = theCase && !view.isLive ? visible(theCase, view.findings) : [];
  if (advice.length) found.push(banner(words, advice, view.measured, { onTap: view.toCase }));
  if (bleeds(view)) found.push(bleedingAdvice(view, () => view.go("after")));
  return found.filter(Boolean);
}

/** What she bleeds is told wherever one looks, unless the page tells it already. */
function bleeds({ theCase, name, arg }) {
  return Boolean(theCase?.baby_born && !theCase.closed) && !(name === "after" && (!arg || arg.startsWith("blood_loss")));
}

function backAt({ words, theCase, measured }) {
  const where = say(words, "app.back_at", { place: words.text(`place.${place(theCase)}`) });
  const since = sinceOf(words, theCase, measured);
  return since ? [where, " · ", since] : where;
}

/** Let what runs in the strips run. */
export function runStrips(root, { words, foot }) {
  root.querySelector("[data-strip^='foot.']")?.replaceChildren(...say(words, ...foot.told()));
}

function strip(words, id, values) {
  return el("p", { class: "strip", data: { strip: id } }, say(words, id, values));
}

function alarm(words, id, values) {
  return el("p", { class: "strip stop", role: "alert", data: { strip: id } }, icon("stop"), el("span", {}, say(words, id, values)));
}

/**
 * The plan if it fails: what next, how far, who calls. Three taps, no typing.
 */

import { el } from "./dom.js";
import { half, letGo } from "./half.js";
import { key } from "./key.js";

// Common practice, no source: distances that a rural post names.
const MINUTES = [15, 30, 60, 90, 120, 180, 240, 360];
const CALLERS = ["assistant", "midwife", "senior", "other"];

/** Make the form of the plan; `onDone()` is called once the plan is recorded. */
export function planForm(view, row, onDone) {
  const { words, stamp } = view;
  const box = el("div", { class: "plan-form" });
  const plan = half("plan", {});

  function agree(moment) {
    view.record("plan_agreed", { ...plan }, { stamp: moment });
    letGo();
    onDone();
  }

  const isFar = (id) => id === "transfer" || id === "senior_comes";

  function askNext() {
    show("answers four", row.places.map(({ id }) => key({
      name: `answer-${id}`, label: words.text(`before.plan.${id}`), stamp,
      onTap: (moment) => {
        plan.next = id;
        if (isFar(id)) askMinutes();
        else agree(moment);
      },
    })));
  }

  function askMinutes() {
    show("answers many", MINUTES.map((minutes) => key({
      name: `minutes-${minutes}`, label: [el("b", {}, words.span(minutes))], stamp,
      onTap: () => { plan.minutes = minutes; askWho(); },
    })), words.text("before.minutes_away"));
  }

  function askWho() {
    show("answers four", CALLERS.map((role) => key({
      name: `who-${role}`, label: words.text(`role.${role}`), stamp,
      onTap: (moment) => { plan.who = role; agree(moment); },
    })), words.text("before.who_calls"));
  }

  function show(kind, keys, question) {
    box.replaceChildren(question ? el("p", { class: "lead" }, question) : "", el("div", { class: kind }, keys));
    if (question && box.isConnected) keys[0].focus();
  }

  // A page that is drawn anew goes on where it was.
  if (plan.minutes) askWho();
  else if (isFar(plan.next)) askMinutes();
  else askNext();
  return box;
}

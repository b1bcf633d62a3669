/**
 * The keys that answer the steps of the cup: which one, done, where, clear or not.
 */

import { el, value } from "../ui/dom.js";
import { key } from "../ui/key.js";
import { chosenCup, readItem } from "./cup_steps.js";

const PLACEMENTS = ["flexing_median", "flexing_paramedian", "deflexing_median", "deflexing_paramedian", "unsure"];

/** Choose the kind of cup, then its size. */
export function choosing(view) {
  const { words, protocol, stamp, record, theCase } = view;
  const { cup } = chosenCup(theCase);
  if (cup === null) {
    return el("div", { class: "answers three" }, protocol.cups.map(({ id }) => key({
      name: `cup-${id}`, label: words.text(`cup.kind.${id}`), stamp,
      onTap: (moment) => record("check_answered", { item: "cup_kind", answer: id }, { stamp: moment }),
    })));
  }
  const sizes = protocol.cups.find((row) => row.id === cup)?.mm ?? [];
  return el("div", { class: "answers three" }, sizes.map((mm) => key({
    name: `mm-${mm}`, label: [el("b", { class: "lead" }, value(words.quantity(mm, "mm")))], stamp,
    onTap: (moment) => record("check_answered", { item: "cup_mm", answer: "value", value: mm }, { stamp: moment }),
  })));
}

/** A step that is read aloud and done. */
export function reading(view, step) {
  const { words, stamp, record } = view;
  return el("div", { class: "answers" }, key({
    name: `done-${step.id}`, label: words.text("cup.done"), sign: "yes", look: "next", stamp,
    onTap: (moment) => record("check_answered", { item: readItem(step), answer: "done" }, { stamp: moment }),
  }));
}

/** Where the cup lies: this is the moment the cup is on, and starts the clock. */
export function placing(view) {
  const { cup, mm } = chosenCup(view.theCase);
  return placements(view, (placement, moment) => (
    view.record("cup_applied", { cup: cup ?? "unsure", ...(mm && { mm }), placement }, { stamp: moment })));
}

/** Where the cup lies once it was moved: the same application, told anew. */
export function moving(view) {
  const applied = view.theCase.timeline.findLast((row) => row.kind === "cup_applied" && !row.void);
  return placements(view, (placement) => {
    view.next("cup");
    view.desk.amend(applied, { placement });
  });
}

function placements({ words, stamp }, onTap) {
  return el("div", { class: "answers five" }, PLACEMENTS.map((placement) => key({
    name: `placement-${placement}`, sign: placement === "unsure" ? "unsure" : null, stamp,
    label: words.text(placement === "unsure" ? "app.not_sure" : `cup.placement.${placement}`),
    onTap: (moment) => onTap(placement, moment),
  })));
}

/** The rim after a finger's sweep. */
export function sweeping(view) {
  const { words, theCase, stamp, record } = view;
  const last = theCase.timeline.findLast((row) => !row.void && ["rim_swept", "suction_set", "cup_applied"].includes(row.kind));
  const isCaught = last?.kind === "rim_swept" && last.facts.clear !== "yes";
  const answer = (clear, label, sign) => key({
    name: `rim-${clear}`, label: words.text(label), sign, stamp,
    onTap: (moment) => record("rim_swept", { clear }, { stamp: moment }),
  });
  return [
    isCaught ? el("p", { class: "note" }, words.text("cup.not_clear")) : null,
    el("div", { class: "answers three" }, answer("yes", "cup.clear", "yes"), answer("no", "cup.unclear", "no"), answer("unsure", "app.not_sure", "unsure")),
    view.measured.deflexing === 0 ? null : el("div", { class: "answers" }, key({
      name: "moved", label: words.text("cup.moved"), sign: "cup", onTap: () => view.go("cup", "moved"),
    })),
    isCaught && theCase.suction ? el("div", { class: "answers" }, key({
      name: "release", label: words.text("cup.release"), sign: "drop", stamp,
      onTap: (moment) => record("suction_set", { stage: "released" }, { stamp: moment }),
    })) : null,
  ];
}

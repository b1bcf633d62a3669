/**
 * The mother's own questions after a birth: blood lost, the tear, the first urine.
 */

import { lostMl } from "../core/bleeding.js";
import { time } from "../language.js";
import { bleedingAdvice } from "../ui/bleeding_advice.js";
import { el, say, value } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { letGo } from "../ui/half.js";
import { key } from "../ui/key.js";
import { keypad } from "../ui/keypad.js";
import { standing, toldOf } from "./after_items.js";

// Common practice, no source: amounts that an eye or a jug can tell apart.
const QUICK_ML = [50, 100, 150, 250, 350, 500];
const HOWS = ["estimated", "measured"];
const VOID_ML = [100, 200, 300, 400, 500];
const GRADES = ["none", "1", "2", "3a", "3b", "3c", "4", "buttonhole"];
const MOST_ML = 10000;

/** Tell blood lost: one tap adds to the sum; `how` is "estimated" or "measured". */
export function bloodSheet(view, how) {
  const { words, theCase, protocol, stamp } = view;
  const chosen = HOWS.includes(how) ? how : HOWS[0];
  const add = (ml, moment) => {
    if (ml > MOST_ML) return;
    letGo();
    view.record("blood_loss_measured", { ml, how: chosen }, { stamp: moment });
  };
  const { blood_signs_ml: signs, blood_act_ml: act } = protocol.numbers;
  return [
    el("h2", { class: "lead" }, words.text("mother.blood.ask")),
    el("p", { class: "sum" }, words.text("mother.blood.sum"), " ", el("b", { class: "line" }, value(words.quantity(lostMl(theCase) ?? 0, "ml"))), " ",
      el("span", {}, say(words, "mother.blood.levels", { signs: words.quantity(signs.value, "ml"), act: words.quantity(act.value, "ml") }))),
    bleedingAdvice(view),
    el("div", { class: "answers two" }, HOWS.map((id) => key({ name: `how-${id}`, label: words.text(`mother.blood.${id}`), pressed: id === chosen, sign: id === chosen ? "yes" : null, onTap: () => view.go("after", `blood_loss/${id}`) }))),
    el("div", { class: "measured" }, el("div", { class: "answers three" }, QUICK_ML.map((ml) => key({ name: `ml-${ml}`, label: [el("b", {}, value(`+${words.quantity(ml, "ml")}`))], stamp, onTap: (moment) => add(ml, moment) }))),
      keypad({ words, stamp, name: "blood", unit: words.quantity("", "ml").trim(), most: 4, okLabel: words.text("keypad.ok"), onDone: (text, moment) => add(Number(text), moment) })),
    said(words, theCase),
  ];
}

function said(words, theCase) {
  const rows = standing(theCase).filter(({ kind }) => kind === "blood_loss_measured");
  return rows.length ? el("ol", { class: "run" }, rows.map(({ at, facts }) => el("li", {}, value(time(at)), " ", value(words.quantity(facts.ml, "ml")), " ", facts.how ? words.text(`mother.blood.${facts.how}`) : null))) : null;
}

/** Grade the tear; a finger in the rectum comes first, or a torn muscle is missed. */
export function tearSheet(view) {
  const { words, theCase, stamp } = view;
  const examined = toldOf(theCase, "mother", "rectal_exam");
  const told = (kind, facts, moment, where) => {
    view.next("after", where);
    view.record(kind, facts, { stamp: moment });
  };
  if (!examined) {
    return [el("h2", { class: "lead" }, words.text("mother.ask.rectal_exam")), el("div", { class: "answers three" }, ["done", "not_done", "unsure"].map((id) => key({
      name: `rectal-${id}`, label: words.text(id === "unsure" ? "app.not_sure" : `mother.rectal_exam.${id}`), sign: id === "unsure" ? "unsure" : null, stamp,
      onTap: (moment) => told("mother_observed", { what: "rectal_exam", answer: id }, moment, "tear"),
    })))];
  }
  return [el("h2", { class: "lead" }, words.text("mother.ask.tear")),
    examined.facts.answer === "done" ? null : el("p", { class: "advice caution" }, icon("caution"), el("span", {}, words.text("mother.tear.unexamined"))),
    el("div", { class: "answers two" }, GRADES.map((grade) => key({
      name: `tear-${grade}`, label: words.text(`mother.tear.${grade}`), note: words.text(`mother.tear.${grade}.more`), stamp, onTap: (moment) => told("tear_graded", { grade }, moment, null),
    })), key({ name: "tear-unsure", label: words.text("app.not_sure"), sign: "unsure", stamp, onTap: (moment) => told("tear_graded", { grade: "unsure" }, moment, null) }))];
}

/** Ask for urine: how much, or that none comes. */
export function voidSheet(view) {
  const { words, stamp } = view;
  const tell = (facts, moment) => {
    view.next("after");
    view.record("mother_observed", { what: "void", ...facts }, { stamp: moment });
  };
  return [el("h2", { class: "lead" }, words.text("mother.ask.void")),
    el("div", { class: "measured" }, el("div", { class: "answers three" }, VOID_ML.map((ml) => key({ name: `void-${ml}`, label: [el("b", {}, value(words.quantity(ml, "ml")))], stamp, onTap: (moment) => tell({ answer: "yes", value: ml }, moment) }))),
      keypad({ words, stamp, name: "void", unit: words.quantity("", "ml").trim(), most: 4, okLabel: words.text("keypad.ok"), onDone: (text, moment) => tell(voided(Number(text)), moment) })),
    el("div", { class: "answers three" },
      key({ name: "void-yes", label: words.text("mother.void.yes"), stamp, onTap: (moment) => tell({ answer: "yes" }, moment) }),
      key({ name: "void-no", label: words.text("mother.void.no"), stamp, onTap: (moment) => tell({ answer: "no" }, moment) }),
      key({ name: "void-unsure", label: words.text("app.not_sure"), sign: "unsure", stamp, onTap: (moment) => tell({ answer: "unsure" }, moment) }))];
}

/** No urine is none: told as an amount it would end the wait for the first. */
function voided(ml) {
  return ml > 0 ? { answer: "yes", value: ml } : { answer: "no" };
}

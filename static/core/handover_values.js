/**
 * What a hand-over tells, as values that carry no words of any language.
 *
 * A value is one of: {n, unit} a whole number, {n, per, unit} one that is shown as n / per,
 * {reading, unit} of a gauge in thousandths, {dose, unit} of a medicine in thousandths,
 * {span} in minutes, {length} in ms, {days} of pregnancy, {at} in wall ms, {word, text} the
 * id of a text and what to show where no language has it, {text} as a person wrote it,
 * {all: values} one after the other, {beside: values} that belong together. Null stands for
 * what nobody recorded.
 */

// What a number that was observed is told in: how many of it make a whole unit, and which.
const COUNTED = new Map([
  ["heart", [1, "bpm"]],
  ["breaths", [1, "bpm"]],
  ["pulse", [1, "bpm"]],
  ["refill", [1, "s"]],
  ["weight", [1, "g"]],
  ["head", [10, "cm"]],
  ["temperature", [10, "c"]],
  ["glucose", [10, "mmol"]],
  ["systolic", [1, "mmhg"]],
  ["diastolic", [1, "mmhg"]],
  ["void", [1, "ml"]],
]);

/** A bare count. */
export function number(count) {
  return { n: count, unit: "" };
}

/** A whole number of a unit. */
export function quantity(count, unit) {
  return count === null ? null : { n: count, unit };
}

/** A text by its id, and what stands for it where no language has one. */
export function word(name, otherwise = "") {
  return { word: name, text: String(otherwise) };
}

/** One of a family of texts; not sure is an answer like the others. */
export function chosen(family, choice) {
  if (choice === null) return null;
  return word(choice === "unsure" ? "app.not_sure" : `${family}.${choice}`, choice);
}

/** What a person wrote or tapped as it is, such as a place. */
export function text(written) {
  return written ? { text: written } : null;
}

/** A time of day. */
export function clock(at) {
  return at === null ? null : { at };
}

/** Values one after the other; nothing when there is none. */
export function together(values) {
  return values.length ? { all: values } : null;
}

/** Values that belong together; what was not told is left out. */
export function beside(...values) {
  return { beside: values.filter((value) => value !== null) };
}

/** A number that was observed, in the unit in which it is told. */
export function counted(what, value) {
  const [per, unit] = COUNTED.get(what) ?? [1, ""];
  return per === 1 ? { n: value, unit } : { n: value, per, unit };
}

/** What was found of one sign of mother or baby; null when only its name was told. */
export function seen(lane, { what = null, answer = null, value = null }) {
  if (value !== null) return counted(what, value);
  return chosen(`${lane}.${what}`, answer);
}

/** The name of a sign of mother or baby. */
export function nameOf(lane, what) {
  return word(`${lane}.name.${what}`, what);
}

/** The entries of a kind that stand, in order of time. */
export function rowsOf(theCase, kind) {
  return theCase.timeline.filter((row) => row.kind === kind && !row.void);
}

/**
 * Lay a case along one axis of minutes: what the drawing of the record shows, and where.
 *
 * Places are whole units of the drawing's own field. Draws nothing.
 */

const MINUTE_MS = 60000;
const STEPS_MIN = [1, 2, 5, 10, 15, 30, 60, 120];
const MOST_TICKS = 12;
const LEAST_MIN = 5;
const ROOM_MS = 30000;
const SHOWN = ["cup_applied", "cup_detached", "cup_removed", "perineum_reached", "head_born", "baby_born", "vacuum_stopped"];

export const FIELD = { left: 190, right: 980, letter: 12.5 };

/**
 * Give the axis: {zero, end, ticks, x(ms), isBeyond(ms)}, times in ms of the case.
 *
 * The axis ends with the last pull, cup off or stop; a birth hours later would press all
 * the rest together and is shown at its edge.
 */
export function axisOf(theCase, zero) {
  const last = rowsFrom(theCase, zero).filter((row) => row.kind !== "baby_born" || row.ms - zero < 60 * MINUTE_MS)
    .filter((row) => SHOWN.includes(row.kind) || ["pull_began", "pull_ended", "suction_set"].includes(row.kind)).at(-1);
  const end = Math.max(zero + LEAST_MIN * MINUTE_MS, (last?.ms ?? zero) + ROOM_MS);
  const length = end - zero;
  const step = STEPS_MIN.find((minutes) => length / (minutes * MINUTE_MS) <= MOST_TICKS) ?? Math.ceil(length / MINUTE_MS / MOST_TICKS);
  const ticks = Array.from({ length: Math.floor(length / (step * MINUTE_MS)) + 1 }, (_, index) => index * step);
  const x = (ms) => Math.round(FIELD.left + Math.min(Math.max((ms - zero) / length, 0), 1) * (FIELD.right - FIELD.left));
  return { zero, end, ticks, x, isBeyond: (ms) => ms > end, minute: (minutes) => x(zero + minutes * MINUTE_MS) };
}

/** Give the rows that stand and are not before the start of the axis, in order of time. */
export function rowsFrom(theCase, zero) {
  return theCase.timeline.filter((row) => !row.void && row.ms >= zero);
}

/** Give the moments that get a line through the whole drawing. */
export function moments(theCase, zero) {
  return rowsFrom(theCase, zero).filter((row) => SHOWN.includes(row.kind));
}

/**
 * Give the suction as steps: [{ms, until, pa, row}]; `pa` is null when no reading was told.
 *
 * After the birth nothing is drawn: nobody told that the suction was let go.
 */
export function suctionSteps(theCase, zero, end) {
  const steps = [];
  for (const row of rowsFrom(theCase, zero)) {
    const isOff = ["cup_detached", "cup_removed", "baby_born"].includes(row.kind) || (row.kind === "suction_set" && row.facts.stage === "released");
    if (!isOff && row.kind !== "suction_set") continue;
    if (steps.length && steps.at(-1).until === null) steps.at(-1).until = row.ms;
    if (!isOff) steps.push({ ms: row.ms, until: null, pa: row.facts.pa ?? null, row });
  }
  return steps.map((step) => ({ ...step, until: step.until ?? end }));
}

/**
 * Put labels into rows so that none covers another: [{...label, x, line}].
 *
 * Labels are {at, text} in order of place; each stays inside the field.
 */
export function inRows(labels) {
  const ends = [];
  return labels.map((label) => {
    const half = (label.text.length * FIELD.letter) / 2;
    const x = Math.min(Math.max(label.at, FIELD.left + half), FIELD.right - half);
    const free = ends.findIndex((end) => end < x - half);
    const line = free < 0 ? ends.length : free;
    ends[line] = x + half + FIELD.letter;
    return { ...label, x, line };
  });
}

/** Count the rows that labels need. */
export function rowsOf(labels) {
  return labels.reduce((most, { line }) => Math.max(most, line + 1), 0);
}

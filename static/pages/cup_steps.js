/**
 * Tell which steps of putting the cup on are done, which is now, and which come later.
 *
 * Everything follows from the events since the cup last came off, so that a tablet that
 * was restarted shows the same step. Knows no page.
 */

/**
 * Give the steps of this application: [{id, form, stage, state, told}], state "done",
 * "now" or "later"; `told` is the row of the timeline that did it.
 */
export function cupSteps(theCase, protocol) {
  const rows = sinceOff(theCase).filter((row) => !row.void);
  const cup = chosen(rows, "cup_kind")?.facts.answer ?? null;
  const steps = protocol.steps.filter((step) => !step.only || step.only.includes(cup));
  let isOpen = true;
  return steps.map((step) => {
    const told = doneBy(step, rows);
    const state = told ? "done" : isOpen ? "now" : "later";
    if (!told) isOpen = false;
    return { ...step, state, told };
  });
}

/** Give the cup that was chosen for this application: {cup, mm}, or nulls. */
export function chosenCup(theCase) {
  const rows = sinceOff(theCase).filter((row) => !row.void);
  const applied = rows.findLast((row) => row.kind === "cup_applied");
  if (applied) return { cup: applied.facts.cup ?? null, mm: applied.facts.mm ?? null };
  return { cup: chosen(rows, "cup_kind")?.facts.answer ?? null, mm: chosen(rows, "cup_mm")?.facts.value ?? null };
}

/** Name the item under which a step that is only read is recorded. */
export function readItem(step) {
  return `step_${step.id}`;
}

function sinceOff(theCase) {
  const { timeline } = theCase;
  const off = timeline.findLastIndex((row) => !row.void && ["cup_detached", "cup_removed"].includes(row.kind));
  return timeline.slice(off + 1);
}

function chosen(rows, item) {
  return rows.findLast((row) => row.kind === "check_answered" && row.facts.item === item) ?? null;
}

function doneBy(step, rows) {
  const applied = rows.findLastIndex((row) => row.kind === "cup_applied");
  if (step.form === "placement") return rows[applied] ?? null;
  // With the cup on, what leads up to it is behind.
  if (["cup", "read"].includes(step.form)) return applied >= 0 ? rows[applied] : readBy(step, rows);
  if (applied < 0) return null;
  const set = (stage) => rows.findLastIndex((row, index) => index > applied && row.kind === "suction_set" && row.facts.stage === stage);
  if (step.form === "suction") return rows[stillSet(rows, set(step.stage), step.stage)] ?? null;
  return sweptAfter(step, rows, applied, set);
}

function readBy(step, rows) {
  if (step.form === "cup") return chosen(rows, "cup_kind") && chosen(rows, "cup_mm");
  return chosen(rows, readItem(step));
}

/** First suction stays done under working suction; suction let go, or a hiss, opens them again. */
function stillSet(rows, at, stage) {
  const released = rows.findLastIndex((row) => isLost(row, stage));
  if (at >= 0) return at > released ? at : -1;
  if (stage !== "first") return -1;
  const working = rows.findLastIndex((row) => row.kind === "suction_set" && row.facts.stage === "working");
  return working > released ? working : -1;
}

function isLost(row, stage) {
  // What leaks has lost working suction; the first stage still holds the cup.
  return (row.kind === "suction_set" && row.facts.stage === "released") || (stage === "working" && row.kind === "hiss_heard");
}

function sweptAfter(step, rows, applied, set) {
  const first = stillSet(rows, set("first"), "first");
  const working = stillSet(rows, set("working"), "working");
  const from = { sweep_before: applied, sweep_first: first, sweep_working: working }[step.id];
  if (from < 0) return null;
  const swept = rows.findLast((row, index) => index > from && row.kind === "rim_swept");
  if (swept?.facts.clear === "yes") return swept;
  // Going on without a sweep is possible, and is then behind; the advice still says so.
  if (step.id === "sweep_before" && first >= 0) return rows[first];
  if (step.id === "sweep_first" && working >= 0 && working > first) return rows[working];
  return null;
}

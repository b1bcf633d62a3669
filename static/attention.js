/**
 * Say advice aloud and write down that it was said.
 *
 * What was shown is part of the record, or a review would be unfair. Knows no page:
 * it is asked at every look.
 */

import { soundsNow, standingStops, toShow, visible } from "./core/alarm.js";

const HIGH_AGAIN_MS = 10000;
const MEDIUM_AGAIN_MS = 60000;
const QUIET_MS = 60000;

/** Make the attention of one desk: {look, quiet, reset}. `play(weight, message)` makes the sound, `hush()` ends it. */
export function makeAttention({ desk, play, hush }) {
  let told = new Set();
  let heard = new Map();
  let quietUntil = 0;
  let caseId = null;
  let pulls = null;
  let isStopped = false;

  /** Forget what was said, and do not say the rest of it. */
  function reset() {
    hush();
    told = new Set();
    heard = new Map();
    quietUntil = 0;
    pulls = null;
    isStopped = false;
  }

  /** Show, write down and say what is new at this look {theCase, measured, findings}. */
  function look({ theCase, measured, findings }, tick) {
    // What was said of one woman is not said of the next.
    if (theCase.case !== caseId) {
      reset();
      caseId = theCase.case;
    }
    for (const finding of toShow(theCase, findings)) tell(finding, theCase);
    const standing = standingStops(theCase, findings);
    for (const finding of visible(theCase, findings)) {
      if (!soundsNow(finding, measured)) continue;
      sayAloud(finding, theCase, standing, tick);
    }
    // A stop that was answered is not said to its end.
    if (isStopped && !standing.length) hush();
    isStopped = standing.length > 0;
    countAloud(measured);
  }

  /** Say the number of a pull as it begins; a click, and the word. */
  function countAloud({ pulls: counted, pull_open: isOpen }) {
    if (pulls !== null && counted > pulls && isOpen) play("info", `spoken.pull|n=${counted}`);
    pulls = counted;
  }

  function tell(finding, theCase) {
    const mark = `${finding.message}/${finding.level === "stop" ? theCase.pulls.length : ""}`;
    if (told.has(mark)) return;
    told.add(mark);
    const { limit, level, message, value, bound } = finding;
    const numbers = { ...(value !== null && { value }), ...(bound !== null && { bound }) };
    desk.record("advice_shown", { limit, level, message, ...numbers }, { tap: false });
  }

  function sayAloud(finding, theCase, standing, tick) {
    const weight = finding.level === "stop" ? "high" : "medium";
    const mark = `${finding.message}/${weight === "high" ? theCase.pulls.length : ""}`;
    const last = heard.get(mark);
    if (last === undefined) {
      // After a restart a caution that the log already holds is not said again.
      const known = weight === "medium" && finding.sound !== "pulling" && wasShown(theCase, finding);
      heard.set(mark, { tick, times: 1 });
      if (!known) play(weight, finding.message);
    } else if (weight === "high" && standing.includes(finding) && tick - last.tick >= HIGH_AGAIN_MS && tick >= quietUntil) {
      heard.set(mark, { tick, times: last.times + 1 });
      play(weight, finding.message);
    } else if (weight === "medium" && !standing.length && last.times === 1 && tick - last.tick >= MEDIUM_AGAIN_MS && !desk.undoable()) {
      heard.set(mark, { tick, times: 2 });
      play(weight, finding.message);
    }
  }

  /** Keep a standing stop quiet for a minute; it stays on the screen. */
  function quiet(finding, tick) {
    quietUntil = tick + QUIET_MS;
    hush();
    desk.record("advice_answered", { limit: finding.limit, choice: "quiet" }, { tap: false });
  }

  return { look, quiet, reset };
}

function wasShown(theCase, finding) {
  return theCase.advice.some((item) => item.message === finding.message);
}
